import type { ArtFacts, LineWork, OrderWork, PrintWork } from '@/lib/costing/order'
import { type Costing, prepare, type ShopWork } from '@/lib/costing/prepare'
import type { Blank, Size } from '@/lib/shop/blanks'
import { defaultRates, type Rates } from '@/lib/shop/rates'
import { defaultRecipes, finish } from '@/lib/shop/recipes'
import { DEFAULT_BED, defaultHours, type Station, type StationKind } from '@/lib/shop/stations'
import type { Micro, Minor } from '@/lib/units/money'

/** A station with its usual bed, bought for so much over so many months. */
export const aStation = (kind: StationKind, given: Partial<Station> = {}): Station => ({
  id: `${kind}-1`,
  kind,
  name: kind,
  hours: defaultHours,
  state: null,
  bedWidthMm: DEFAULT_BED[kind]?.width ?? null,
  bedHeightMm: DEFAULT_BED[kind]?.height ?? null,
  heads: kind === 'screen-press' ? 4 : null,
  cost:
    kind === 'bench'
      ? null
      : {
          purchase: { by: 'depreciation', price: 360_000 as Minor, salvage: 0 as Minor, months: 36 },
          upkeepPerMonth: 2_000 as Minor,
          kilowatts: 1.8,
          productiveHoursPerMonth: 80,
        },
  ...given,
})

export const allStations: Station[] = [
  aStation('heat-press'),
  aStation('heat-press', { id: 'heat-press-2' }),
  aStation('sublimation-printer'),
  aStation('dtg-printer'),
  aStation('pretreat-booth'),
  aStation('screen-press'),
  aStation('dryer'),
  aStation('bench'),
]

/** A shop with every station, the default recipes and rates, in euros. */
export const aShop = (rates: Partial<Rates> = {}, given: Partial<ShopWork> = {}): Costing =>
  prepare({
    recipes: defaultRecipes,
    finish,
    stations: allStations,
    rates: { ...defaultRates, ...rates },
    show: { currency: 'EUR', locale: 'en', system: 'metric' },
    ...given,
  })

export const blackTee: Blank = {
  kind: 'tee',
  style: 'Heavy tee',
  colour: { name: 'Black', hex: '#1a1a1a' },
  fibres: { cotton: 100 },
}
export const whiteTee: Blank = { ...blackTee, colour: { name: 'White', hex: '#ffffff' } }
export const whitePoly: Blank = { ...whiteTee, style: 'Sports tee', fibres: { polyester: 100 } }

/** Art of three inks, 60 % covered, at 254 × 305 mm. */
export const someArt: ArtFacts = {
  id: 'art-1',
  areaCm2: 464.5,
  coverage: 0.6,
  colours: 3,
  largestSolidCm2: 60,
  partlyTransparent: 0.02,
  ppi: 300,
}
/** A full front of 254 × 305 mm. */
export const aPrint = (given: Partial<PrintWork> = {}): PrintWork => ({
  placement: 'full-front',
  widthMm: 254,
  heightMm: 304.8,
  art: someArt,
  ...given,
})

/** An order of one line: by default S 4, M 8, L 8, 2XL 4 in black, one full front. */
export const anOrder = (
  given: Partial<OrderWork> & {
    blank?: Blank
    sizes?: Partial<Record<Size, number>>
    prints?: PrintWork[]
  } = {},
): OrderWork => {
  const { blank = blackTee, sizes = { S: 4, M: 8, L: 8, '2XL': 4 }, prints = [aPrint()], ...rest } = given
  return {
    method: 'dtg',
    lines: [
      {
        blank,
        sizes: Object.entries(sizes).map(([size, quantity]) => ({
          size: size as Size,
          quantity: quantity as number,
          unitCost: (size === '2XL' ? 5_200_000 : 3_400_000) as Micro,
          name: `${blank.style}, ${blank.colour.name}, ${size}`,
        })),
        prints,
      },
    ],
    ...rest,
  }
}

/** The first line of an order. */
export function firstLine(order: OrderWork): LineWork {
  const [line] = order.lines
  if (!line) throw new Error('The order has no line.')
  return line
}
