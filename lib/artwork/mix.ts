import { deltaE2000, type Lab, LINEAR, labOf, labOfLinear, lightnessOf, MOST_SL, type Rgb } from './colour'

/** A colour made ready for mixing: CIELAB, and linear light (0–1). */
export type Mixable = { lab: Lab; light: readonly [r: number, g: number, b: number] }

/** A colour of sRGB, 0–255 each, made ready for mixing. */
export const mixable = ([r, g, b]: Rgb): Mixable => ({
  lab: labOf(r, g, b),
  light: [LINEAR[r]!, LINEAR[g]!, LINEAR[b]!],
})

/** Below this share a second ink would be dots too small to hold. */
const LEAST_SHARE = 0.02

/** A share of the first of two inks as it is printed: dots too small to hold are left out, or filled in. */
export const heldShare = (share: number): number =>
  share <= LEAST_SHARE ? 0 : share >= 1 - LEAST_SHARE ? 1 : share

/**
 * How near the dots of two inks side by side come to a colour: the share of the first (0–1), and the CIEDE2000 that
 * is left. Dots add up in linear light (Murray and Davies; Neugebauer).
 * @param most a mix whose lightness alone misses by so much is given up: its miss is infinite
 */
export function pairMix(
  wanted: Mixable,
  p: Mixable,
  q: Mixable,
  most = Number.POSITIVE_INFINITY,
): { share: number; miss: number } {
  const [P, Q, W] = [p.light, q.light, wanted.light]
  const d0 = P[0] - Q[0]
  const d1 = P[1] - Q[1]
  const d2 = P[2] - Q[2]
  const length = d0 * d0 + d1 * d1 + d2 * d2
  if (length === 0) return { share: 1, miss: deltaE2000(...wanted.lab, ...p.lab) }
  const t = heldShare(((W[0] - Q[0]) * d0 + (W[1] - Q[1]) * d1 + (W[2] - Q[2]) * d2) / length)
  const [R, G, B] = [Q[0] + t * d0, Q[1] + t * d1, Q[2] + t * d2]
  if (Math.abs(lightnessOf(R, G, B) - wanted.lab[0]) >= most * MOST_SL)
    return { share: t, miss: Number.POSITIVE_INFINITY }
  const lab = t === 0 ? q.lab : t === 1 ? p.lab : labOfLinear(R, G, B)
  return { share: t, miss: deltaE2000(...wanted.lab, ...lab) }
}
