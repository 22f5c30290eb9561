import { randomUUID } from 'node:crypto'
import fc from 'fast-check'
import { afterEach, beforeEach, expect, test } from 'vitest'
import { usualInvoicing } from '@/lib/books/invoices/invoice'
import { AGES, owedByCustomer } from '@/lib/books/invoices/owed'
import {
  changeInvoicing,
  moneySums,
  owingOrders,
  writeCreditNote,
  writeInvoice,
} from '@/lib/books/invoices/store'
import { balance } from '@/lib/books/journal/journal'
import { journal } from '@/lib/books/journal/store'
import { totalOf } from '@/lib/books/margin'
import type { MonthReport } from '@/lib/books/month'
import { sharesOfMonth } from '@/lib/books/months/store'
import { proveBooks } from '@/lib/books/proof/store'
import { addOrderCost, closeMonth, monthReport, reopenMonth } from '@/lib/books/store'
import { db, transaction } from '@/lib/server/database'
import { addItem } from '@/lib/stock/items/store'
import { findPurchase, receivePurchase, writePurchase } from '@/lib/stock/purchases/store'
import { bookAtShelf, countTx, issueTx } from '@/lib/stock/store'
import { levels } from '@/lib/stock/views/store'
import { micro, microPerMinor, minor, sumMinor } from '@/lib/units/money'
import type { Result } from '@/lib/units/result'
import { type Instant, instant, monthBounds, type ShopMonth, shopMonth } from '@/lib/units/time'
import { freshDatabase } from '../support/database'

const ZONE = 'Europe/Lisbon'
const by = { id: null, name: 'Ines' }
const MONTHS = ['2026-03', '2026-04', '2026-05'].map(shopMonth)
const START = monthBounds(MONTHS[0] as ShopMonth, ZONE).from
const END = monthBounds(MONTHS[2] as ShopMonth, ZONE).to
const DAY = 86_400_000
const value = <T>(done: Result<T>): T => {
  if (!done.ok) throw new Error(done.message)
  return done.value
}

let close: () => Promise<void>
let items: { tee: string; ink: string }
let station: string
beforeEach(async () => {
  close = await freshDatabase()
  await db().shop.create({
    data: { id: 1, name: 'A shop', currency: 'EUR', timeZone: ZONE, measures: 'metric', belowZero: true },
  })
  value(await changeInvoicing({ ...usualInvoicing, seller: 'A shop, 1 Quay' }, by, START))
  const item = async (sku: string, kind: 'blank' | 'ink', unit: 'piece' | 'mg', price: number) =>
    value(await addItem({ sku, name: sku, kind, unit, price: micro(price) }, by, instant(START - DAY)))
  items = { tee: await item('TEE', 'blank', 'piece', 3_137_931), ink: await item('INK', 'ink', 'mg', 17) }
  for (const [sku, quantity, worth] of [
    ['TEE', 9_000, 28_241_379_311],
    ['INK', 80_000_000, 1_383_000_007],
  ] as const)
    value(
      await bookAtShelf(
        { sku, by, now: instant(START - DAY) },
        { kind: 'received', quantity, value: micro(worth) },
      ),
    )
  const row = await db().station.create({
    data: {
      code: 'press',
      name: 'Press',
      kind: 'screen-press',
      position: 1,
      facts: {},
      hours: [],
      closed: [],
    },
  })
  station = row.id
})
afterEach(() => close())

