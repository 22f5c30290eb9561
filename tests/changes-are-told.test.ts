import { randomUUID } from 'node:crypto'
import { expect, test } from 'vitest'
import { recordClearance } from '@/lib/artwork/store'
import { usualInvoicing } from '@/lib/books/invoices/invoice'
import { changeInvoicing, writeCreditNote, writeInvoice } from '@/lib/books/invoices/store'
import { addOrderCost, changeRates, closeMonth, reopenMonth } from '@/lib/books/store'
import { takePace } from '@/lib/costing/store'
import { startStep } from '@/lib/floor/store'
import { dropScreens, keepScreens } from '@/lib/methods/store'
import { bookPayment } from '@/lib/orders/store'
import { agreeAndPlan } from '@/lib/planning/store'
import { endKey, makeKey } from '@/lib/server/api-keys'
import { db } from '@/lib/server/database'
import { historyOf } from '@/lib/server/history'
import { changeJob, invite, resetPassword, setActive } from '@/lib/server/sign-ins'
import { setPin } from '@/lib/server/tablets'
import { changeMember } from '@/lib/shop/changes/store'
import { rateCards } from '@/lib/shop/store'
import { approveCount, countLine, dropCount, startCount } from '@/lib/stock/counts/store'
import { addItem, changeItem, changeValuation } from '@/lib/stock/items/store'
import { findPurchase, purchaseSent, receivePurchase, writePurchase } from '@/lib/stock/purchases/store'
import { bookAtShelf } from '@/lib/stock/store'
import { micro, minor } from '@/lib/units/money'
import { shopMonth } from '@/lib/units/time'
import { agreed, later, NOW, openFloor, stepNamed } from './floor/shop-floor'
import { offer, show } from './orders/books'
import { freshDatabase } from './support/database'

const ADA = { id: 'ada', name: 'Ada Brook' }

/** A change that somebody makes, and what the history says of it: before and after as far as they are named here. */
type Told = {
  of: 'money' | 'stock' | 'state' | 'rates' | 'rights'
  change: () => Promise<unknown>
  on: () => Promise<[entity: string, ref: string]>
  before?: unknown
  after?: unknown
}

