import { deltaE2000, labOf, MOST_SL, type Rgb } from './colour'

/** How far the garment's colour is taken out of the art. */
export type FadeSettings = {
  /** CIEDE2000 distance up to which a pixel counts as the garment's own colour, 0–100. */
  tolerance: number
  /** Width of the soft edge in the same unit: between tolerance and tolerance + soft a pixel fades in. 0: hard. */
  soft: number
}

/** Tight enough to leave a visibly different shade alone: under 6 is still "small" to the eye. */
export const DEFAULT_FADE: FadeSettings = { tolerance: 6, soft: 6 }

const OPAQUE = 255
/** States of a colour cell; see GarmentFade.stateOf. A bit each, so that several are asked at once whether all are FAR. */
export const UNKNOWN = 0
export const FAR = 1
export const NEAR = 2
const MIXED = 4

/** Single colours that are remembered: enough for the soft edges of an artwork, few enough to stay in the processor's memory. */
const EXACT = 1 << 16
const EXACT_SHIFT = 16

/** CIEDE2000 bends within a cell of 8 × 8 × 8 codes; a cell is decided from its corners only beyond this margin. */
const CELL_MARGIN = 1.5
/** No colour of a cell is further (CIEDE2000) from its middle than 8.0; the formula is no true distance, so two more. */
const CELL_REACH = 10

/**
 * How much of each colour stays when the garment's colour is knocked out: 0 (gone) to 255 (all), for any of the 16.7
 * million sRGB colours, exactly. Most cells of a coarse table lie wholly inside or outside the tolerance and are
 * decided once; only colours near its border are computed one by one, and remembered.
 */
export class GarmentFade {
  /** Decision of each 5-bit cell (index r | g << 5 | b << 10); UNKNOWN where nobody asked yet. */
  readonly cells = new Uint8Array(1 << 15)
  /** Single colours near the border as they were last computed, each in one place: colour << 8 | what stays. */
  private readonly exact = new Int32Array(EXACT)
  private readonly lab: readonly [number, number, number]

  constructor(
    readonly garment: Rgb,
    readonly settings: FadeSettings,
  ) {
    this.lab = labOf(garment[0], garment[1], garment[2])
    // Empty places hold colour 0, whose own place is the first: that one holds a colour which belongs elsewhere.
    this.exact[0] = 1 << 8
  }

  /** CIEDE2000 distance of a colour from the garment. */
  distance(r: number, g: number, b: number): number {
    const [L, a, bb] = labOf(r, g, b)
    return deltaE2000(this.lab[0], this.lab[1], this.lab[2], L, a, bb)
  }

  /** What stays of the colour in a pixel word (alpha in it is ignored), 0–255. */
  stays(word: number): number {
    const state = this.stateOf(((word >>> 3) & 31) | ((word >>> 6) & 0x3e0) | ((word >>> 9) & 0x7c00))
    return state === FAR ? OPAQUE : state === NEAR ? 0 : this.staysExactly(word)
  }

  /** FAR when all of a 5-bit colour cell stays, NEAR when all of it goes, else MIXED. */
  stateOf(cell: number): number {
    const known = this.cells[cell]!
    if (known !== UNKNOWN) return known
    const state = this.decide(cell)
    this.cells[cell] = state
    return state
  }

  /** What stays() gives, without the short cut of the cells. */
  staysExactly(word: number): number {
    const rgb = word & 0xffffff
    const at = Math.imul(rgb, 0x9e3779b1) >>> EXACT_SHIFT
    const known = this.exact[at]!
    if (known >>> 8 === rgb) return known & 255
    const value = this.compute(rgb & 255, (rgb >>> 8) & 255, rgb >>> 16)
    this.exact[at] = (rgb << 8) | value
    return value
  }

  private decide(cell: number): number {
    const r = (cell & 31) << 3
    const g = ((cell >> 5) & 31) << 3
    const b = (cell >> 10) << 3
    const { tolerance, soft } = this.settings
    const far = tolerance + soft + CELL_REACH
    const [L, a, bb] = labOf(r + 4, g + 4, b + 4)
    if (Math.abs(L - this.lab[0]) > MOST_SL * far) return FAR
    if (deltaE2000(this.lab[0], this.lab[1], this.lab[2], L, a, bb) > far) return FAR
    let least = Number.POSITIVE_INFINITY
    let most = 0
    for (let corner = 0; corner < 8; corner++) {
      const d = this.distance(r + (corner & 1) * 7, g + ((corner >> 1) & 1) * 7, b + (corner >> 2) * 7)
      if (d < least) least = d
      if (d > most) most = d
    }
    // The garment itself lies in its cell, so that cell reaches down to a distance of 0.
    const own =
      this.garment[0] >> 3 === r >> 3 && this.garment[1] >> 3 === g >> 3 && this.garment[2] >> 3 === b >> 3
    if (!own && least > tolerance + soft + CELL_MARGIN) return FAR
    if (most + CELL_MARGIN < tolerance) return NEAR
    return MIXED
  }

  private compute(r: number, g: number, b: number): number {
    const { tolerance, soft } = this.settings
    const d = this.distance(r, g, b)
    if (d <= tolerance) return 0
    if (d >= tolerance + soft) return OPAQUE
    // Never thinner than the least ink that can still show this colour over the cloth.
    const ramp = (OPAQUE * (d - tolerance)) / soft
    return Math.max(1, Math.min(OPAQUE, Math.round(Math.max(ramp, leastInk([r, g, b], this.garment)))))
  }
}

let lastFade: GarmentFade | null = null

/**
 * The fade for a garment, the last one again where it is the same: a shop's pictures are looked at one after the other on a
 * few cloths, and what was decided of a colour holds for the next of them.
 */
export function fadeFor(garment: Rgb, settings: FadeSettings): GarmentFade {
  const { tolerance, soft } = settings
  const alike = lastFade?.garment.every((c, i) => c === garment[i])
  if (alike && lastFade?.settings.tolerance === tolerance && lastFade.settings.soft === soft) return lastFade
  lastFade = new GarmentFade([...garment], { tolerance, soft })
  return lastFade
}

/** The smallest opacity (0–255) of any ink that gives the colour `seen` when laid over `cloth`. */
export function leastInk(seen: Rgb, cloth: Rgb): number {
  let least = 0
  for (let c = 0; c < 3; c++) {
    const s = seen[c]!
    const g = cloth[c]!
    const need = s > g ? (s - g) / (255 - g) : s < g ? (g - s) / g : 0
    if (need > least) least = need
  }
  return Math.ceil(least * 255)
}
