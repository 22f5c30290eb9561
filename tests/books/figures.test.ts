import { beforeEach, expect, test } from 'vitest'
import { hadItBeenHere, machinesOf, payBackOf } from '@/lib/books/machines/store'
import { customerYears, piecesByMonth } from '@/lib/books/store'
import { purchaseInput } from '@/lib/costing/purchase-input'
import { db } from '@/lib/server/database'
import { changeStation } from '@/lib/shop/changes/store'
import { defaultRates } from '@/lib/shop/rates'
import { defaultHours, type MachineCost, type WeekHours } from '@/lib/shop/stations'
import { addRateCard, addStation, stations } from '@/lib/shop/store'
import { addItem } from '@/lib/stock/items/store'
import { micro, minor } from '@/lib/units/money'
import type { Result } from '@/lib/units/result'
import { instant, shopMonth } from '@/lib/units/time'
import { freshDatabase } from '../support/database'

// A shop of one press, worked by hand. The press cost 1,200.00, worn off over 24 months from March 2026: 50.00 a month. Upkeep 10.00 a
// month, from May on 20.00; 2 kW at 0.25 a kWh: 0.50 an hour; assumed to work 60 hours a month. It stands open from Monday to Friday
// for nine hours, from May on for four; on 15 June it is taken out of use.
const at = (text: string) => instant(Date.parse(text))
const owner = { id: null, name: 'Ines' }
const value = <T>(done: Result<T>): T => {
  if (!done.ok) throw new Error(done.message)
  return done.value
}
const cost: MachineCost = {
  purchase: { by: 'depreciation', price: minor(120_000), salvage: minor(0), months: 24 },
  upkeepPerMonth: minor(1_000),
  kilowatts: 2,
  productiveHoursPerMonth: 60,
  since: '2026-03',
}
const half: WeekHours = [1, 2, 3, 4, 5].map(weekday => ({ weekday, from: '08:00', to: '12:00' }))
const bed = { bedWidthMm: 400, bedHeightMm: 500, heads: 4 }
let gull = ''

beforeEach(async () => {
  const close = await freshDatabase()
  await db().shop.create({
    data: { id: 1, name: 'One press', currency: 'EUR', timeZone: 'Europe/Lisbon', measures: 'metric' },
  })
  await addRateCard({
    validFrom: instant(0),
    rates: { ...defaultRates, powerPerKwh: micro(250_000) },
    byName: 'Ines',
  })
  const station = await addStation({
    ...{ ...bed, code: 'press', name: 'Press', kind: 'screen-press', position: 1, state: null },
    ...{ hours: defaultHours, closed: [], cost },
  })
  const change = { ...bed, name: 'Press', hours: half, cost: { ...cost, upkeepPerMonth: minor(2_000) } }
  value(
    await changeStation(
      'press',
      1,
      { ...change, from: at('2026-04-30T23:00Z'), retired: false },
      owner,
      at('2026-04-10T09:00Z'),
    ),
  )
  value(
    await changeStation(
      'press',
      2,
      { ...change, from: at('2026-06-14T23:00Z'), retired: true },
      owner,
      at('2026-06-14T23:00Z'),
    ),
  )
  gull = (await db().customer.create({ data: { name: 'Gull Row Choir' } })).id
  const other = (await db().customer.create({ data: { name: 'Allotment club' } })).id
  const tee = { sku: 'TEE', name: 'Tee', kind: 'blank', unit: 'piece', price: micro(3e6) } as const
  const itemId = value(await addItem(tee, owner, at('2025-12-01T09:00Z')))
  const { id: styleId } = await db().blankStyle.create({
    data: { code: 'T', name: 'Tee', kind: 'tee', fibres: { cotton: 1 } },
  })
  const order = async (
    number: number,
    of: { customerId?: string; method?: string; net?: number; pieces?: number; out?: string; ended?: string },
    work?: { hours: number; labour: number; machine: number },
    freight = 0,
  ) => {
    const done = new Date(of.out ?? of.ended ?? 0)
    const { id } = await db().order.create({
      data: {
        ...{ number, customerId: of.customerId ?? gull, method: of.method ?? 'screen' },
        ...{ netMinor: of.net ?? 0, taxMinor: 0, grossMinor: of.net ?? 0, agreedAt: new Date('2025-12-01') },
        ...(of.out
          ? { state: 'handedOver', handedOverAt: done }
          : { state: 'withdrawn', endedAt: done, endedWhy: 'no more' }),
        lines: {
          create: {
            ...{ position: 1, styleId, colour: 'Black' },
            sizes: { create: { itemId, size: 'M', quantity: of.pieces ?? 1 } },
          },
        },
      },
    })
    const step = await db().jobStep.create({
      data: {
        ...{ orderId: id, job: 'batch-1', position: 1, key: 'print', title: 'Print', sizes: [], recipe: {} },
        ...{ stationKind: 'screen-press', setupMinutes: 1, runMinutes: 1, attended: 'all' },
        ...{ pausable: false, pieces: 1 },
      },
    })
    if (work)
      await db().workLog.create({
        data: {
          ...{ stepId: step.id, orderId: id, stationId: station, byName: 'Rui', fromAt: done, toAt: done },
          ...{ labourSeconds: work.hours * 3600, machineSeconds: work.hours * 3600 },
          ...{ labourMinor: work.labour, machineMinor: work.machine },
        },
      })
    if (freight)
      await db().orderCost.create({
        data: { orderId: id, kind: 'freight', amountMinor: freight, note: '', at: done, byName: 'Ines' },
      })
  }
  // 200.00 less 30.00 labour, 2.00 machine and 5.00 freight: 163.00.
  await order(
    1001,
    { out: '2026-04-20T10:00Z', net: 20_000, pieces: 10 },
    { hours: 2, labour: 3_000, machine: 200 },
    500,
  )
  // Half an hour before the year ends in Lisbon.
  await order(1002, { out: '2025-12-31T23:30Z', net: 10_000, pieces: 4 })
  // Given up when 3.00 had been spent on it.
  await order(1003, { ended: '2026-05-12T10:00Z', net: 9_900 }, undefined, 300)
  // Somebody else's: 50.00 less 15.00 and 1.00, by transfer.
  await order(
    1004,
    { customerId: other, method: 'transfer', out: '2026-05-20T10:00Z', net: 5_000, pieces: 7 },
    { hours: 1, labour: 1_500, machine: 100 },
  )
  return close
}, 30_000)

