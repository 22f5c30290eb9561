import { listOrders, ordersAsking, listCustomers, countByState, customerNames, getOrder } from '@/lib/orders/store'
import { openDatabase, setDatabase } from '@/lib/server/database'
import { listItems, dailyUse, findItem, newestLines, layersOf, bookOf, lotsOf } from '@/lib/stock/store'
import { openPurchases, endedPurchases } from '@/lib/stock/purchases/store'
import { printedDesigns, screensOnShelf } from '@/lib/methods/store'
import { monthReport, pastChanges, methodMix, months } from '@/lib/books/store'
import { instantOf } from '@/lib/units/time'
import * as art from '@/lib/artwork/store'
import { boardView } from '@/lib/floor/views/store'
import { dayOf } from '@/lib/units/time'
process.env.SHIRTWRIGHT_DATA='/tmp/stores-large'
setDatabase(openDatabase('file:/tmp/stores-large/demo.db'))
const now = instantOf(new Date())
const T = async (n: string, f: () => Promise<unknown>) => { try { await f(); const ts=[]; let r: any; for (let i=0;i<3;i++){const t = performance.now(); r = await f(); ts.push(performance.now()-t)} console.log(n, Math.round(Math.min(...ts)), 'ms', Array.isArray(r) ? r.length : r?.total ?? '') } catch (e) { console.log(n, (e as Error).message.slice(0,300)) } }
const L = (o: object) => ({ state: 'all', find: '', sort: 'number', down: true, page: 1, ...o }) as never
async function main() {
await T('ordersAsking', () => ordersAsking())
await T('countByState', () => countByState())
await T('orders p1', () => listOrders(L({})))
await T('orders handedOver p200', () => listOrders(L({ state: 'handedOver', page: 200 })))
await T('orders by promise', () => listOrders(L({ sort: 'promise' })))
await T('orders by total', () => listOrders(L({ sort: 'total' })))
await T('orders by customer', () => listOrders(L({ sort: 'customer' })))
await T('find Harbour', () => listOrders(L({ find: 'Harbour' })))
await T('find number', () => listOrders(L({ find: '50123' })))
await T('find nobody', () => listOrders(L({ find: 'nobody of this' })))
await T('find Harbour by total', () => listOrders(L({ find: 'Harbour', sort: 'total' })))
await T('customers', () => listCustomers(''))
await T('customers find', () => listCustomers('Rowing'))
await T('customerNames', () => customerNames())
await T('items', () => listItems())
const ink = await findItem('DTG-WHITE')
if (ink) { await T('dailyUse', () => dailyUse(ink.id, 90, now)); await T('newest', () => newestLines(ink.id)); await T('layers', () => layersOf(ink.id)); await T('book', () => bookOf(ink.id)); await T('lots', () => lotsOf(ink.id, now)) }
await T('openPurchases', () => openPurchases())
await T('endedPurchases', () => endedPurchases(1, 50))
await T('printedDesigns', () => printedDesigns())
await T('screens', () => screensOnShelf())
await T('history', () => pastChanges({}))
await T('history order', () => pastChanges({ entity: 'order' }))
await T('history words', () => pastChanges({ words: 'nobodysaid' }))
await T('artworks', () => (art as any).listArtworks({}))
await T('artworks find', () => (art as any).listArtworks({ find: 'Ferry' }))
await T('months', () => months(now))
await T('methodMix', () => methodMix('2026-10' as never, 12))
await T('month open', () => monthReport('2026-10' as never))
await T('month closed', () => monthReport('2024-05' as never))
await T('board', () => boardView(dayOf(now, 'Europe/Lisbon'), now))
process.exit(0)
}
main()
