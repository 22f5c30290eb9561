import { formatMoney, type Minor } from '@/lib/units/money'
import { formatLongDay, formatMoment } from '@/lib/units/time'
import type { OfferPage } from './offer'
import { printSentence } from './offer-words'
import { formatSizeRun } from './size-run'

/** One thing in which a version of an offer differs from the one before. An empty text means that it is not there. */
export type VersionChange = { what: string; before: string; after: string }

/** What a customer reads of an offer, thing by thing. Number, version and the day it was made differ always and are left out. */
function wordsOf(page: OfferPage): Map<string, string> {
  const show = (amount: Minor) => formatMoney(amount, page.shop.currency)
  const words = new Map<string, string>()
  words.set('For', [page.customer.name, page.customer.contact].filter(Boolean).join(', '))
  words.set('What it is for', page.title)
  words.set('Message', page.message)
  words.set(
    'Promise',
    `${formatMoment(page.promise.at, page.shop.timeZone)}${page.promise.hard ? ', for certain' : ''}`,
  )
  page.lines.forEach((line, i) => {
    const n = i + 1
    words.set(`Blank ${n}`, `${line.styleName}, ${line.colour}, ${line.fibreWords}`)
    words.set(`Sizes of blank ${n}`, `${formatSizeRun(line.sizes)}: ${line.pieces} in all`)
    line.prints.forEach((print, k) => {
      words.set(`Print ${k + 1} on blank ${n}`, printSentence(print, page.shop.measures))
    })
    words.set(`Price for one of blank ${n}`, show(line.each))
  })
  words.set('Printed by', [page.methodWords, page.feel].filter(Boolean).join(': '))
  for (const extra of page.extras) words.set(extra.words, show(extra.amount))
  words.set('Before tax', show(page.net))
  words.set(page.taxTerms.name, show(page.tax))
  words.set('Total', show(page.gross))
  words.set('Deposit', page.deposit > 0 ? show(page.deposit) : '')
  words.set('Valid until', formatLongDay(page.validUntil, page.shop.timeZone))
  words.set('Care', page.care.join(' '))
  words.set('What to know', page.cautions.join(' '))
  return words
}

/** In what two versions of an offer differ, in the order in which they are read. Empty where the customer reads the same. */
export function offerChanges(before: OfferPage, after: OfferPage): VersionChange[] {
  const [a, b] = [wordsOf(before), wordsOf(after)]
  return [...new Set([...a.keys(), ...b.keys()])]
    .map(what => ({ what, before: a.get(what) ?? '', after: b.get(what) ?? '' }))
    .filter(c => c.before !== c.after)
}
