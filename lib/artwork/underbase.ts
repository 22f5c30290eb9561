import type { Rgb } from './colour'
import { type FadeSettings, GarmentFade } from './fade'
import { eachRun, emptyMask, type Mask, setRun } from './mask'
import { eroded } from './morphology'
import { type Raster, signedWords } from './raster'
import { SOLID_ALPHA } from './scan'

/** How the white layer under the colours is made. */
export type UnderbaseSettings = {
  /** How far it is drawn in from the colour's edge, pixels, so that no white shows beside it. */
  chokePx: number
  /** Where the cloth's own colour is drawn there is no white beneath. Null: white under everything. */
  garment: { rgb: Rgb; fade: FadeSettings } | null
}

/** White layer for printing on dark cloth: one byte a pixel, 0 no white, 255 full. Half transparent ink gets half. */
export function underbaseTone(raster: Raster, settings: UnderbaseSettings): Uint8Array {
  const { width, height } = raster
  const words = signedWords(raster)
  const tone = new Uint8Array(width * height)
  const mask = emptyMask(width, height)
  const fade = settings.garment && new GarmentFade(settings.garment.rgb, settings.garment.fade)
  for (let y = 0; y < height; y++) toneRow(words, tone, mask, fade, y)
  const kept = eroded(mask, settings.chokePx)
  // What is not kept is cleared where it stands: a second layer would be as much memory again.
  let done = 0
  eachRun(kept, (y, from, to) => {
    tone.fill(0, done, y * width + from)
    done = y * width + to
  })
  return tone.fill(0, done)
}

function toneRow(words: Int32Array, tone: Uint8Array, mask: Mask, fade: GarmentFade | null, y: number): void {
  const { width } = mask
  const row = y * width
  let x = 0
  while (x < width) {
    const word = words[row + x]!
    let end = x + 1
    while (end < width && words[row + end] === word) end++
    const a = word >>> 24
    const white = a === 0 || !fade ? a : ((a * fade.stays(word) + 127) / 255) | 0
    if (white !== 0) tone.fill(white, row + x, row + end)
    if (white >= SOLID_ALPHA) setRun(mask, y, x, end)
    x = end
  }
}

/** The white layer as a picture: white, with the layer's strength as its alpha. */
export function underbaseOf(raster: Raster, settings: UnderbaseSettings): Raster {
  const tone = underbaseTone(raster, settings)
  const words = new Int32Array(tone.length)
  for (let i = 0; i < tone.length; i++) if (tone[i] !== 0) words[i] = (tone[i]! << 24) | 0xffffff
  return { width: raster.width, height: raster.height, data: new Uint8Array(words.buffer) }
}
