import type { Content, TableCell, TDocumentDefinitions } from 'pdfmake/interfaces'
import { sidesOf } from '@/app/counter/line-sides'
import { garmentSvg } from '@/app/parts/garment-svg'
import { type OfferLine, type OfferPage, offerName } from '@/lib/orders/offer'
import { methodSentence, priceNotes, priceRows, printSentence } from '@/lib/orders/offer-words'
import { formatPieces } from '@/lib/orders/size-run'
import type { Paper } from '@/lib/shop/paper'
import { formatMoney, type Minor } from '@/lib/units/money'
import { formatLongDay, formatTime } from '@/lib/units/time'

/** What an offer is laid out from: its words as kept, and what is true of it today. */
export type PaperOffer = {
  page: OfferPage
  paper: Paper
  /** Who agreed and when, in words; what else has become of it; empty while it waits. */
  standing: string
  /** Where it can be answered; empty where it no longer can. */
  address: string
}

export const INK = '#1c1a15'
export const MUTED = '#5c5649'
export const RULE = '#d5cab8'
const ACCENT = '#0c5460'
/** Points to a millimetre. */
export const MM = 72 / 25.4
export const MARGIN = 18 * MM

export const MARK = `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 28 28" width="28" height="28"><g fill="none" stroke="${INK}" stroke-width="1.8"><circle cx="14" cy="14" r="7.5"/><path d="M14 1v26M1 14h26"/></g><circle cx="14" cy="14" r="3.2" fill="${ACCENT}"/></svg>`

export const rule = (width: number, weight = 0.6, color = RULE): Content => ({
  canvas: [{ type: 'line', x1: 0, y1: 0, x2: width, y2: 0, lineWidth: weight, lineColor: color }],
})

/**
 * An offer as a document for A4 or Letter: the same words as the customer's page, with the garments drawn to scale.
 * @param picture an artwork's picture as a data address, or null where there is none
 */
export function offerDocument(
  { page, paper, standing, address }: PaperOffer,
  picture: (artworkId: string) => string | null,
): TDocumentDefinitions {
  const { shop } = page
  const name = offerName(page.number, page.version)
  const day = (at: OfferPage['madeAt']) => formatLongDay(at, shop.timeZone)
  const width = (paper === 'letter' ? 612 : 595.28) - 2 * MARGIN
  const certain = page.promise.hard ? ', for certain, if you agree in time' : ''
  return {
    pageSize: paper === 'letter' ? 'LETTER' : 'A4',
    pageMargins: [MARGIN, 16 * MM, MARGIN, 20 * MM],
    info: { title: `Offer ${name}, ${shop.name}`, author: shop.name, subject: page.title },
    defaultStyle: { font: 'Roboto', fontSize: 10, lineHeight: 1.25, color: INK },
    footer: (current, count) => ({
      margin: [MARGIN, 6 * MM, MARGIN, 0],
      columns: [
        { text: `${shop.name}, offer ${name}`, fontSize: 8.5, color: MUTED },
        { text: `Page ${current} of ${count}`, fontSize: 8.5, color: MUTED, alignment: 'right' },
      ],
    }),
    content: [
      head(page, name, day),
      rule(width, 1.2, INK),
      ...(standing ? [{ text: standing, bold: true, margin: [0, 10, 0, 0] } as Content] : []),
      ...(page.message ? [{ text: page.message, margin: [0, 10, 0, 0] } as Content] : []),
      {
        margin: [0, 10, 0, 12],
        fontSize: 12,
        text: [
          'Ready by ',
          { text: day(page.promise.at), bold: true },
          `, ${formatTime(page.promise.at, shop.timeZone)}${certain}.`,
        ],
      },
      ...page.lines.flatMap(line => [lineOf(line, page, picture), rule(width)]),
      { text: methodSentence(page), margin: [0, 12, 0, 4] },
      prices(page),
      ...priceNotes(page).map((text): Content => ({ text, margin: [0, 4, 0, 0] })),
      ...care(page),
      ...(address ? [answer(address)] : []),
    ],
  }
}

function head(page: OfferPage, name: string, day: (at: OfferPage['madeAt']) => string): Content {
  const customer = [page.customer.name, page.customer.contact].filter(Boolean).join(', ')
  const fact = (term: string, said: string): TableCell[] => [
    { text: term, color: MUTED, noWrap: true },
    { text: said },
  ]
  return {
    columns: [
      {
        width: '*',
        stack: [
          {
            columns: [
              { svg: MARK, width: 18 },
              { text: page.shop.name, bold: true, fontSize: 12, margin: [0, 2, 0, 0] },
            ],
          },
          { text: `Offer ${name}`, bold: true, fontSize: 22, margin: [0, 8, 0, 0] },
          ...(page.title ? [{ text: page.title, fontSize: 12 } as Content] : []),
        ],
      },
      {
        width: 210,
        table: {
          widths: ['auto', '*'],
          body: [
            fact('For', customer),
            fact('Made', day(page.madeAt)),
            fact('Valid until', day(page.validUntil)),
          ],
        },
        layout: 'noBorders',
      },
    ],
    columnGap: 16,
    margin: [0, 0, 0, 10],
  }
}

