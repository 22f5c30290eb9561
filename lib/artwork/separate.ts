import { labDistance, labOf, type Rgb } from './colour'
import type { Ink } from './inks'
import { type Mixable, mixable, pairMix } from './mix'
import { pixelWords, type Raster } from './raster'

/** One ink's share of the picture. */
export type Separation = {
  ink: Ink
  /** Ink asked for at each pixel: 0 none, 255 solid. */
  tone: Uint8Array
  /** Ink in full pixels. */
  inkPx: number
  /** Whether tones remain that only a halftone can hold; soft edges alone do not count. */
  tonal: boolean
}

/** All inks, and how far the print will be from the art. */
export type Separations = {
  separations: Separation[]
  /** Mean CIEDE2000 between art and print, over the inked pixels. */
  residual: number
}

/** `flat`: each pixel is one ink. `tonal`: a pixel may be two inks, or an ink and the cloth, in the right shares. */
export type SeparationMode = 'flat' | 'tonal'

const NONE = 0xff
/** Film with at least this share of its ink in half tones needs a halftone. */
const TONAL_SHARE = 0.08

/**
 * Splits a picture into spot inks on a cloth. In `tonal` mode a colour between two inks is mixed from their dots
 * side by side.
 */
export function separated(
  raster: Raster,
  inks: readonly Ink[],
  garment: Rgb,
  mode: SeparationMode,
): Separations {
  if (inks.length === 0 || inks.length > 14) throw new RangeError('A separation takes 1 to 14 inks.')
  const mixer = new Mixer([...inks.map(ink => ink.rgb), garment], mode)
  const words = pixelWords(raster)
  const tones = inks.map(() => new Uint8Array(words.length))
  const half = new Float64Array(inks.length)
  const sums = new Float64Array(inks.length)
  let missed = 0
  let seen = 0
  for (let i = 0; i < words.length; i++) {
    const word = words[i]!
    const a = word >>> 24
    if (a === 0) continue
    const mix = mixer.mixOf(word)
    missed += a * mixer.missOf(word)
    seen += a
    const share = mix >>> 16
    lay(mix & 255, ((a * share + 127) / 255) | 0, i)
    lay((mix >>> 8) & 255, ((a * (255 - share) + 127) / 255) | 0, i)
  }
  function lay(ink: number, amount: number, at: number): void {
    if (amount === 0 || ink >= inks.length) return
    tones[ink]![at] = amount
    sums[ink]! += amount
    if (amount > 25 && amount < 230) half[ink]! += amount
  }
  return {
    separations: inks.map((ink, k) => ({
      ink,
      tone: tones[k]!,
      inkPx: sums[k]! / 255,
      tonal: sums[k]! > 0 && half[k]! / sums[k]! > TONAL_SHARE,
    })),
    residual: seen === 0 ? 0 : missed / seen,
  }
}

/** Finds and remembers the mix for each colour, to 6 bits a channel. The last of its colours is the cloth. */
class Mixer {
  private readonly known = new Uint8Array(1 << 18)
  private readonly mixes = new Uint32Array(1 << 18)
  private readonly misses = new Float32Array(1 << 18)
  private readonly colours: Mixable[]

  constructor(
    colours: readonly Rgb[],
    private readonly mode: SeparationMode,
  ) {
    this.colours = colours.map(mixable)
  }

  /** First ink, second ink << 8 (255: none), share of the first << 16. */
  mixOf(word: number): number {
    const cell = cellOf(word)
    if (this.known[cell] === 0) this.find(cell, word)
    return this.mixes[cell]!
  }

  missOf(word: number): number {
    return this.misses[cellOf(word)]!
  }

  private find(cell: number, word: number): void {
    const r = word & 255
    const g = (word >>> 8) & 255
    const b = (word >>> 16) & 255
    const lab = labOf(r, g, b)
    let best = 0
    let least = Number.POSITIVE_INFINITY
    this.colours.forEach((ink, k) => {
      const d = labDistance(lab, ink.lab)
      if (d < least) {
        least = d
        best = k
      }
    })
    let mix = best | (NONE << 8) | (255 << 16)
    if (this.mode === 'tonal' && least > 2) {
      const wanted = mixable([r, g, b])
      for (let p = 0; p < this.colours.length; p++)
        for (let q = p + 1; q < this.colours.length; q++) {
          const { share, miss } = pairMix(wanted, this.colours[p]!, this.colours[q]!)
          if (miss >= least) continue
          least = miss
          mix = p | (q << 8) | (Math.round(255 * share) << 16)
        }
    }
    this.known[cell] = 1
    this.mixes[cell] = mix
    this.misses[cell] = least
  }
}

const cellOf = (word: number): number =>
  ((word >>> 2) & 63) | ((word >>> 4) & 0xfc0) | ((word >>> 6) & 0x3f000)
