import type { Raster } from './raster'
import type { ArtFormat } from './sniff'

/** What a file says of itself, as read. */
export type FileFacts = {
  /** Of the file's bytes, in hexadecimal: the same artwork coming back is known by it. */
  sha256: string
  format: ArtFormat
  widthPx: number
  heightPx: number
  /** Whether the file carries transparency. */
  alpha: boolean
  /** Pixels per inch the file claims; null when it claims none. */
  declaredPpi: number | null
  /** Where the colours were turned into sRGB from; null when they were sRGB already. */
  convertedFrom: 'CMYK' | 'greyscale' | 'another RGB profile' | '16 bits a channel' | null
  /** Pictures or pages in the file; only the first is used. */
  pages: number
  /** Whether letters were drawn with this computer's fonts (SVG text). */
  drawnText: boolean
  /** Whether the pixels were drawn from lines and curves (SVG, PDF): any resolution is theirs. */
  vector: boolean
}

/** An artwork in memory: its pixels in sRGB and what its file says. */
export type Artwork = { raster: Raster; file: FileFacts }
