import { LINEAR, labDistance, labOf, type Rgb } from './colour'
import type { Ink } from './inks'
import { heldShare, type Mixable, mixable, pairMix } from './mix'
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

/** Colours that a mixer takes at most, and the mark of none. */
const MOST_COLOURS = 15

/**
 * Finds and remembers which inks print a colour: flat, to 6 bits a channel; tonal, to 5 bits, and the share of each exactly for
 * the colour itself. The last of its colours is the cloth.
 */
class Mixer {
  private readonly known: Uint8Array
  /** First ink, second ink << 4 (15: none). */
  private readonly pairs: Uint8Array
  private readonly misses: Float32Array
  private readonly colours: Mixable[]
  /** By pair: what each code of each channel adds to the share of the first ink. */
  private readonly shares: (Float64Array | undefined)[] = new Array(256).fill(undefined)
  private readonly drop: number

  constructor(
    colours: readonly Rgb[],
    private readonly mode: SeparationMode,
  ) {
    this.colours = colours.map(mixable)
    const bits = mode === 'tonal' ? 5 : 6
    this.drop = 8 - bits
    this.known = new Uint8Array(1 << (3 * bits))
    this.pairs = new Uint8Array(1 << (3 * bits))
    this.misses = new Float32Array(1 << (3 * bits))
  }

  /** First ink, second ink << 8 (255: none), share of the first << 16. */
  mixOf(word: number): number {
    const cell = this.cellOf(word)
    if (this.known[cell] === 0) this.find(cell, word)
    const pair = this.pairs[cell]!
    const [p, q] = [pair & 15, pair >>> 4]
    if (q === MOST_COLOURS) return p | (NONE << 8) | (255 << 16)
    const add = this.shares[pair] ?? this.sharesOf(pair)
    const share = add[word & 255]! + add[256 + ((word >>> 8) & 255)]! + add[512 + ((word >>> 16) & 255)]!
    return p | (q << 8) | (Math.round(255 * heldShare(share)) << 16)
  }

  missOf(word: number): number {
    return this.misses[this.cellOf(word)]!
  }

  private cellOf(word: number): number {
    const { drop } = this
    const bits = 8 - drop
    return (
      ((word & 255) >>> drop) |
      ((((word >>> 8) & 255) >>> drop) << bits) |
      ((((word >>> 16) & 255) >>> drop) << (2 * bits))
    )
  }

  /** The share of the first ink is a sum over the channels: it falls along the straight line between the two, in linear light. */
  private sharesOf(pair: number): Float64Array {
    const P = this.colours[pair & 15]!.light
    const Q = this.colours[pair >>> 4]!.light
    const d = [0, 1, 2].map(c => P[c]! - Q[c]!)
    const length = d.reduce((sum, x) => sum + x * x, 0)
    const add = new Float64Array(768)
    for (let c = 0; c < 3; c++)
      for (let code = 0; code < 256; code++)
        add[256 * c + code] = length === 0 ? 1 / 3 : ((LINEAR[code]! - Q[c]!) * d[c]!) / length
    this.shares[pair] = add
    return add
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
    let pair = best | (MOST_COLOURS << 4)
    if (this.mode === 'tonal' && least > 2) {
      const wanted = mixable([r, g, b])
      for (let p = 0; p < this.colours.length; p++)
        for (let q = p + 1; q < this.colours.length; q++) {
          const { miss } = pairMix(wanted, this.colours[p]!, this.colours[q]!, least)
          if (miss >= least) continue
          least = miss
          pair = p | (q << 4)
        }
    }
    this.known[cell] = 1
    this.pairs[cell] = pair
    this.misses[cell] = least
  }
}
