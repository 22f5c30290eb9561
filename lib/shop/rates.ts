import { z } from 'zod'
import type { Micro, Minor } from '@/lib/units/money'
import { CONSUMABLE, CONSUMABLES, type ConsumableId } from './consumables'
import { METHODS, type MethodId } from './methods'
import { branded, originSchema, type Sourced } from './sourced'

const money = branded<Minor>(z.number().int().min(0).max(2_000_000_000))
const small = branded<Micro>(z.number().int().min(0).max(1_000_000_000_000))
/** Basis points: 10,000 = 100 %. */
const basisPoints = (most: number) => z.int().min(0).max(most)

/** Spoiled share of pieces printed by a method, and how many pieces it was seen on (0: not measured yet). */
export const spoilageSchema = z.object({
  rate: z.number().min(0).max(0.5),
  pieces: z.int().min(0),
  spoiled: z.int().min(0),
  from: originSchema,
  source: z.string().max(300).optional(),
})
export type SpoilageRate = z.infer<typeof spoilageSchema>

/** A sheet that prints are laid out on, mm. */
export const sheetSchema = z.object({
  widthMm: z.number().min(50).max(5000),
  heightMm: z.number().min(50).max(20_000),
  gapMm: z.number().min(0).max(50),
})
export type SheetSize = z.infer<typeof sheetSchema>

/** From so many pieces, so much off each. */
export const priceBreakSchema = z.object({ from: z.int().min(2).max(1_000_000), offBp: basisPoints(9000) })
export type PriceBreak = z.infer<typeof priceBreakSchema>

const byMethod = <T>(value: z.ZodType<T, T>) =>
  z.object(Object.fromEntries(METHODS.map(m => [m, value])) as Record<MethodId, z.ZodType<T, T>>)
const byConsumable = <T>(value: z.ZodType<T, T>) =>
  z.object(Object.fromEntries(CONSUMABLES.map(c => [c, value])) as Record<ConsumableId, z.ZodType<T, T>>)

/** All that the shop sets about money and quantities. The currency is the shop's; amounts are in it. */
export const ratesSchema = z.object({
  /** Pay and what the shop pays on top of it, for one hour of one person, minor units. */
  wagePerHour: money,
  /** Rent, insurance, office: minor units for each hour of labour. */
  overheadPerLabourHour: money,
  /** One kWh, micro-units. */
  powerPerKwh: small,
  spoilage: byMethod(spoilageSchema),
  /** Wished probability that the blanks set aside suffice, for each size. */
  spoilageConfidence: z.number().min(0.5).max(0.9999),
  /** What an order is charged: all blanks set aside, or only those that spoil on average. */
  spoilageCharge: z.enum(['set-aside', 'expected']),
  /** Price of each consumable: micro-units for `per` base units, with its origin. */
  consumables: byConsumable(
    z.object({
      price: small,
      per: z.int().min(1).max(1_000_000_000),
      from: originSchema,
      source: z.string().max(300).optional(),
    }),
  ),
  sheets: z.object({ 'transfer-sheet': sheetSchema, 'sublimation-paper': sheetSchema }),
  /** Working days a bought-in transfer is in the post. */
  transferDays: z.int().min(0).max(120),
  /** One parcel of bought-in transfers, minor units for an order. */
  transferFreight: money,
  leastPieces: byMethod(z.int().min(1).max(10_000)),
  /** Margin: share of the price. Markup: share of the cost. */
  pricing: z.discriminatedUnion('by', [
    z.object({ by: z.literal('margin'), bp: basisPoints(9500) }),
    z.object({ by: z.literal('markup'), bp: basisPoints(200_000) }),
  ]),
  breaks: z
    .array(priceBreakSchema)
    .max(20)
    .refine(
      b => b.every((x, i) => i === 0 || x.from > (b[i - 1]?.from ?? 0)),
      'Price breaks go up in quantity, each from a different one.',
    ),
  rushBp: basisPoints(50_000),
  /** Least net price of an order, minor units. */
  leastOrder: money,
  /** A price for one piece goes up to the next amount that leaves `ending` when divided by `step`: 100 and 95 give x.95; 1 and 0 leave it. */
  rounding: z
    .object({ step: z.int().min(1).max(100_000), ending: z.int().min(0).max(99_999) })
    .refine(r => r.ending < r.step, 'The ending is smaller than the step.'),
  tax: z.object({
    name: z.string().max(40),
    rateBp: basisPoints(10_000),
    /** Whether the prices that people see hold the tax already. */
    inclusive: z.boolean(),
  }),
  depositBp: basisPoints(10_000),
  /** Pixels per inch at the printed size: wished, warned below, refused below. */
  artPpi: z
    .object({
      house: z.number().min(1).max(2400),
      warn: z.number().min(1).max(2400),
      floor: z.number().min(1).max(2400),
    })
    .refine(
      p => p.house >= p.warn && p.warn >= p.floor,
      'House rule, warning and floor go down in this order.',
    ),
  offerDays: z.int().min(1).max(365),
})
export type Rates = z.infer<typeof ratesSchema>

const spoil = (rate: number, source: string): SpoilageRate => ({
  rate,
  pieces: 0,
  spoiled: 0,
  from: 'default',
  source,
})
const PUBLISHED_ALLOWANCE = 'printers’ published allowances run from 1.5 to 5 %'

/** What a new shop starts with: every value is meant to be replaced by the shop's own. */
export const defaultRates: Rates = {
  wagePerHour: 1800 as Minor,
  overheadPerLabourHour: 900 as Minor,
  powerPerKwh: 250_000 as Micro,
  spoilage: {
    transfer: spoil(0.01, PUBLISHED_ALLOWANCE),
    sublimation: spoil(0.02, PUBLISHED_ALLOWANCE),
    dtg: spoil(0.02, PUBLISHED_ALLOWANCE),
    screen: spoil(0.02, PUBLISHED_ALLOWANCE),
  },
  spoilageConfidence: 0.9,
  spoilageCharge: 'set-aside',
  consumables: Object.fromEntries(
    CONSUMABLES.map(id => {
      const p: Sourced<Micro> = CONSUMABLE[id].price
      return [id, { price: p.value, per: CONSUMABLE[id].per, from: p.from, source: p.source }]
    }),
  ) as Rates['consumables'],
  sheets: {
    'transfer-sheet': { widthMm: 558.8, heightMm: 609.6, gapMm: 6 },
    'sublimation-paper': { widthMm: 297, heightMm: 420, gapMm: 5 },
  },
  transferDays: 3,
  transferFreight: 800 as Minor,
  leastPieces: { transfer: 1, sublimation: 1, dtg: 1, screen: 12 },
  pricing: { by: 'margin', bp: 4500 },
  breaks: [
    { from: 24, offBp: 500 },
    { from: 72, offBp: 1000 },
    { from: 144, offBp: 1400 },
  ],
  rushBp: 2500,
  leastOrder: 2500 as Minor,
  rounding: { step: 5, ending: 0 },
  tax: { name: 'Tax', rateBp: 0, inclusive: false },
  depositBp: 5000,
  artPpi: { house: 300, warn: 150, floor: 100 },
  offerDays: 14,
}

/** Price of one base unit of a consumable, micro-units, not rounded. */
export const unitPrice = (rates: Rates, id: ConsumableId): number =>
  rates.consumables[id].price / rates.consumables[id].per
