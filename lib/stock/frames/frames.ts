import { ok, type Result, refuse } from '@/lib/units/result'

/** A frame that carries nothing, as far as choosing one needs it. */
export type FreeFrame = { id: string; number: number; itemId: string; burnt: number }

/** The most frames that a shop numbers at once, and the highest number. */
export const MOST_FRAMES = 200
export const HIGHEST_FRAME = 9_999

/**
 * The frames that are to be taken for a set of screens: all of one kind (mesh and size) where one kind has enough, the kind with the most
 * free ones first; of it those that were burnt least, so that meshes wear evenly, then by number.
 * @returns fewer than asked where fewer are free
 */
export function chooseFrames(free: readonly FreeFrame[], wanted: number): FreeFrame[] {
  const kinds = new Map<string, FreeFrame[]>()
  for (const frame of free) kinds.set(frame.itemId, [...(kinds.get(frame.itemId) ?? []), frame])
  const order = [...kinds.values()].sort(
    (a, b) => b.length - a.length || (a[0]?.itemId ?? '').localeCompare(b[0]?.itemId ?? ''),
  )
  const whole = order.find(k => k.length >= wanted)
  const from = whole ? [whole] : order
  return from
    .flatMap(kind => [...kind].sort((a, b) => a.burnt - b.burnt || a.number - b.number))
    .slice(0, Math.max(0, wanted))
}

/** The lowest numbers of screens, from 1, that none of a set has yet: the next ones of a whole set, or those of frames that are gone. */
export function nextParts(has: readonly number[], many: number): number[] {
  const there = new Set(has)
  return Array.from({ length: has.length + many }, (_, i) => i + 1)
    .filter(part => !there.has(part))
    .slice(0, many)
}

/** "frame 3", "frames 3, 4 and 7": in the order of their numbers. */
export function frameWords(numbers: readonly number[]): string {
  const sorted = [...numbers].sort((a, b) => a - b).map(String)
  const last = sorted.pop()
  return sorted.length === 0 ? `frame ${last}` : `frames ${sorted.join(', ')} and ${last}`
}

/** Numbers of frames as typed: "3, 4 and 7", "3 4 7", "3-5". Each once, in order. */
export function readFrames(text: string): Result<number[]> {
  const found = new Set<number>()
  for (const part of text.split(/[\s,;]+|\band\b/).filter(Boolean)) {
    const m = /^(\d{1,4})(?:[-–](\d{1,4}))?$/.exec(part)
    const from = Number(m?.[1] ?? 0)
    const to = Number(m?.[2] ?? from)
    if (!m || from < 1 || to < from || to - from >= MOST_FRAMES)
      return refuse(
        'frames',
        `“${part.slice(0, 20)}” is no number of a frame: type them like 3, 4, 7 or 3-5.`,
        'frames',
      )
    for (let n = from; n <= to; n++) found.add(n)
  }
  if (found.size === 0) return refuse('frames', 'Which frames? Type their numbers, like 3, 4, 7.', 'frames')
  return ok([...found].sort((a, b) => a - b))
}
