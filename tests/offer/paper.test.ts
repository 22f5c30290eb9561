import { mkdtempSync } from 'node:fs'
import { join } from 'node:path'
import { PDFDocument } from '@cantoo/pdf-lib'
import { PDFiumLibrary } from '@hyzyla/pdfium'
import sharp from 'sharp'
import { describe, expect, inject, test } from 'vitest'
import { layOut, type PaperTask } from '@/app/offer/paper/lay-out'
import { decideOffer } from '@/lib/orders/offer'
import { aLine, anOrder, aPrice, NOW, SHOP, someTerms, uuid } from '../orders/builders'

/** An offer of so many lines, with the picture of its one artwork. */
async function task(more: Partial<PaperTask> = {}, lines = 1, message = ''): Promise<PaperTask> {
  const order = anOrder({ lines: Array.from({ length: lines }, () => aLine()) })
  const made = decideOffer(
    order,
    someTerms({ price: aPrice(order), message, care: ['Wash inside out at 30 °C.'] }),
    SHOP,
    2,
    NOW,
  )
  if (!made.ok) throw new Error(made.message)
  const file = join(mkdtempSync(join(inject('scratch'), 'paper-')), 'heron.webp')
  await sharp({ create: { width: 480, height: 472, channels: 4, background: '#c0392b' } })
    .webp()
    .toFile(file)
  return {
    page: made.value.snapshot.page,
    paper: 'a4',
    standing: '',
    address: 'https://shop.example/offer/abc',
    pictures: [{ artworkId: uuid(40), file }],
    ...more,
  }
}

async function words(pdf: Uint8Array): Promise<string> {
  const library = await PDFiumLibrary.init()
  const document = await library.loadDocument(pdf)
  const text = [...document.pages()].map(p => p.getText()).join('\n')
  document.destroy()
  library.destroy()
  return text.replace(/\s+/g, ' ')
}

describe('an offer as a PDF', () => {
  test.each([
    ['a4', [595.28, 841.89]],
    ['letter', [612, 792]],
  ] as const)('on %s every page has the size of the sheet', async (paper, [width, height]) => {
    const pdf = await PDFDocument.load(await layOut(await task({ paper }, 12)))
    expect(pdf.getPageCount()).toBeGreaterThan(1)
    for (const sheet of pdf.getPages()) {
      expect(sheet.getWidth()).toBeCloseTo(width, 1)
      expect(sheet.getHeight()).toBeCloseTo(height, 1)
    }
  })
  test('says number, version, customer, sizes, placement, price, tax, total, promise, care and the address', async () => {
    const text = await words(await layOut(await task()))
    for (const said of [
      'Offer 1042-2',
      'Gull Row Choir, Marta',
      '24 pieces: Heavy tee, Black',
      'S 4, M 8, L 8, 2XL 4',
      'heron.png',
      '€12.50',
      'VAT 23 %',
      '€369.00',
      'Friday 22 May 2026',
      'Wash inside out at 30 °C.',
      'https://shop.example/offer/abc',
      'Page 1 of 1',
    ])
      expect(text).toContain(said)
  })
  test('says what became of it in the place of an address', async () => {
    const text = await words(await layOut(await task({ standing: 'Agreed by Marta Lopes.', address: '' })))
    expect(text).toContain('Agreed by Marta Lopes.')
    expect(text).not.toContain('Your answer')
  })
  test('holds the picture of the artwork', async () => {
    const pictures = async (one: PaperTask) => {
      const pdf = await PDFDocument.load(await layOut(one))
      return pdf.context.enumerateIndirectObjects().filter(([, o]) => /\/Subtype \/Image/.test(o.toString()))
        .length
    }
    const withOne = await task()
    expect(await pictures(withOne)).toBeGreaterThan(0)
    expect(await pictures({ ...withOne, pictures: [] })).toBe(0)
  })
  test('markup, addresses and other alphabets in what people typed stay text', async () => {
    const text = await words(await layOut(await task({}, 1, '<b>Łódź</b> Київ file:///etc/passwd')))
    expect(text).toContain('<b>Łódź</b> Київ file:///etc/passwd')
  })
})