test('every change of money, stock, state, rates and rights is told on the thing itself: who, when, before, after', async () => {
  const close = await freshDatabase()
  try {
    const floor = await openFloor()
    const order = await agreed(floor)
    const offered = await offer(floor, { method: 'transfer' })
    const on = (entity: string, ref: string) => async (): Promise<[string, string]> => [entity, ref]
    const onOrder = on('order', order.id)
    const item = async () => db().stockItem.findUniqueOrThrow({ where: { sku: 'T1-BLK-S' } })
    const onItem = async (): Promise<[string, string]> => ['item', (await item()).id]
    const by = ADA.name
    const purchase = async () => {
      const found = await findPurchase(1)
      if (!found) throw new Error('no purchase')
      return found
    }
    const person = async () => (await db().person.findFirstOrThrow({ where: { name: 'Rui Marsh' } })).id
    const onPerson = async (): Promise<[string, string]> => ['sign-in', await person()]
    const onCount = (number: number) => async (): Promise<[string, string]> => [
      'count',
      (await db().stockCount.findUniqueOrThrow({ where: { number } })).id,
    ]
    const onPurchase = async (): Promise<[string, string]> => ['purchase', (await purchase()).id]
    const ana = await db().crewMember.findFirstOrThrow({ where: { name: 'Ana' } })
    const keyOf = async () => (await db().apiKey.findFirstOrThrow()).id
    const screens = async () => (await db().keptScreen.findFirstOrThrow()).id
    const [card] = await rateCards()
    if (!card) throw new Error('no rates')
    const MONTH = shopMonth('2026-04')

    const table: Record<string, Told> = {
      'a payment': {
        of: 'money',
        change: () =>
          bookPayment(
            order.number,
            { kind: 'deposit', amount: minor(1000), means: 'card', note: '', formKey: randomUUID() },
            ADA,
            NOW,
            show,
          ),
        on: onOrder,
        before: { paid: 0 },
        after: { paid: 1000 },
      },
      'what stands on invoices': {
        of: 'money',
        change: () => changeInvoicing({ ...usualInvoicing, seller: 'Two Presses, 1 Quay' }, ADA, NOW),
        on: on('shop', 'invoicing'),
        before: { seller: '' },
        after: { seller: 'Two Presses, 1 Quay' },
      },
      'an invoice': {
        of: 'money',
        change: () =>
          writeInvoice({ orderNumber: order.number, amount: null, formKey: randomUUID() }, ADA, NOW),
        on: onOrder,
        after: { gross: expect.any(Number) },
      },
      'a credit note': {
        of: 'money',
        change: async () =>
          writeCreditNote(
            {
              invoiceId: (await db().invoice.findFirstOrThrow({ where: { kind: 'invoice' } })).id,
              amount: minor(100),
              lowers: true,
              why: 'a late one',
              formKey: randomUUID(),
            },
            ADA,
            NOW,
          ),
        on: onOrder,
        after: { gross: expect.any(Number) },
      },
      'a cost of an order': {
        of: 'money',
        change: () =>
          addOrderCost({
            orderNumber: order.number,
            kind: 'freight',
            amount: minor(700),
            note: '',
            by: ADA,
            now: NOW,
          }),
        on: onOrder,
        after: { kind: 'freight', amount: 700 },
      },
      'goods that came to the shelf': {
        of: 'stock',
        change: () =>
          bookAtShelf(
            { sku: 'T1-BLK-S', by: ADA, now: NOW },
            { kind: 'received', quantity: 5, value: micro(15_000_000) },
          ),
        on: onItem,
        before: { onHand: 10 },
        after: { onHand: 15 },
      },
      'an item': {
        of: 'stock',
        change: () =>
          addItem({ sku: 'TAPE', name: 'Tape', kind: 'film', unit: 'mm', price: micro(100) }, ADA, NOW),
        on: async () => ['item', (await db().stockItem.findUniqueOrThrow({ where: { sku: 'TAPE' } })).id],
        after: { sku: 'TAPE', name: 'Tape' },
      },
      'what an item costs and when it is ordered': {
        of: 'stock',
        change: () =>
          changeItem(
            'TAPE',
            1,
            {
              ...{ name: 'Wide tape', supplier: '', retired: false, price: micro(200), breaks: [] },
              ...{ reorderPoint: 0, reorderTo: 0, leadDays: 0, minOrder: 0 },
            },
            ADA,
            NOW,
          ),
        on: async () => ['item', (await db().stockItem.findUniqueOrThrow({ where: { sku: 'TAPE' } })).id],
        before: { name: 'Tape', price: 100 },
        after: { name: 'Wide tape', price: 200 },
      },
      'a purchase that is written': {
        of: 'stock',
        change: async () =>
          writePurchase({
            ...{ supplier: 'A mill', dueAt: null, note: '', by: ADA, now: NOW },
            rows: [{ itemId: (await item()).id, quantity: 3, value: micro(9_000_000) }],
          }),
        on: onPurchase,
        after: { state: 'draft' },
      },
      'a purchase that is sent': {
        of: 'state',
        change: async () => purchaseSent(1, (await purchase()).version, ADA, NOW),
        on: onPurchase,
        before: { state: 'draft' },
        after: { state: 'sent' },
      },
      'a purchase that came': {
        of: 'stock',
        change: async () => {
          const { version, lines } = await purchase()
          return receivePurchase(1, version, [{ lineId: lines[0]?.id ?? '', quantity: 3 }], ADA, NOW)
        },
        on: onPurchase,
        before: { state: 'sent' },
        after: { state: 'received' },
      },
      'a count that is approved': {
        of: 'stock',
        change: async () => {
          await startCount({ name: 'May', blind: true, kinds: [] }, ADA, NOW)
          await countLine({ number: 1, itemId: (await item()).id, found: 17, seen: 1 }, ADA, NOW)
          return approveCount(1, new Set(), ADA, NOW)
        },
        on: onCount(1),
        before: { state: 'open' },
        after: { state: 'approved', booked: 1 },
      },
      'a count that is dropped': {
        of: 'state',
        change: async () => {
          await startCount({ name: 'June', blind: true, kinds: [] }, ADA, NOW)
          return dropCount(2, ADA, NOW)
        },
        on: onCount(2),
        before: { state: 'open' },
        after: { state: 'dropped' },
      },
      'an order that is agreed': {
        of: 'state',
        change: () => agreeAndPlan({ token: offered.token, name: ADA.name, declares: true, now: NOW }),
        on: async () => [
          'order',
          (await db().order.findUniqueOrThrow({ where: { number: offered.number } })).id,
        ],
        before: { state: 'offered' },
        after: { state: 'agreed' },
      },
      'work that begins': {
        of: 'state',
        change: async () =>
          startStep({
            stepId: (await stepNamed(order.id, 'cut')).id,
            stationId: floor.stationId('bench'),
            by: ADA,
            now: NOW,
            formKey: randomUUID(),
          }),
        on: onOrder,
        before: { state: 'waiting' },
        after: { state: 'running' },
      },
      'art that is cleared': {
        of: 'state',
        change: () =>
          recordClearance(
            { artwork: floor.artworkId, basis: 'ownWork', evidence: 'seen' },
            ADA,
            new Date(NOW),
          ),
        on: on('artwork', floor.artworkId),
        before: { basis: 'customerDeclaration' },
        after: { basis: 'ownWork' },
      },
      'a month that is closed': {
        of: 'state',
        change: () => closeMonth(MONTH, ADA, NOW),
        on: on('month', MONTH),
        before: { state: 'open' },
        after: { state: 'closed' },
      },
      'a month that is opened again': {
        of: 'state',
        change: () => reopenMonth(MONTH, 'a bill came late', ADA, NOW),
        on: on('month', MONTH),
        before: { state: 'closed' },
        after: { state: 'open' },
      },
      'kept screens': {
        of: 'stock',
        change: () =>
          keepScreens(
            { artworkId: floor.artworkId, widthMm: 305, heightMm: 300, screens: 3, place: 'rack 2' },
            ADA,
            NOW,
          ),
        on: async () => ['screens', await screens()],
        after: { screens: 3, place: 'rack 2' },
      },
      'screens off the shelf': {
        of: 'stock',
        change: async () => dropScreens(await screens(), ADA, NOW),
        on: async () => ['screens', await screens()],
        before: { screens: 3 },
        after: { screens: 0 },
      },
      'the rates': {
        of: 'rates',
        change: () =>
          changeRates({ rates: { ...card.rates, transferDays: 4 }, from: NOW, basedOn: card.id }, ADA, NOW),
        on: on('rates', 'rates'),
        before: { transferDays: '0' },
        after: { transferDays: '4' },
      },
      'a wage': {
        of: 'rates',
        change: () =>
          changeMember(
            ana.id,
            ana.version,
            {
              ...{ name: 'Ana', skills: ['bench'], hours: [], wage: minor(1300), retired: false },
              from: later(60),
            },
            ADA,
            NOW,
          ),
        on: on('crew', ana.id),
        before: { wage: 1200 },
        after: { wage: 1300 },
      },
      'a time taken from the clocks': {
        of: 'rates',
        change: () =>
          takePace(
            { recipe: 'dtg', key: 'print', stationId: null, factor: 1.2, runs: 9, least: 1, most: 1.5 },
            ADA,
            NOW,
          ),
        on: on('recipe', 'dtg'),
        after: { factor: 1.2, runs: 9 },
      },
      'how stock is valued': {
        of: 'rates',
        change: () => changeValuation('average', ADA, NOW),
        on: on('shop', 'valuation'),
        before: { valuation: 'fifo' },
        after: { valuation: 'average' },
      },
      'who may sign in': {
        of: 'rights',
        change: () => invite({ name: 'Rui Marsh', password: 'squeegee and flood bar', role: 'press' }, ADA),
        on: onPerson,
        after: { role: 'press' },
      },
      'a job': {
        of: 'rights',
        change: async () => changeJob(await person(), 'counter', [], ADA),
        on: onPerson,
        before: { role: 'press' },
        after: { role: 'counter' },
      },
      'rights beyond a job': {
        of: 'rights',
        change: async () => changeJob(await person(), 'press', ['floor.plan'], ADA),
        on: onPerson,
        before: { also: 'nothing' },
        after: { also: 'change the plan' },
      },
      'a PIN': {
        of: 'rights',
        change: async () => setPin(await person(), '7291', ADA),
        on: onPerson,
        before: { ownPin: false },
        after: { ownPin: true },
      },
      'a new password by the owner': {
        of: 'rights',
        change: async () => resetPassword(await person(), 'another flood bar again', ADA),
        on: onPerson,
        before: { secondFactor: false },
        after: { secondFactor: false },
      },
      'who may sign in no more': {
        of: 'rights',
        change: async () => setActive(await person(), false, ADA),
        on: onPerson,
        before: { active: true },
        after: { active: false },
      },
      'the key of a program': {
        of: 'rights',
        change: () => makeKey('web shop', ['orders.add'], ADA, new Date(NOW)),
        on: async () => ['key', await keyOf()],
        after: { scopes: ['orders.add'] },
      },
      'the end of a key': {
        of: 'rights',
        change: async () => endKey(await keyOf(), ADA, new Date(NOW)),
        on: async () => ['key', await keyOf()],
        before: { scopes: ['orders.add'] },
        after: { scopes: [] },
      },
    }

    for (const [name, told] of Object.entries(table)) {
      const lines = await db().history.count()
      const done = await told.change()
      expect(done, name).toMatchObject({ ok: true })
      expect(await db().history.count(), name).toBeGreaterThan(lines)
      const past = await historyOf(...(await told.on()), 20)
      const mine = past.find(line => {
        const fits = (part: unknown, wanted: unknown) =>
          wanted === undefined || expect.objectContaining(wanted as object).asymmetricMatch(part)
        return line.byName === by && fits(line.before, told.before) && fits(line.after, told.after)
      })
      expect(mine, `${name}: ${JSON.stringify(past)}`).toBeDefined()
      expect(mine?.at.getTime(), name).toBeGreaterThan(0)
    }

    // And nobody edits what stands there, by whatever way.
    const [line] = await db().history.findMany({ take: 1 })
    const where = { id: line?.id ?? '' }
    await expect(db().history.update({ where, data: { byName: 'Somebody' } })).rejects.toThrow()
    await expect(db().history.delete({ where })).rejects.toThrow()
    await expect(db().$executeRaw`DELETE FROM "History"`).rejects.toThrow(/never removed/)
    await expect(db().$executeRaw`UPDATE "History" SET "what" = ''`).rejects.toThrow(/never edited/)
    expect(await db().history.findUnique({ where })).toEqual(line)
  } finally {
    await close()
  }
})