const press = async (month: string, now: string) =>
  (await machinesOf(shopMonth(month), at(now))).find(r => r.station.code === 'press')

test('what a customer’s work earned, year by year: by the shop’s clock, with what was spent on given-up work', async () => {
  expect(await customerYears(gull)).toMatchObject([
    { year: '2026', orders: 2, revenue: 20_000, cost: 4_000, margin: 16_000 },
    { year: '2025', orders: 1, revenue: 10_000, cost: 0, margin: 10_000 },
  ])
})

test('a machine’s month: hours and costs of then, also when both were changed and the machine is gone since', async () => {
  // April 2026 has 22 working days of 9 h. 50.00 + 10.00 + 2 h × 0.50 = 61.00 for two hours; orders were charged 2.00.
  expect(await press('2026-04', '2026-07-01T09:00Z')).toMatchObject({
    workedSeconds: 2 * 3600,
    month: {
      ...{ openSeconds: 198 * 3600, idleSeconds: 196 * 3600, fixed: 6_000, power: 100, charged: 200 },
      ...{ uncovered: 5_900, assumedHour: 150, realHour: 3_050 },
    },
    standing: { done: 2, left: 22, rest: 110_000, next: 5_000 },
  })
  // May has 21 of 4 h. 50.00 + 20.00 + 0.50 for one hour; assumed 70 ÷ 60 + 0.50 = 1.67.
  expect((await press('2026-05', '2026-07-01T09:00Z'))?.month).toMatchObject({
    ...{ openSeconds: 84 * 3600, idleSeconds: 83 * 3600, fixed: 7_000, power: 50, charged: 100 },
    ...{ uncovered: 6_950, assumedHour: 167, realHour: 7_050 },
  })
  // Ten working days of June until it went; none in July, nor before it came.
  expect((await press('2026-06', '2026-07-01T09:00Z'))?.month?.openSeconds).toBe(40 * 3600)
  expect(await press('2026-07', '2026-08-01T09:00Z')).toBeUndefined()
  expect(await press('2026-02', '2026-07-01T09:00Z')).toBeUndefined()
  expect(await stations()).toEqual([])
})

test('a pay-back: margin carried before machine cost, less upkeep and power as they were set then', async () => {
  const row = await press('2026-05', '2026-05-31T12:00Z')
  const back = row && (await payBackOf(row.station, at('2026-05-31T12:00Z')))
  // March: upkeep alone. April: 163.00 + 2.00 carried, 10.00 + 1.00. May: 34.00 + 1.00 carried, 20.00 + 0.50.
  expect(back?.months.map(m => [m.month, m.carried, m.running, m.back])).toEqual([
    ['2026-03', 0, 1_000, -1_000],
    ['2026-04', 16_500, 1_100, 14_400],
    ['2026-05', 3_500, 2_050, 15_850],
  ])
  expect(back).toMatchObject({ price: 120_000, left: 104_150, share: 15_850 / 120_000 })
})

test('pieces by month, and what a press would have saved on them', async () => {
  const now = at('2026-06-20T09:00Z')
  expect((await piecesByMonth('screen', now, 3)).map(m => [m.month, m.pieces])).toEqual([
    ['2026-05', 0],
    ['2026-04', 10],
    ['2026-03', 0],
  ])
  expect((await piecesByMonth('transfer', now, 1))[0]?.pieces).toBe(7)
  // The press of 4,500.00 over 36 months (125.00 a month) that makes for 5.00 what costs 10.00 outside, as the page's form sends it.
  const asked = purchaseInput('EUR').parse({
    ...{ name: '', by: 'depreciation', price: '4500', interest: '0', months: '36', salvage: '0', upkeep: '' },
    ...{ kilowatts: '0', seconds: '60', here: '5', away: '10', pieces: '40' },
  })
  // Ten pieces: 125.00 + 50.00 against 100.00; none: 125.00 for nothing.
  expect(
    (await hadItBeenHere(asked, 'screen', defaultRates, 'EUR', now, 2)).map(r => [r.here, r.out, r.saved]),
  ).toEqual([
    [12_500, 0, -12_500],
    [17_500, 10_000, -7_500],
  ])
})
