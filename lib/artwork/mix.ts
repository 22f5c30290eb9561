import { deltaE2000, type Lab, LINEAR, labOf, labOfLinear, type Rgb } from './colour'

/** A colour made ready for mixing: CIELAB, and linear light (0–1). */
export type Mixable = { lab: Lab; light: readonly [r: number, g: number, b: number] }

export const mixable = ([r, g, b]: Rgb): Mixable => ({
  lab: labOf(r, g, b),
  light: [LINEAR[r]!, LINEAR[g]!, LINEAR[b]!],
})

/** Below this share a second ink would be dots too small to hold. */
const LEAST_SHARE = 0.02

/**
 * How near the dots of two inks side by side come to a colour: the share of the first (0–1), and the CIEDE2000 that
 * is left. Dots add up in linear light (Murray and Davies; Neugebauer).
 */
export function pairMix(wanted: Mixable, p: Mixable, q: Mixable): { share: number; miss: number } {
  const [P, Q, W] = [p.light, q.light, wanted.light]
  const d0 = P[0] - Q[0]
  const d1 = P[1] - Q[1]
  const d2 = P[2] - Q[2]
  const length = d0 * d0 + d1 * d1 + d2 * d2
  if (length === 0) return { share: 1, miss: deltaE2000(...wanted.lab, ...p.lab) }
  const t = ((W[0] - Q[0]) * d0 + (W[1] - Q[1]) * d1 + (W[2] - Q[2]) * d2) / length
  if (t <= LEAST_SHARE) return { share: 0, miss: deltaE2000(...wanted.lab, ...q.lab) }
  if (t >= 1 - LEAST_SHARE) return { share: 1, miss: deltaE2000(...wanted.lab, ...p.lab) }
  return {
    share: t,
    miss: deltaE2000(...wanted.lab, ...labOfLinear(Q[0] + t * d0, Q[1] + t * d1, Q[2] + t * d2)),
  }
}
