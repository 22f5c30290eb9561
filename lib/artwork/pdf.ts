import { deflateSync } from 'node:zlib'
import {
  concatTransformationMatrix,
  drawObject,
  PDFDocument,
  type PDFPage,
  PDFRawStream,
  type PDFRef,
  popGraphicsState,
  pushGraphicsState,
  StandardFonts,
} from '@cantoo/pdf-lib'
import { MM_PER_INCH } from '@/lib/units/measure'
import type { Film } from './film'
import { pixelWords, type Raster } from './raster'
import { PRODUCTION_PPI } from './size'

/** PDF user units (1/72 inch) of a length in mm. */
export const points = (mm: number): number => (mm * 72) / MM_PER_INCH

/** A PDF of films in true size, one page each, one bit a pixel. Films are taken one by one: each may be large. */
export async function filmsPdf(films: AsyncIterable<Film>, title: string): Promise<Uint8Array> {
  const pdf = await emptyPdf(title)
  for await (const film of films) {
    const width = (film.width / PRODUCTION_PPI) * 72
    const height = (film.height / PRODUCTION_PPI) * 72
    const page = pdf.addPage([width, height])
    place(page, bitImage(pdf, film), 0, 0, width, height)
  }
  return pdf.save()
}

/** A picture on a sheet, in mm from the sheet's lower left corner. */
export type SheetPiece = {
  raster: Raster
  x: number
  y: number
  /** As it lies: after the quarter turn, if it has one. */
  width: number
  height: number
  turned: boolean
  /** Printed small below the piece; empty for none. */
  label: string
}
/** One sheet, or the used length of a roll, mm. */
export type PieceSheet = { width: number; height: number; pieces: readonly SheetPiece[] }

/** A print-ready PDF of nested sheets, one page each in true size; transparency is kept and equal art stored once. */
export async function sheetsPdf(sheets: readonly PieceSheet[], title: string): Promise<Uint8Array> {
  const pdf = await emptyPdf(title)
  const font = await pdf.embedFont(StandardFonts.Helvetica)
  const known = new Map<Raster, PDFRef>()
  for (const sheet of sheets) {
    const page = pdf.addPage([points(sheet.width), points(sheet.height)])
    for (const piece of sheet.pieces) {
      const image = known.get(piece.raster) ?? colourImage(pdf, piece.raster)
      known.set(piece.raster, image)
      const [x, y, w, h] = [points(piece.x), points(piece.y), points(piece.width), points(piece.height)]
      if (piece.turned) placeTurned(page, image, x, y, w, h)
      else place(page, image, x, y, w, h)
      // The standard fonts hold Western letters only: others are left as a question mark.
      const label = piece.label.normalize('NFC').replace(/[^\x20-\x7e\xa0-\xff]/g, '?')
      if (label !== '') page.drawText(label, { x, y: y - 6, size: 5, font })
    }
  }
  return pdf.save()
}

async function emptyPdf(title: string): Promise<PDFDocument> {
  // No dates: the same input gives the same file.
  const pdf = await PDFDocument.create({ updateMetadata: false })
  pdf.setTitle(title)
  return pdf
}

function register(
  pdf: PDFDocument,
  pixels: Uint8Array,
  entries: { [key: string]: string | number | PDFRef },
): PDFRef {
  const dict = pdf.context.obj({ Type: 'XObject', Subtype: 'Image', Filter: 'FlateDecode', ...entries })
  return pdf.context.register(PDFRawStream.of(dict, deflateSync(pixels, { level: 6 })))
}

function bitImage(pdf: PDFDocument, film: Film): PDFRef {
  const stride = Math.ceil(film.width / 8)
  const bits = new Uint8Array(stride * film.height)
  for (let y = 0, i = 0; y < film.height; y++)
    for (let x = 0; x < film.width; x++, i++)
      if (film.grey[i]! >= 128) bits[y * stride + (x >> 3)]! |= 0x80 >> (x & 7)
  return register(pdf, bits, {
    Width: film.width,
    Height: film.height,
    ColorSpace: 'DeviceGray',
    BitsPerComponent: 1,
  })
}

function colourImage(pdf: PDFDocument, raster: Raster): PDFRef {
  const words = pixelWords(raster)
  const rgb = new Uint8Array(words.length * 3)
  const alpha = new Uint8Array(words.length)
  for (let i = 0, o = 0; i < words.length; i++) {
    const word = words[i]!
    rgb[o++] = word & 255
    rgb[o++] = (word >>> 8) & 255
    rgb[o++] = (word >>> 16) & 255
    alpha[i] = word >>> 24
  }
  const size = { Width: raster.width, Height: raster.height, BitsPerComponent: 8 }
  const mask = register(pdf, alpha, { ...size, ColorSpace: 'DeviceGray' })
  return register(pdf, rgb, { ...size, ColorSpace: 'DeviceRGB', SMask: mask })
}

function place(page: PDFPage, image: PDFRef, x: number, y: number, w: number, h: number): void {
  draw(page, image, [w, 0, 0, h, x, y])
}

/** A quarter turn to the left: the art's right-hand side points up. */
function placeTurned(page: PDFPage, image: PDFRef, x: number, y: number, w: number, h: number): void {
  draw(page, image, [0, h, -w, 0, x + w, y])
}

type Matrix = readonly [a: number, b: number, c: number, d: number, e: number, f: number]

function draw(page: PDFPage, image: PDFRef, matrix: Matrix): void {
  const name = page.node.newXObject('Art', image)
  page.pushOperators(
    pushGraphicsState(),
    concatTransformationMatrix(...matrix),
    drawObject(name),
    popGraphicsState(),
  )
}
