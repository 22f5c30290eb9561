import type { Content, TableCell, TDocumentDefinitions } from 'pdfmake/interfaces'
import { INVOICE_WORDS, type InvoicePage, sumRows } from '@/lib/books/invoices/invoice'
import type { Paper } from '@/lib/shop/paper'
import { formatMoney, type Minor } from '@/lib/units/money'
import { formatLongDay, type Instant } from '@/lib/units/time'
import { INK, MARGIN, MARK, MM, MUTED, RULE, rule } from './document'

/** What an invoice is laid out from: its words as kept. */
export type PaperInvoice = { invoice: InvoicePage; shopName: string; paper: Paper }

/** An invoice or a credit note as a document for A4 or Letter: the same words as on its page. */
export function invoiceDocument({ invoice: page, shopName, paper }: PaperInvoice): TDocumentDefinitions {
  const name = `${INVOICE_WORDS[page.kind]} ${page.name}`
  const show = (amount: Minor) => formatMoney(amount, page.currency)
  const day = (at: Instant) => formatLongDay(at, page.timeZone)
  const width = (paper === 'letter' ? 612 : 595.28) - 2 * MARGIN
  const fact = (term: string, said: string): TableCell[] => [
    { text: term, color: MUTED, noWrap: true },
    { text: said },
  ]
  const heading = (text: string, alignment: 'left' | 'right' = 'right'): TableCell => ({
    text,
    alignment,
    color: MUTED,
    fontSize: 8.5,
  })
  const sums = sumRows(page)
  const first = page.lines.length + 1
  return {
    pageSize: paper === 'letter' ? 'LETTER' : 'A4',
    pageMargins: [MARGIN, 16 * MM, MARGIN, 20 * MM],
    info: { title: `${name}, ${shopName}`, author: shopName, subject: page.title },
    defaultStyle: { font: 'Roboto', fontSize: 10, lineHeight: 1.25, color: INK },
    footer: (current, count) => ({
      margin: [MARGIN, 6 * MM, MARGIN, 0],
      columns: [
        { text: `${shopName}, ${name.charAt(0).toLowerCase()}${name.slice(1)}`, fontSize: 8.5, color: MUTED },
        { text: `Page ${current} of ${count}`, fontSize: 8.5, color: MUTED, alignment: 'right' },
      ],
    }),
    content: [
      {
        columns: [
          {
            width: '*',
            stack: [
              {
                columns: [
                  { svg: MARK, width: 18 },
                  { text: shopName, bold: true, fontSize: 12, margin: [0, 2, 0, 0] },
                ],
              },
              { text: name, bold: true, fontSize: 22, margin: [0, 8, 0, 0] },
              ...(page.title ? [{ text: page.title, fontSize: 12 } as Content] : []),
            ],
          },
          {
            width: 210,
            stack: [
              { text: page.seller },
              ...(page.taxNumber ? [{ text: `Tax number ${page.taxNumber}`, color: MUTED } as Content] : []),
            ],
          },
        ],
        columnGap: 16,
        margin: [0, 0, 0, 10],
      },
      rule(width, 1.2, INK),
      {
        columns: [
          {
            width: '*',
            stack: [
              { text: page.kind === 'credit' ? 'Credited to' : 'Invoiced to', color: MUTED, fontSize: 8.5 },
              { text: page.customer.name, bold: true },
              ...[page.customer.contact, page.customer.address]
                .filter(Boolean)
                .map((text): Content => ({ text })),
            ],
          },
          {
            width: 210,
            table: {
              widths: ['auto', '*'],
              body: [
                fact('Date', day(page.issuedAt)),
                ...(page.dueAt === null ? [] : [fact('Due', day(page.dueAt))]),
                ...(page.suppliedAt === null ? [] : [fact('Handed over', day(page.suppliedAt))]),
                fact('Order', String(page.orderNumber)),
                ...(page.about
                  ? [fact('For invoice', `${page.about.name}, ${day(page.about.issuedAt)}`)]
                  : []),
              ],
            },
            layout: 'noBorders',
          },
        ],
        columnGap: 16,
        margin: [0, 12, 0, 14],
      },
      {
        table: {
          headerRows: 1,
          dontBreakRows: true,
          widths: ['*', 'auto', 'auto'],
          body: [
            [heading('What', 'left'), heading('Pieces'), heading('Amount')],
            ...page.lines.map((l): TableCell[] => [
              { text: l.words },
              { text: l.pieces === null ? '' : l.pieces.toLocaleString('en'), alignment: 'right' },
              { text: show(l.amount), alignment: 'right', noWrap: true },
            ]),
            ...sums.map((r): TableCell[] => {
              const big = r.total ? { bold: true, fontSize: 13 } : {}
              return [
                { text: r.words, ...big },
                { text: '' },
                { text: show(r.amount), alignment: 'right', noWrap: true, ...big },
              ]
            }),
          ],
        },
        layout: {
          hLineWidth: i => (i === 0 ? 0 : i === 1 || i === first ? 1 : 0.5),
          hLineColor: i => (i === 1 || i === first ? INK : RULE),
          vLineWidth: () => 0,
          paddingLeft: i => (i === 0 ? 0 : 10),
          paddingRight: () => 0,
          paddingTop: () => 4,
          paddingBottom: () => 4,
        },
      },
      ...(page.kind === 'invoice' && page.bank
        ? [{ text: `Pay to: ${page.bank}. Please name ${page.name}.`, margin: [0, 14, 0, 0] } as Content]
        : []),
      ...(page.note ? [{ text: page.note, margin: [0, 10, 0, 0], color: MUTED } as Content] : []),
    ],
  }
}
