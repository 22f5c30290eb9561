import { listArtworks, namedArtworks } from '@/lib/artwork/store'
import { invoicesBetween, moneySums, owingOrders, paymentSums, taxedOrders } from '@/lib/books/invoices/store'
import { machinesOf } from '@/lib/books/machines/store'
import { faultsOfMonth } from '@/lib/books/months/store'
import { months, pastChanges } from '@/lib/books/store'
import { dayView } from '@/lib/floor/happened/store'
import { boardView } from '@/lib/floor/views/store'
import { printedDesigns, screensOnShelf } from '@/lib/methods/store'
import { OPEN_STATES } from '@/lib/orders/states'
import { listCustomers, listOrders, ordersAsking } from '@/lib/orders/store'
import { listCounts } from '@/lib/stock/counts/store'
import { frameKinds, listFrames } from '@/lib/stock/frames/store'
import { comingBefore, endedPurchases, openPurchases } from '@/lib/stock/purchases/store'
import {
  bookOf,
  dailyUse,
  findItem,
  itemPage,
  layersOf,
  listItems,
  lotsOf,
  lotsUntil,
  newestLines,
} from '@/lib/stock/views/store'
import { dayOf, type Instant, monthBounds, monthOf, nextMonth } from '@/lib/units/time'

type List = Parameters<typeof listOrders>[0]
const orders = (over: Partial<List>) =>
  listOrders({ state: 'all', find: '', sort: 'number', down: true, page: 1, ...over } as List)

/** What the pages that list things read before they are drawn. */
export const LIST_DATA: [string, (now: Instant) => Promise<unknown>][] = [
  ['counter, what asks', () => ordersAsking()],
  ['orders, newest', () => orders({})],
  ['orders, handed over, page 20', () => orders({ state: 'handedOver', page: 20 })],
  ['orders, by promise', () => orders({ sort: 'promise' })],
  ['orders, by total', () => orders({ sort: 'total' })],
  ['customers', () => listCustomers('')],
  ['artwork of open orders', () => listArtworks({ orderStates: [...OPEN_STATES] })],
  ['board', now => boardView(dayOf(now, 'Europe/Lisbon'), now)],
  ['stockroom, items', () => itemPage({}, 1, 100)],
  ['stockroom, what to order', () => itemPage({ only: 'order', sort: 'worth', down: true }, 1, 100)],
  ['stockroom, screens and frames', () => Promise.all([screensOnShelf(), listFrames(), frameKinds()])],
  ['stockroom, an ink with its book', inkPage],
  ['stockroom, purchases', () => Promise.all([openPurchases(), endedPurchases(1, 50)])],
  ['stockroom, counts', () => listCounts(1, 50)],
  ['stockroom, printed designs', () => printedDesigns()],
  ['stockroom, today', now => Promise.all([listItems(), lotsUntil(now), comingBefore(now)])],
  ['floor, a day', now => dayView(dayOf(now, 'Europe/Lisbon'), now)],
  ['office, money', moneyPage],
  [
    'office, tax by payments',
    now => {
      const { from, to } = monthBounds(lastMonth(now), 'Europe/Lisbon')
      return taxedOrders(from, to)
    },
  ],
  ['office, machines', now => machinesOf(lastMonth(now), now)],
  ['office, late orders and misprints', now => faultsOfMonth(lastMonth(now))],
  ['office, months', now => months(now)],
  ['office, history', () => pastChanges({})],
  ['office, history of orders', () => pastChanges({ entity: 'order' })],
]

/** Looking something up. */
export const SEARCH_DATA: [string, () => Promise<unknown>][] = [
  ['an order by its number', () => orders({ find: '1050' })],
  ['orders by a customer’s name', () => orders({ find: 'Harbour' })],
  ['orders by words that nothing has', () => orders({ find: 'nobody of this name' })],
  ['customers by name', () => listCustomers('Rowing')],
  ['artwork by its name', () => namedArtworks('Ferry')],
  ['artwork by words that nothing has', () => namedArtworks('nobody of this name')],
  ['orders, customers and artwork at once', () => everything('Ferry')],
  ['all of them by words that nothing has', () => everything('nobody of this name')],
  ['the history by a name', () => pastChanges({ words: 'Harbour' })],
  ['the history by words that nothing has', () => pastChanges({ words: 'nobody of this name' })],
  ['items by words', () => itemPage({ words: 'black M' }, 1, 100)],
]

/** What the page that finds anything reads. */
const everything = (find: string) =>
  Promise.all([orders({ find }), listCustomers(find, 1, 20), namedArtworks(find, 20)])

const lastMonth = (now: Instant) => nextMonth(monthOf(now, 'Europe/Lisbon'), -1)

function moneyPage(now: Instant): Promise<unknown> {
  const { from, to } = monthBounds(lastMonth(now), 'Europe/Lisbon')
  return Promise.all([owingOrders(now), moneySums(now), invoicesBetween(from, to), paymentSums(from, to)])
}

async function inkPage(now: Instant): Promise<unknown> {
  const ink = await findItem('DTG-WHITE')
  if (!ink) throw new Error('There is no white ink in this shop.')
  return Promise.all([
    bookOf(ink.id, { most: 60 }),
    dailyUse(ink.id, 90, now),
    newestLines(ink.id),
    layersOf(ink.id),
    lotsOf(ink.id, now),
  ])
}