/** What may happen on a day of an order; a history is a few hundred orders with up to a dozen of these each. */
type Step = {
  what:
    | 'issue'
    | 'spoil'
    | 'work'
    | 'cost'
    | 'pay'
    | 'refund'
    | 'invoice'
    | 'part'
    | 'credit'
    | 'buy'
    | 'receive'
    | 'count'
  size: number
  gap: number
}
type OrderPlan = {
  start: number
  net: number
  taxBp: number
  end: 'out' | 'withdrawn' | 'open'
  steps: Step[]
  after: Step[]
}
const step = fc.record({
  what: fc.constantFrom<Step['what']>(
    'issue',
    'issue',
    'spoil',
    'work',
    'work',
    'work',
    'cost',
    'pay',
    'pay',
    'refund',
    'invoice',
    'part',
    'credit',
    'buy',
    'receive',
    'count',
  ),
  size: fc.integer({ min: 1, max: 40 }),
  gap: fc.integer({ min: 1, max: 3 * DAY }),
})
const plan = fc.record({
  start: fc.integer({ min: 0, max: END - START - DAY }),
  net: fc.integer({ min: 1_001, max: 90_000 }),
  taxBp: fc.constantFrom(0, 600, 2300),
  end: fc.constantFrom<OrderPlan['end']>('out', 'out', 'out', 'out', 'withdrawn', 'open'),
  steps: fc.array(step, { minLength: 4, maxLength: 12 }),
  after: fc.array(step, { maxLength: 3 }),
})

/** Plays a history through the shop's own stores, in the order of time, and closes a month when its turn comes. */
async function play(plans: readonly OrderPlan[], closing: readonly number[]): Promise<number> {
  const events: { at: Instant; happen: () => Promise<void> }[] = []
  const customer = await db().customer.create({ data: { name: 'Gull Row Choir' } })
  let count = 0
  for (const [i, p] of plans.entries()) {
    const tax = Math.round((p.net * p.taxBp) / 10_000)
    const order = await db().order.create({
      data: {
        number: 1001 + i,
        customerId: customer.id,
        state: 'making',
        method: ['screen', 'dtg', 'transfer'][i % 3] ?? null,
        agreedAt: new Date(START + p.start),
        netMinor: p.net,
        taxMinor: tax,
        grossMinor: p.net + tax,
      },
    })
    const jobStep = await db().jobStep.create({
      data: {
        orderId: order.id,
        job: 'print',
        position: 1,
        key: 'print',
        title: 'Print',
        stationKind: 'screen-press',
        setupMinutes: 1,
        runMinutes: 1,
        attended: 'all',
        pausable: false,
        pieces: 1,
        sizes: [],
        recipe: {},
      },
    })
    let at = START + p.start
    const book = (s: Step) => {
      at += s.gap
      const now = instant(at)
      if (at >= END + 20 * DAY) return
      events.push({
        at: now,
        happen: () =>
          happen(s, { id: order.id, number: order.number, stepId: jobStep.id, gross: p.net + tax }, now),
      })
    }
    for (const s of p.steps) book(s)
    at += DAY
    const done = new Date(at)
    if (p.end !== 'open' && at < END)
      events.push({
        at: instant(at),
        happen: async () => {
          await db().order.update({
            where: { id: order.id },
            data:
              p.end === 'out'
                ? { state: 'handedOver', handedOverAt: done }
                : { state: 'withdrawn', endedAt: done },
          })
        },
      })
    for (const s of p.after)
      book({ ...s, what: s.what === 'invoice' && p.end === 'withdrawn' ? 'cost' : s.what })
  }
  MONTHS.forEach((month, i) => {
    const after = closing[i] ?? 0
    const at = instant(monthBounds(month, ZONE).to + after)
    if (after > 0) events.push({ at, happen: async () => void value(await closeMonth(month, by, at)) })
  })
  for (const e of events.sort((a, b) => a.at - b.at)) {
    await e.happen()
    count++
  }
  return count
}

