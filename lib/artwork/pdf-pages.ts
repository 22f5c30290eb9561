import { PDFiumLibrary } from '@hyzyla/pdfium'
import { ok, type Result, refuse } from '@/lib/units/result'
import type { Raster } from './raster'

/** A drawn page and how many pages there are. */
export type DrawnPage = { raster: Raster; pages: number }

const MOST_PAGES = 10_000

/**
 * Draws the first page of a PDF on a transparent ground. The renderer is WebAssembly without files or network:
 * whatever the page asks for, it reaches nothing but its own bytes, and scripts in it are not run.
 * @param widthPx width of the page in pixels
 * @param mostPixels pages with more pixels than this are refused
 */
export async function drawFirstPage(
  bytes: Uint8Array,
  widthPx: number,
  mostPixels: number,
): Promise<Result<DrawnPage>> {
  const library = await PDFiumLibrary.init()
  try {
    const document = await library.loadDocument(bytes)
    const pages = document.getPageCount()
    if (pages < 1 || pages > MOST_PAGES)
      return refuse('pdf-pages', `The PDF has ${pages} pages: send the one page that holds the art.`)
    const page = document.getPage(0)
    const { originalWidth, originalHeight } = page.getOriginalSize()
    if (!(originalWidth > 0) || !(originalHeight > 0))
      return refuse('damaged', 'The PDF’s first page has no size: export it again.')
    const width = widthPx
    const height = Math.max(1, Math.round((widthPx * originalHeight) / originalWidth))
    if (width * height > mostPixels)
      return refuse(
        'too-large',
        `The PDF’s page would be ${width} × ${height} pixels at this size and at most ${mostPixels / 1e6} million are taken: crop the page to the art.`,
      )
    const drawn = await page.render({
      width,
      height,
      transparent: true,
      renderFormFields: false,
      render: async ({ data }) => data,
    })
    return ok({ raster: { width: drawn.width, height: drawn.height, data: drawn.data }, pages })
  } catch (error) {
    const said = error instanceof Error ? error.message : String(error)
    return /password/i.test(said)
      ? refuse('pdf-locked', 'The PDF is locked with a password: ask for one without.')
      : refuse(
          'damaged',
          'The PDF is damaged or cut short and cannot be drawn: export it again, or send a PNG.',
        )
  } finally {
    library.destroy()
  }
}
