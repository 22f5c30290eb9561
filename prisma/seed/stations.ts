import type { MachineCost, StationKind, WeekHours } from '@/lib/shop/stations'
import { minor } from '@/lib/units/money'

/** Half past eight to half past five with a break, Monday to Friday. */
const week = (from: string, to: string): WeekHours => [1, 2, 3, 4, 5].map(weekday => ({ weekday, from, to }))
export const SHOP_HOURS: WeekHours = [...week('08:00', '12:30'), ...week('13:15', '17:30')]
export const SHORT_HOURS: WeekHours = [...week('09:00', '12:30'), ...week('13:15', '16:30')]

/** A station as a seed puts it up. */
export type SeedStation = {
  code: string
  name: string
  kind: StationKind
  state: string | null
  bed: [width: number, height: number] | null
  heads: number | null
  cost: MachineCost | null
}

const spread = (
  price: number,
  years: number,
  upkeep: number,
  kilowatts: number,
  hours: number,
): MachineCost => ({
  purchase: {
    by: 'depreciation',
    price: minor(price),
    salvage: minor(Math.round(price * 0.1)),
    months: years * 12,
  },
  upkeepPerMonth: minor(upkeep),
  kilowatts,
  productiveHoursPerMonth: hours,
})

/** The machines of a small shop that prints by all four methods. Prices are invented. */
export const STATIONS: SeedStation[] = [
  {
    code: 'press-a',
    name: 'Heat press A',
    kind: 'heat-press',
    state: '149C',
    bed: [400, 500],
    heads: null,
    cost: {
      purchase: { by: 'instalments', principal: minor(148_000), yearRateBp: 690, months: 24 },
      upkeepPerMonth: minor(900),
      kilowatts: 1.8,
      productiveHoursPerMonth: 80,
    },
  },
  {
    code: 'press-b',
    name: 'Heat press B',
    kind: 'heat-press',
    state: '204C',
    bed: [400, 500],
    heads: null,
    cost: spread(89_000, 4, 800, 1.6, 60),
  },
  {
    code: 'sublimation',
    name: 'Sublimation printer',
    kind: 'sublimation-printer',
    state: null,
    bed: [330, 483],
    heads: null,
    cost: spread(64_000, 3, 1_400, 0.06, 40),
  },
  {
    code: 'pretreat',
    name: 'Pretreat booth',
    kind: 'pretreat-booth',
    state: null,
    bed: [406, 508],
    heads: null,
    cost: spread(175_000, 5, 1_200, 0.3, 50),
  },
  {
    code: 'garment-printer',
    name: 'Garment printer',
    kind: 'dtg-printer',
    state: null,
    bed: [406, 457],
    heads: null,
    cost: {
      purchase: { by: 'instalments', principal: minor(1_390_000), yearRateBp: 720, months: 48 },
      upkeepPerMonth: minor(9_500),
      kilowatts: 0.5,
      productiveHoursPerMonth: 90,
    },
  },
  {
    code: 'screen-press',
    name: 'Screen press',
    kind: 'screen-press',
    state: null,
    bed: [380, 450],
    heads: 4,
    cost: spread(420_000, 7, 2_500, 0.2, 90),
  },
  {
    code: 'dryer',
    name: 'Dryer',
    kind: 'dryer',
    state: null,
    bed: null,
    heads: null,
    cost: spread(360_000, 8, 1_800, 6.5, 90),
  },
  { code: 'bench', name: 'Bench', kind: 'bench', state: null, bed: null, heads: null, cost: null },
]
