import type { Rgb } from './colour'
import { type FadeSettings, GarmentFade } from './fade'
import { solidOf } from './knockout'
import { isSet } from './mask'
import { eroded } from './morphology'
import { pixelWords, type Raster } from './raster'

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
  const words = pixelWords(raster)
  const tone = new Uint8Array(width * height)
  const fade = settings.garment && new GarmentFade(settings.garment.rgb, settings.garment.fade)
  const whole = new Uint32Array(words.length)
  for (let i = 0; i < words.length; i++) {
    const word = words[i]!
    const a = word >>> 24
    if (a === 0) continue
    tone[i] = fade ? (a * fade.stays(word) + 127) / 255 : a
    whole[i] = tone[i]! << 24
  }
  const kept = eroded(solidOf({ width, height, data: new Uint8Array(whole.buffer) }), settings.chokePx)
  for (let y = 0, i = 0; y < height; y++)
    for (let x = 0; x < width; x++, i++) if (tone[i] !== 0 && !isSet(kept, x, y)) tone[i] = 0
  return tone
}

/** The white layer as a picture: white, with the layer's strength as its alpha. */
export function underbaseOf(raster: Raster, settings: UnderbaseSettings): Raster {
  const tone = underbaseTone(raster, settings)
  const words = new Uint32Array(tone.length)
  for (let i = 0; i < tone.length; i++) if (tone[i] !== 0) words[i] = ((tone[i]! << 24) | 0xffffff) >>> 0
  return { width: raster.width, height: raster.height, data: new Uint8Array(words.buffer) }
}