function lineOf(line: OfferLine, page: OfferPage, picture: (artworkId: string) => string | null): Content {
  const { size, sides } = sidesOf(line)
  const drawn = sides.map(
    ({ side, prints }): Content => ({
      svg: garmentSvg(
        {
          kind: line.kind,
          size,
          side,
          cloth: line.colourHex,
          prints: prints.map(p => ({ ...p, href: p.artworkId ? picture(p.artworkId) : null })),
        },
        INK,
      ),
      fit: sides.length > 1 ? [84, 110] : [120, 120],
    }),
  )
  const run = line.sizes.filter(s => s.quantity > 0)
  return {
    unbreakable: true,
    margin: [0, 10, 0, 10],
    columnGap: 16,
    columns: [
      { width: 176, columns: drawn, columnGap: 8 },
      {
        width: '*',
        stack: [
          {
            text: `${formatPieces(line.pieces)}: ${line.styleName}, ${line.colour}`,
            bold: true,
            fontSize: 12,
          },
          { text: line.fibreWords, color: MUTED, margin: [0, 2, 0, 6] },
          ...rowsOf(run, 8).map(
            (part): Content => ({
              margin: [0, 0, 0, 6],
              table: {
                body: [
                  part.map(s => ({ text: s.size, color: MUTED, fontSize: 8.5, alignment: 'center' })),
                  part.map(s => ({
                    text: String(s.quantity),
                    bold: true,
                    fontSize: 11,
                    alignment: 'center',
                  })),
                ],
              },
              layout: {
                hLineWidth: () => 0,
                vLineWidth: () => 0,
                paddingLeft: i => (i === 0 ? 0 : 8),
                paddingRight: () => 8,
                paddingTop: () => 0,
                paddingBottom: () => 0,
              },
            }),
          ),
          ...line.prints.map(
            (p): Content => ({ text: printSentence(p, page.shop.measures), margin: [0, 0, 0, 2] }),
          ),
        ],
      },
    ],
  }
}

/** A long run of sizes in rows of so many. */
const rowsOf = <T>(list: readonly T[], most: number): T[][] =>
  list.length <= most ? [[...list]] : [list.slice(0, most), ...rowsOf(list.slice(most), most)]

function prices(page: OfferPage): Content {
  const show = (amount: Minor) => formatMoney(amount, page.shop.currency)
  const heading = (text: string, alignment: 'left' | 'right' = 'right'): TableCell => ({
    text,
    alignment,
    color: MUTED,
    fontSize: 8.5,
  })
  const rows = priceRows(page)
  return {
    margin: [0, 8, 0, 4],
    // A short price is read in one look; a long one goes on under its head.
    unbreakable: rows.length <= 14,
    table: {
      headerRows: 1,
      dontBreakRows: true,
      keepWithHeaderRows: 1,
      widths: ['*', 'auto', 'auto', 'auto'],
      body: [
        [heading('What', 'left'), heading('Pieces'), heading('For one'), heading('Amount')],
        ...rows.map((r): TableCell[] => {
          const big = r.total ? { bold: true, fontSize: 14 } : {}
          return [
            { text: r.words, ...big },
            { text: r.pieces === undefined ? '' : r.pieces.toLocaleString('en'), alignment: 'right' },
            { text: r.each === undefined ? '' : show(r.each), alignment: 'right', noWrap: true },
            { text: show(r.amount), alignment: 'right', noWrap: true, ...big },
          ]
        }),
      ],
    },
    layout: {
      hLineWidth: i => (i === 0 ? 0 : i === 1 || i >= rows.length ? 1 : 0.5),
      hLineColor: i => (i === 1 || i >= rows.length ? INK : RULE),
      vLineWidth: () => 0,
      paddingLeft: i => (i === 0 ? 0 : 10),
      paddingRight: () => 0,
      paddingTop: () => 4,
      paddingBottom: () => 4,
    },
  }
}

function care(page: OfferPage): Content[] {
  const said = [...page.care, ...page.cautions]
  if (said.length === 0) return []
  return [
    {
      unbreakable: true,
      stack: [
        { text: 'Care, and what to know', bold: true, fontSize: 12, margin: [0, 12, 0, 4] },
        { ul: said.map(text => ({ text, margin: [0, 0, 0, 2] })), markerColor: MUTED },
      ],
    },
  ]
}

const answer = (address: string): Content => ({
  unbreakable: true,
  margin: [0, 14, 0, 0],
  stack: [
    { text: 'Your answer', bold: true, fontSize: 12, margin: [0, 0, 0, 2] },
    'Agree, ask for a change or decline at this address:',
    { text: address, link: address, color: ACCENT, decoration: 'underline' },
  ],
})
