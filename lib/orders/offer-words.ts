import { writeSizeRules } from '@/lib/artwork/size-rules'
import { PLACEMENT } from '@/lib/shop/placements'
import { formatLength, type MeasureSystem, mm } from '@/lib/units/measure'
import { formatMoney, type Minor, minor } from '@/lib/units/money'
import type { OfferPage, OfferPrint } from './offer'
import { formatSizeRun } from './size-run'

/** A row of an offer's price: a line with its pieces, or what is added and taken off. Rows stand as they add up. */
export type PriceRow = {
  key: string
  words: string
  pieces?: number
  each?: Minor
  amount: Minor
  total?: true
}

const taxWords = ({ taxTerms }: OfferPage): string =>
  `${taxTerms.name} ${Number((taxTerms.rateBp / 100).toFixed(2))} %`

/** What stands between the lines and the total: the tax, put on, held in it, or taken off. */
function taxRows(page: OfferPage): PriceRow[] {
  const { taxTerms, net, shown } = page
  if (page.taxExempt)
    return net === shown
      ? []
      : [{ key: 'exempt', words: `${taxWords(page)} taken off`, amount: minor(net - shown) }]
  if (taxTerms.inclusive || page.tax === 0) return []
  return [
    { key: 'net', words: 'Before tax', amount: net },
    { key: 'tax', words: taxWords(page), amount: page.tax },
  ]
}

/** The price of an offer as its customer reads it, the total last. */
export const priceRows = (page: OfferPage): PriceRow[] => [
  ...page.lines.map((line, i) => ({
    key: `line-${i}`,
    words: `${line.styleName}, ${line.colour} (${formatSizeRun(line.sizes)})`,
    pieces: line.pieces,
    each: line.each,
    amount: line.amount,
  })),
  ...page.extras.map(e => ({ key: e.words, words: e.words, amount: e.amount })),
  ...taxRows(page),
  { key: 'total', words: 'Total', amount: page.gross, total: true },
]

/** What is said under the price: the tax held in it, an exemption, the deposit. */
export function priceNotes(page: OfferPage): string[] {
  const show = (amount: Minor) => formatMoney(amount, page.shop.currency)
  const { taxTerms: tax, gross, deposit } = page
  const notes: string[] = []
  if (tax.inclusive && !page.taxExempt && page.tax > 0)
    notes.push(`${show(page.tax)} ${taxWords(page)} is in the total.`)
  if (page.taxExempt) notes.push(`No ${tax.name}: the customer is exempt.`)
  if (deposit > 0)
    notes.push(
      `${show(deposit)} of it is asked for as a deposit before the work begins, ${show(minor(gross - deposit))} when it is handed over.`,
    )
  return notes
}

/** A print in a sentence: where, how large, how far down, which artwork. */
export const printSentence = (p: OfferPrint, measures: MeasureSystem): string =>
  `${p.placementWords}, ${formatLength(mm(p.widthMm), measures)} wide and ${formatLength(mm(p.heightMm), measures)} high, ` +
  `${formatLength(mm(p.dropMm), measures)} ${PLACEMENT[p.placement].measuredFrom}${
    p.bySize?.length ? `, on ${writeSizeRules(p.bySize, measures)} wide` : ''
  }: “${p.artworkName}”`

/** How it is printed and how that feels. */
export const methodSentence = (page: OfferPage): string =>
  `Printed by ${page.methodWords.charAt(0).toLowerCase()}${page.methodWords.slice(1)}${page.feel ? `: ${page.feel}` : ''}.`
