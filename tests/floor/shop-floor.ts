import { randomUUID } from 'node:crypto'
import { recordClearance } from '@/lib/artwork/store'
import { agreeAndPlan } from '@/lib/planning/store'
import { db, transaction } from '@/lib/server/database'
import { METHODS, type MethodId } from '@/lib/shop/methods'
import { defaultRates } from '@/lib/shop/rates'
import { defaultHours, type StationKind } from '@/lib/shop/stations'
import { addCrewMember, addRateCard, addStation, type StationRow } from '@/lib/shop/store'
import { receiveTx } from '@/lib/stock/store'
import { type Micro, minor } from '@/lib/units/money'
import { instant } from '@/lib/units/time'
import { offer, stockUp } from '../orders/books'
import { NOW, ZONE } from '../orders/builders'

export { NOW }
/** Minutes after Thursday 14 May 2026, 10:00 in Lisbon. */
export const later = (minutes: number) => instant(NOW + minutes * 60_000)
export const ANA = { id: 'ana', name: 'Ana' }
export const RUI = { id: 'rui', name: 'Rui' }

const station = (code: string, kind: StationKind, position: number): Omit<StationRow, 'id' | 'version'> => ({
  code,
  kind,
  position,
  name: code,
  hours: defaultHours,
  state: kind === 'heat-press' ? '149C' : null,
  closed: [],
  bedWidthMm: kind === 'bench' ? null : 400,
  bedHeightMm: kind === 'bench' ? null : 500,
  heads: null,
  cost:
    kind === 'heat-press'
      ? {
          // 90.00 a month over 60 productive hours: 1.50 an hour, with no upkeep and no power.
          purchase: { by: 'depreciation', price: minor(90_00 * 24), salvage: minor(0), months: 24 },
          upkeepPerMonth: minor(0),
          kilowatts: 0,
          productiveHoursPerMonth: 60,
        }
      : null,
})

/** A shop with two presses and a bench, Ana and Rui, and shelves with ten blanks of each size. */
export async function openFloor() {
  await db().shop.create({
    data: { id: 1, name: 'Two Presses', currency: 'EUR', timeZone: ZONE, measures: 'metric' },
  })
  await addRateCard({
    validFrom: instant(0),
    rates: { ...defaultRates, transferDays: 0 },
    byName: 'Ines',
  })
  for (const s of [
    station('press-a', 'heat-press', 1),
    station('press-b', 'heat-press', 2),
    station('bench', 'bench', 3),
  ])
    await addStation(s)
  for (const [id, name, wage] of [
    ['ana', 'Ana', 1200],
    ['rui', 'Rui', 1500],
  ] as const)
    await addCrewMember({
      name,
      userId: id,
      skills: ['heat-press', 'bench'],
      hours: defaultHours,
      closed: [],
      wagePerHour: wage,
    })
  const stocked = await stockUp()
  const blanks = await db().stockItem.findMany({ orderBy: { sku: 'asc' } })
  await transaction(async tx => {
    for (const b of blanks)
      await receiveTx(tx, b.id, { quantity: 10, value: 30_000_000 as Micro }, 'Ines', NOW, {})
    await tx.stockItem.create({
      data: {
        sku: 'PARCH',
        name: 'Parchment',
        kind: 'paper',
        unit: 'piece',
        consumable: 'parchment',
        priceMicro: 150_000n,
      },
    })
  })
  await measured(stocked.artworkId)
  const machines = await db().station.findMany()
  return {
    ...stocked,
    stationId: (code: string) => machines.find(m => m.code === code)?.id ?? '',
    itemId: (size: string) => blanks.find(b => b.size === size)?.id ?? '',
  }
}
export type Floor = Awaited<ReturnType<typeof openFloor>>

/** What the art desk has found on the heron at the size of the order, for each method: no picture is read. */
async function measured(artworkId: string) {
  const result = {
    print: { widthMm: 305, heightMm: 300, ppi: 300 },
    ink: { coverage: 0.5, areaCm2: 457.5, partlyTransparent: 0 },
    knockout: { largestSolidBeforeCm2: 60 },
    colours: [
      { hex: '#c0392b', share: 0.7 },
      { hex: '#f1c40f', share: 0.3 },
    ],
  }
  for (const method of METHODS)
    await db().artCheck.create({
      data: { artworkId, key: `305|300|#111111|${method}|300/150/100`, result },
    })
}

/** An agreed order of eight tees by transfer, four S and four 2XL, its art cleared by the customer's declaration. */
export async function agreed(floor: Floor, declares = true, method: MethodId = 'transfer') {
  const { number, token } = await offer(floor, { method })
  if (!declares)
    await recordClearance(
      { artwork: floor.artworkId, basis: 'ownWork', evidence: '' },
      { id: null, name: 'Ines' },
    )
  const made = await agreeAndPlan({ token, name: 'Marta Lopes', declares, now: NOW })
  if (!made.ok) throw new Error(made.message)
  return { number, id: made.value.order.id }
}

export const stepsOfOrder = (orderId: string) =>
  db().jobStep.findMany({ where: { orderId }, orderBy: [{ job: 'asc' }, { position: 'asc' }] })
export async function stepNamed(orderId: string, key: string, job = 'batch-1') {
  const step = (await stepsOfOrder(orderId)).find(s => s.key === key && s.job === job)
  if (!step) throw new Error(`no step ${key} in ${job}`)
  return step
}
export const key = () => randomUUID()
