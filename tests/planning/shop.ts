import type { PlanMember, PlanOrder, PlanRows, PlanStation, PlanStep } from '@/lib/planning/model'
import { defaultHours } from '@/lib/shop/stations'
import { type Instant, instant } from '@/lib/units/time'

/** Monday 14 September 2026, 08:00 in Lisbon (UTC + 1). */
export const MONDAY = Date.UTC(2026, 8, 14, 7)
export const at = (minutes: number): Instant => instant(MONDAY + minutes * 60_000)
export const LISBON = 'Europe/Lisbon'

export const press = (id: string, change: Partial<PlanStation> = {}): PlanStation => ({
  id,
  name: `Heat press ${id}`,
  kind: 'heat-press',
  state: '149C',
  hours: defaultHours,
  closed: [],
  bedWidthMm: 400,
  bedHeightMm: 500,
  heads: null,
  ...change,
})
export const bench: PlanStation = {
  ...press('bench'),
  name: 'Bench',
  kind: 'bench',
  state: null,
  bedWidthMm: null,
  bedHeightMm: null,
}
export const ana: PlanMember = {
  id: 'ana',
  name: 'Ana',
  skills: ['heat-press', 'bench'],
  hours: defaultHours,
  closed: [],
}

export const order = (id: string, change: Partial<PlanOrder> = {}): PlanOrder => ({
  id,
  number: 1047,
  promiseAt: at(480),
  promiseHard: false,
  rush: false,
  release: at(0),
  ...change,
})
export const step = (id: string, position: number, change: Partial<PlanStep> = {}): PlanStep => ({
  id,
  orderId: 'o',
  job: 'line-1',
  position,
  title: id,
  stationKind: 'heat-press',
  stationState: '149C',
  setupMinutes: 5,
  runMinutes: 40,
  attended: 'all',
  pausable: true,
  gapMin: 0,
  gapMax: null,
  needs: null,
  pieces: 24,
  good: 0,
  spoiled: 0,
  state: 'waiting',
  stationId: null,
  crewId: null,
  startedAt: null,
  finishedAt: null,
  ...change,
})
export const packing: Partial<PlanStep> = { stationKind: 'bench', stationState: null, runMinutes: 10 }

export const rows = (change: Partial<PlanRows> = {}): PlanRows => ({
  zone: LISBON,
  now: at(0),
  stations: [press('a'), bench],
  crew: [ana],
  orders: [order('o')],
  steps: [step('press', 1), step('pack', 2, packing)],
  ...change,
})