async function happen(
  s: Step,
  order: { id: string; number: number; stepId: string; gross: number },
  now: Instant,
): Promise<void> {
  const formKey = randomUUID()
  switch (s.what) {
    case 'issue':
    case 'spoil':
      await transaction(async tx =>
        value(
          await issueTx(tx, {
            orderId: order.id,
            by,
            now,
            kind: s.what === 'issue' ? 'issued' : 'spoiled',
            rows: [
              { itemId: items.tee, quantity: s.what === 'issue' ? s.size : 1 },
              { itemId: items.ink, quantity: s.size * 977 },
            ],
          }),
        ),
      )
      return
    case 'work':
      await db().workLog.create({
        data: {
          stepId: order.stepId,
          orderId: order.id,
          stationId: station,
          byName: s.size % 2 ? 'Rui' : 'Ines',
          fromAt: new Date(now - s.size * 60_000),
          toAt: new Date(now),
          labourSeconds: s.size * 60,
          machineSeconds: s.size * 45,
          labourMinor: s.size * 47,
          machineMinor: s.size * 13,
        },
      })
      return
    case 'cost':
      value(
        await addOrderCost({
          orderNumber: order.number,
          kind: s.size % 2 ? 'freight' : 'outside',
          amount: minor(s.size * 31),
          note: '',
          by,
          now,
          formKey,
        }),
      )
      return
    case 'pay':
    case 'refund': {
      const { _sum } = await db().payment.aggregate({
        where: { orderId: order.id },
        _sum: { amountMinor: true },
      })
      const paid = _sum.amountMinor ?? 0
      const amount =
        s.what === 'pay' ? Math.min(order.gross - paid, s.size * 900) : -Math.min(paid, s.size * 100)
      if (amount === 0 || (s.what === 'pay' && amount < 0)) return
      await db().payment.create({
        data: {
          orderId: order.id,
          kind: amount < 0 ? 'refund' : 'rest',
          amountMinor: amount,
          means: 'card',
          at: new Date(now),
          byName: 'Ines',
          formKey,
        },
      })
      return
    }
    case 'invoice':
    case 'part':
      // What the rules refuse (nothing left, too much) does not happen.
      await writeInvoice(
        { orderNumber: order.number, amount: s.what === 'part' ? minor(s.size * 200) : null, formKey },
        by,
        now,
      )
      return
    case 'buy':
      value(
        await writePurchase({
          ...{ supplier: 'A mill', dueAt: null, note: '', by, now },
          rows: [
            { itemId: items.tee, quantity: s.size * 3, value: micro(s.size * 9_500_003) },
            { itemId: items.ink, quantity: s.size * 10_007, value: micro(s.size * 171_001) },
          ],
        }),
      )
      return
    case 'receive': {
      // A part or all of what is open, some of it at another price than was ordered.
      const row = await db().purchase.findFirst({
        where: { state: { in: ['draft', 'sent'] } },
        orderBy: { number: 'asc' },
      })
      const open = row && (await findPurchase(row.number))
      if (!open) return
      const came = open.lines.map((l, i) => {
        const left = l.quantity - l.received
        const quantity = s.size % 2 ? left : Math.floor(left / 2)
        return {
          lineId: l.id,
          quantity,
          ...(s.size % 5 === 0 && i === 0 ? { value: micro(quantity * 3_211_117) } : {}),
        }
      })
      if (came.some(c => c.quantity > 0))
        value(await receivePurchase(open.number, open.version, came, by, now))
      return
    }
    case 'count': {
      // A few more or less than the book has; orders carry a share of what more was used.
      const itemId = s.size % 2 ? items.tee : items.ink
      const onHand = (await levels([itemId])).get(itemId)?.onHand ?? 0
      const found = Math.max(0, onHand + (s.size % 7) - 3)
      const share = new Map(s.size % 3 === 0 && onHand > 4 ? [[order.id, 2]] : [])
      await transaction(async tx => value(await countTx(tx, itemId, found, share, 'a round', by, now)))
      return
    }
    case 'credit': {
      const about = await db().invoice.findFirst({ where: { orderId: order.id, kind: 'invoice' } })
      if (about)
        await writeCreditNote(
          {
            invoiceId: about.id,
            amount: minor(s.size * 60),
            lowers: s.size % 3 > 0,
            why: 'as the history has it',
            formKey,
          },
          by,
          now,
        )
    }
  }
}

