import type { Content, TableCell, TDocumentDefinitions } from 'pdfmake/interfaces'
import { formatAmount } from '@/lib/stock/items'
import type { PurchasePaper } from '@/lib/stock/purchase-words'
import { formatMoney, type Micro, microToMinor } from '@/lib/units/money'

const INK = '#1c1a15'
const MUTED = '#5c5649'
const RULE = '#d5cab8'
const MARGIN = (18 * 72) / 25.4

/** An order to a supplier as a document for A4 or Letter. */
export function purchaseDocument(p: PurchasePaper): TDocumentDefinitions {
  const money = (n: Micro) => formatMoney(microToMinor(n, p.currency), p.currency)
  const head = (text: string, alignment: 'left' | 'right' = 'left'): TableCell => ({
    text,
    bold: true,
    alignment,
    noWrap: true,
  })
  const fact = (term: string, said: string): TableCell[] => [
    { text: term, color: MUTED, noWrap: true },
    { text: said },
  ]
  return {
    pageSize: p.paper === 'letter' ? 'LETTER' : 'A4',
    pageMargins: [MARGIN, MARGIN, MARGIN, MARGIN],
    info: { title: `Order ${p.number}, ${p.shop}`, author: p.shop },
    defaultStyle: { font: 'Roboto', fontSize: 10, lineHeight: 1.25, color: INK },
    footer: (current, count) => ({
      margin: [MARGIN, 16, MARGIN, 0],
      columns: [
        { text: `${p.shop}, order ${p.number}`, fontSize: 8.5, color: MUTED },
        { text: `Page ${current} of ${count}`, fontSize: 8.5, color: MUTED, alignment: 'right' },
      ],
    }),
    content: [
      { text: p.shop, bold: true, fontSize: 12 },
      { text: `Order ${p.number}`, bold: true, fontSize: 22, margin: [0, 8, 0, 8] },
      {
        table: {
          widths: ['auto', '*'],
          body: [
            fact('To', [p.supplier, p.address].filter(Boolean).join(', ')),
            fact('Ordered', p.ordered),
            fact('Wanted by', p.due ?? 'as soon as you can'),
          ],
        },
        layout: 'noBorders',
        margin: [0, 0, 0, 12],
      },
      {
        table: {
          headerRows: 1,
          dontBreakRows: true,
          widths: ['auto', '*', 'auto', 'auto'],
          body: [
            [head('Article'), head('What'), head('How much', 'right'), head('Our price', 'right')],
            ...p.lines.map((l): TableCell[] => [
              { text: l.sku },
              { text: l.name },
              { text: formatAmount(l.quantity, l.unit), alignment: 'right', noWrap: true },
              { text: money(l.value), alignment: 'right', noWrap: true },
            ]),
            [
              { text: 'Together, before tax', bold: true, colSpan: 3 },
              {},
              {},
              { text: money(p.total), bold: true, alignment: 'right', noWrap: true },
            ],
          ],
        },
        layout: {
          hLineWidth: () => 0.6,
          vLineWidth: () => 0,
          hLineColor: () => RULE,
          paddingTop: () => 4,
          paddingBottom: () => 4,
        },
      },
      ...(p.note ? [{ text: p.note, margin: [0, 12, 0, 0] } as Content] : []),
      {
        text: `Please put our order number ${p.number} on the parcel and the invoice, and tell us before you send if something costs more or is not there.`,
        margin: [0, 12, 0, 0],
      },
    ],
  }
}
