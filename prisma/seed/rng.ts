/** A small repeatable random source (mulberry32): the same seed gives the same demo on every machine. */
export function rng(seed: number) {
  let state = seed >>> 0
  const next = (): number => {
    state = (state + 0x6d2b79f5) >>> 0
    let t = state
    t = Math.imul(t ^ (t >>> 15), t | 1)
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61)
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296
  }
  return {
    /** From `from` up to but not including `to`. */
    between: (from: number, to: number): number => from + next() * (to - from),
    /** A whole number from `from` to `to`, both included. */
    whole: (from: number, to: number): number => from + Math.floor(next() * (to - from + 1)),
    pick: <T>(list: readonly T[]): T => list[Math.floor(next() * list.length)] as T,
    chance: (share: number): boolean => next() < share,
  }
}
export type Rng = ReturnType<typeof rng>
