import { join } from 'node:path'
import pdfmake from 'pdfmake'
import sharp from 'sharp'
import { purchaseDocument } from '@/app/stockroom/purchases/paper'
import type { PurchasePaper } from '@/lib/stock/purchase-words'
import { offerDocument, type PaperOffer } from './document'
import { invoiceDocument, type PaperInvoice } from './invoice-document'

/** What goes to the thread that lays paper out: an offer with the picture file of each artwork on it, an invoice, or an order to a supplier. */
export type PaperTask = OfferTask | PaperInvoice | { purchase: PurchasePaper }
type OfferTask = PaperOffer & { pictures: { artworkId: string; file: string }[] }

// A garment is drawn at most 43 mm wide, so a print at most about 25 mm: 300 pixels are 300 to the inch.
const PICTURE_PX = 300

let ready = false
function fonts() {
  if (ready) return
  // Roboto comes with pdfmake, under the SIL Open Font License 1.1: Latin, Greek and Cyrillic.
  const folder = join(process.cwd(), 'node_modules/pdfmake/build/fonts/Roboto')
  const font = (weight: string) => join(folder, `Roboto-${weight}.ttf`)
  pdfmake.setFonts({
    Roboto: {
      normal: font('Regular'),
      bold: font('Medium'),
      italics: font('Italic'),
      bolditalics: font('MediumItalic'),
    },
  })
  // Whatever stands in an offer, laying it out opens no address and no file but the fonts.
  pdfmake.setUrlAccessPolicy(() => false)
  pdfmake.setLocalAccessPolicy(path => path.startsWith(folder))
  ready = true
}

/** Lays a paper out as a PDF. Takes its thread whole: the server runs it aside. */
export async function layOut(task: PaperTask): Promise<Uint8Array> {
  fonts()
  if ('invoice' in task) return new Uint8Array(await pdfmake.createPdf(invoiceDocument(task)).getBuffer())
  if ('purchase' in task)
    return new Uint8Array(await pdfmake.createPdf(purchaseDocument(task.purchase)).getBuffer())
  const pictures = new Map<string, string>()
  for (const { artworkId, file } of task.pictures) {
    const png = await sharp(file).resize(PICTURE_PX, PICTURE_PX, { fit: 'inside' }).png().toBuffer()
    pictures.set(artworkId, `data:image/png;base64,${png.toString('base64')}`)
  }
  const made = await pdfmake.createPdf(offerDocument(task, id => pictures.get(id) ?? null)).getBuffer()
  return new Uint8Array(made)
}
