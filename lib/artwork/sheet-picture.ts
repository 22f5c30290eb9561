import { letter, TEXT_HEIGHT } from './lettering'
import { blankRaster, pixelWords, type Raster } from './raster'

/** A picture put on a sheet, pixels from the sheet's upper left corner; its label goes just below it. */
export type PicturePiece = { raster: Raster; x: number; y: number; label: string }

const LETTER_SQUARE = 3
const BLACK = 0xff000000

/** The picture turned a quarter to the left: its right-hand side comes up. */
export function turnedLeft(raster: Raster): Raster {
  const { width, height } = raster
  const from = pixelWords(raster)
  const to = new Uint32Array(from.length)
  for (let y = 0, i = 0; y < height; y++)
    for (let x = 0; x < width; x++, i++) to[(width - 1 - x) * height + y] = from[i]!
  return { width: height, height: width, data: new Uint8Array(to.buffer) }
}

/** A whole sheet as one picture on a transparent ground. What runs over its edge is cut off. */
export function sheetPicture(width: number, height: number, pieces: readonly PicturePiece[]): Raster {
  const sheet = blankRaster(width, height)
  const words = pixelWords(sheet)
  for (const { raster, x, y, label } of pieces) {
    const from = pixelWords(raster)
    const across = Math.min(raster.width, width - x)
    for (let row = 0; row < Math.min(raster.height, height - y); row++)
      words.set(from.subarray(row * raster.width, row * raster.width + across), (y + row) * width + x)
    const below = y + raster.height + LETTER_SQUARE
    letter(label, (gx, gy) => {
      const left = x + gx * LETTER_SQUARE
      for (let row = 0; row < LETTER_SQUARE; row++) {
        const at = below + gy * LETTER_SQUARE + row
        if (at < height && left + LETTER_SQUARE <= width)
          words.fill(BLACK, at * width + left, at * width + left + LETTER_SQUARE)
      }
    })
  }
  return sheet
}

/** Pixels a label needs below its piece. */
export const LABEL_PX: number = (TEXT_HEIGHT + 2) * LETTER_SQUARE