/** All that must hold of every month, closed or open. */
async function holds(now: Instant): Promise<MonthReport[]> {
  expect((await proveBooks(new Date(now))).flatMap(p => p.faults)).toEqual([])
  const kept: MonthReport[] = []
  for (const month of MONTHS) {
    const { report } = await monthReport(month)
    // Months are the sums of their orders, and of the ledgers.
    const late = sumMinor(report.late.map(l => l.amount))
    expect(totalOf(report.rows)).toEqual(report.orders)
    expect(report.total.margin).toBe(report.orders.margin - late)
    expect(report.ties.filter(t => !t.ties)).toEqual([])
    expect(totalOf(report.byMethod)).toEqual(report.orders)
    expect(totalOf(report.byCustomer)).toEqual(report.orders)
    const shares = await sharesOfMonth(month)
    for (const groups of [shares.byBlank, shares.byPerson, shares.byMachine])
      expect(totalOf(groups).margin).toBe(report.orders.margin)
    // The journal balances, entry by entry, and ties to every book.
    const { journal: written } = await journal(month)
    for (const e of written.entries) expect(sumMinor(e.lines.map(l => l.amount))).toBe(0)
    expect(written.ties.filter(t => t.journal !== t.book)).toEqual([])
    expect(Math.abs(balance(written.sums, 'rounding'))).toBeLessThanOrEqual(report.rows.length + 8)
    kept.push(report)
  }
  // Who owes what is what is invoiced less what is paid; what the journals carried is the same.
  const owing = owedByCustomer(await owingOrders(now), now, ZONE)
  for (const c of owing) expect(sumMinor(AGES.map(a => c.byAge[a]))).toBe(c.open)
  return kept
}

const reports = () => Promise.all(MONTHS.map(async month => (await monthReport(month)).report))

test('whatever happens in a shop, and whenever its months are closed and opened again, the books tie', async () => {
  let happened = 0
  await fc.assert(
    fc.asyncProperty(
      fc.array(plan, { minLength: 250, maxLength: 260 }),
      fc.tuple(
        fc.integer({ min: DAY, max: 12 * DAY }),
        fc.integer({ min: DAY, max: 12 * DAY }),
        fc.constantFrom(0, 3 * DAY),
      ),
      async (plans, closing) => {
        happened += await play(plans, closing)
        const now = instant(END + 30 * DAY)
        const before = await holds(now)
        // Value out and value left are value in.
        const [sum] = await db().$queryRaw<{ all: bigint; worth: bigint }[]>`
          SELECT SUM("valueMicro") AS "all", (SELECT SUM(m."worthMicro") FROM "Movement" m
            WHERE m."position" = (SELECT MAX(n."position") FROM "Movement" n WHERE n."itemId" = m."itemId")) AS "worth" FROM "Movement"`
        expect(sum?.worth).toBe(sum?.all)
        // Closing what is open changes nothing.
        if (closing[2] === 0) value(await closeMonth(MONTHS[2] as ShopMonth, by, now))
        expect(await holds(now)).toEqual(before)
        // What came late for the newest comes home when it is opened again.
        const newest = MONTHS[2] as ShopMonth
        value(await reopenMonth(newest, 'a bill came late', by, now))
        value(await closeMonth(newest, by, instant(now + 1000)))
        // Nothing has come late since: opened and closed once more, every month is the very same, to the last word.
        const twice = await holds(now)
        value(await reopenMonth(newest, 'to look at it once more', by, instant(now + 2000)))
        expect(await reports()).toEqual(twice)
        value(await closeMonth(newest, by, instant(now + 3000)))
        expect(await reports()).toEqual(twice)
        // What the journals carried from month to month is what stands in the books at the end.
        const end = instant(END - 1)
        const written: Awaited<ReturnType<typeof journal>>['journal']['sums'][] = []
        for (const month of MONTHS) written.push((await journal(month)).journal.sums)
        const carried = (...accounts: Parameters<typeof balance>[1][]) =>
          sumMinor(written.flatMap(sums => accounts.map(a => balance(sums, a))))
        const sums = await moneySums(end)
        expect(carried('receivable', 'ahead')).toBe(sums.invoiced - sums.paid)
        const { report } = await monthReport(newest)
        expect(carried('progress')).toBe(Math.round(report.carried.closing / microPerMinor('EUR')))
      },
    ),
    { numRuns: 1 },
  )
  expect(happened).toBeGreaterThan(2_000)
}, 240_000)
