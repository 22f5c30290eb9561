import type { Artwork } from '@/lib/artwork/artwork'
import { parseHex, type Rgb } from '@/lib/artwork/colour'
import { blankRaster, pixelWords, type Raster } from '@/lib/artwork/raster'

/** A pixel as the rasters hold it. */
export const pixel = (hex: string, alpha = 255): number => {
  const [r, g, b] = parseHex(hex) as Rgb
  return ((alpha << 24) | (b << 16) | (g << 8) | r) >>> 0
}

/** A picture painted point by point; null leaves it transparent. */
export function painted(width: number, height: number, at: (x: number, y: number) => number | null): Raster {
  const raster = blankRaster(width, height)
  const words = pixelWords(raster)
  for (let y = 0, i = 0; y < height; y++) for (let x = 0; x < width; x++, i++) words[i] = at(x, y) ?? 0
  return raster
}

/** The picture as if it had come from a plain PNG. */
export const asArtwork = (raster: Raster, file: Partial<Artwork['file']> = {}): Artwork => ({
  raster,
  file: {
    sha256: '0'.repeat(64),
    format: 'png',
    widthPx: raster.width,
    heightPx: raster.height,
    alpha: true,
    declaredPpi: null,
    convertedFrom: null,
    pages: 1,
    drawnText: false,
    vector: false,
    ...file,
  },
})

/** The word of one pixel. */
export const wordAt = (raster: Raster, x: number, y: number): number =>
  pixelWords(raster)[y * raster.width + x]!

/** Rows of a published table as objects. */
export const table = (csv: string): Record<string, string>[] => {
  const [head, ...rows] = csv
    .trim()
    .split('\n')
    .map(line => line.split(','))
  return rows.map(row => Object.fromEntries(head!.map((key, i) => [key, row[i] ?? ''])))
}
