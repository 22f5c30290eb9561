import { randomUUID } from 'node:crypto'
import { beforeEach, expect, test } from 'vitest'
import { getOrder, repeatOrder } from '@/lib/orders/store'
import { db } from '@/lib/server/database'
import { freshDatabase } from '../support/database'
import { enquire, INES, type Stocked, stockUp } from './books'
import { NOW, ZONE } from './builders'

let stock: Stocked
beforeEach(async () => {
  const close = await freshDatabase()
  await db().shop.create({
    data: { id: 1, name: 'Tidewater Print', currency: 'EUR', timeZone: ZONE, measures: 'metric' },
  })
  stock = await stockUp()
  return close
})

test('an order is repeated whole, as a new enquiry without price and promise, once for one press', async () => {
  const old = await enquire(stock, { rush: true })
  const print = await db().print.findFirstOrThrow()
  await db().print.update({ where: { id: print.id }, data: { layers: { inks: 2 } } })
  const key = randomUUID()
  const [made, again] = [
    await repeatOrder(old.number, key, INES, NOW),
    await repeatOrder(old.number, key, INES, NOW),
  ]
  expect(again).toEqual(made)
  if (!made.ok) throw new Error(made.message)
  const fresh = await getOrder(made.value.number)
  expect(fresh?.number).not.toBe(old.number)
  expect(fresh).toMatchObject({
    state: 'enquiry',
    title: old.title,
    customer: { id: old.customer.id },
    promiseAt: null,
    rush: false,
    gross: null,
    agreed: null,
    payments: [],
  })
  const bare = (order: typeof old | null) =>
    order?.lines.map(({ id: _, prints, ...line }) => ({
      ...line,
      prints: prints.map(({ id: __, ...p }) => p),
    }))
  expect(bare(fresh)).toEqual(bare(old))
  const films = await db().print.findMany({ where: { line: { order: { number: made.value.number } } } })
  expect(films.map(p => p.layers)).toEqual([{ inks: 2 }])
  expect(await db().order.count()).toBe(2)
})

test('what is no longer in the catalogue is left out, and the note and the history say so; nothing left is refused', async () => {
  const old = await enquire(stock)
  const gone = old.lines[0]?.sizes.find(s => s.size === '2XL')
  const words = `${gone?.quantity} × ${old.lines[0]?.style.name}, ${old.lines[0]?.colour}, 2XL`
  await db().stockItem.updateMany({ where: { size: '2XL' }, data: { retired: true } })
  const made = await repeatOrder(old.number, randomUUID(), INES, NOW)
  expect(made).toMatchObject({ ok: true, value: { left: [words] } })
  const fresh = await getOrder(made.ok ? made.value.number : 0)
  expect(fresh?.lines[0]?.sizes.map(s => s.size)).toEqual(
    old.lines[0]?.sizes.map(s => s.size).filter(s => s !== '2XL'),
  )
  expect(fresh?.note).toContain(`Left out of order ${old.number}, no longer to be had: ${words}.`)
  expect((await db().history.findMany()).map(h => h.what)).toContain(
    `repeats order ${old.number} without ${words}`,
  )
  await db().order.delete({ where: { id: fresh?.id ?? '' } })
  await db().stockItem.updateMany({ data: { retired: true } })
  expect(await repeatOrder(old.number, randomUUID(), INES, NOW)).toMatchObject({
    ok: false,
    message: expect.stringMatching(/^Nothing of order \d+ is in the catalogue any more/),
  })
  expect(await repeatOrder(4_000, randomUUID(), INES, NOW)).toMatchObject({ ok: false, code: 'unknown' })
  expect(await db().order.count()).toBe(1)
})
