import { z } from 'zod'
import type { BaseUnit } from '@/lib/units/base-unit'
import {
  formatMoney,
  type Micro,
  micro,
  microToMinor,
  minorToMicro,
  parseMoney,
  prorate,
} from '@/lib/units/money'
import { ok, type Result, refuse } from '@/lib/units/result'
import type { Working, WorkingInput } from '@/lib/units/working'
import { type Counting, formatAmount, readAmount, typedAmount } from './items'

/** Another price for the whole of an order from a quantity on: `price` micro-units buy one pack, `from` in base units. */
export type PriceBreak = { from: number; price: Micro }

const breaksSchema = z.array(
  z.object({
    from: z.number().int().min(1),
    price: z
      .number()
      .int()
      .min(0)
      .transform(n => n as Micro),
  }),
)

/** Price breaks as they stand in the database, the smallest quantity first. */
export const readBreaks = (stored: unknown): PriceBreak[] => {
  const read = breaksSchema.safeParse(stored ?? [])
  return read.success ? read.data.sort((a, b) => a.from - b.from) : []
}

/** At most so many breaks: a supplier's list has a handful. */
const MOST = 8

/** Price breaks as typed, one a line: "72 at 2.40". Empty: none. */
export function parseBreaks(text: string, item: Counting & { currency: string }): Result<PriceBreak[]> {
  const { unit, currency } = item
  const rows = text
    .split('\n')
    .map(l => l.trim())
    .filter(Boolean)
  if (rows.length > MOST) return refuse('breaks', `At most ${MOST} prices by quantity: leave out the others.`)
  const breaks: PriceBreak[] = []
  for (const row of rows) {
    const [amount, price, ...rest] = row.split(/\s+at\s+/i)
    if (!amount || !price || rest.length > 0)
      return refuse(
        'breaks',
        `“${row.slice(0, 40)}” is not a price by quantity: write it like 72 at 2.40, one a line.`,
      )
    const from = readAmount(amount, item)
    if (!from.ok) return from
    const cost = parseMoney(price, currency)
    if (!cost.ok) return refuse('breaks', cost.message)
    if (cost.value < 0 || from.value === 0)
      return refuse('breaks', `“${row.slice(0, 40)}” needs a quantity above 0 and a price of 0 or more.`)
    if (breaks.some(b => b.from === from.value))
      return refuse('breaks', `${formatAmount(from.value, unit)} has two prices: leave one of them.`)
    breaks.push({ from: from.value, price: minorToMicro(cost.value, currency) })
  }
  return ok(breaks.sort((a, b) => a.from - b.from))
}

/** Price breaks as one types them: {@link parseBreaks} gives the same ones back. */
export const typedBreaks = (breaks: readonly PriceBreak[], unit: BaseUnit, currency: string): string =>
  breaks
    .map(
      b =>
        `${typedAmount(b.from, unit)} at ${(microToMinor(b.price, currency) / 10 ** digits(currency)).toFixed(digits(currency))}`,
    )
    .join('\n')

const digits = (currency: string): number =>
  new Intl.NumberFormat('en', { style: 'currency', currency }).resolvedOptions().maximumFractionDigits ?? 2

/** What a supplier asks for an item: `price` buys `pack` base units; `least` is the smallest order, 0: any. */
export type BuyTerms = {
  unit: BaseUnit
  price: Micro
  pricePer: number
  /** Base units that are sold together: pieces 1 by 1, ink by the bottle. */
  pack: number
  minOrder: number
  breaks: readonly PriceBreak[]
}

/** Price of a pack when so much is bought: that of the highest break reached, for all of it. */
export const priceAt = (quantity: number, { price, breaks }: Pick<BuyTerms, 'price' | 'breaks'>): Micro =>
  breaks.findLast(b => quantity >= b.from)?.price ?? price

/** What an order of so much costs. */
export const costAt = (quantity: number, terms: Pick<BuyTerms, 'price' | 'pricePer' | 'breaks'>): Micro =>
  prorate(priceAt(quantity, terms), quantity, terms.pricePer)

/** What to buy of an item, and what it costs. */
export type Buy = { quantity: number; value: Micro; working: Working }

/**
 * How much to buy where so much is wanted: whole packs, no less than the supplier sells, and up to a price break where the larger order
 * costs no more than the smaller one (all-units discounts, as in the inventory chapters of Heizer and Render or Chase and Jacobs: the
 * cheapest quantity lies at what is wanted or at a break above it). Nothing is bought on speculation: more only where it costs no more.
 * @param wanted base units, more than 0
 */
export function whatToBuy(wanted: number, terms: BuyTerms, currency: string): Buy {
  const { unit, minOrder, breaks } = terms
  const pack = Math.max(1, terms.pack)
  const whole = (n: number) => Math.ceil(n / pack) * pack
  const least = whole(Math.max(wanted, minOrder))
  const candidates = [least, ...breaks.map(b => whole(b.from)).filter(n => n > least)]
  let quantity = least
  for (const n of candidates) if (costAt(n, terms) <= costAt(quantity, terms)) quantity = n
  const value = costAt(quantity, terms)
  const show = (n: number) => formatAmount(n, unit)
  const cost = (n: Micro) => formatMoney(microToMinor(n, currency), currency)
  const inputs: WorkingInput[] = [
    { name: 'wanted', value: show(wanted), from: 'worked', source: 'short, or up to the level' },
  ]
  if (pack > 1) inputs.push({ name: 'sold by', value: show(pack), from: 'setting', source: 'the item' })
  if (minOrder > 0)
    inputs.push({ name: 'at least', value: show(minOrder), from: 'setting', source: 'the item' })
  for (const n of candidates)
    inputs.push({
      name: `${show(n)} would cost`,
      value: cost(costAt(n, terms)),
      from: 'setting',
      source: `at ${cost(priceAt(n, terms))}`,
    })
  return {
    quantity,
    value,
    working: {
      formula: 'what is wanted, in whole packs, no less than is sold; more where that costs no more',
      inputs,
      result: `${show(quantity)} for ${cost(value)}`,
      ...(quantity > least
        ? {
            note: `${show(quantity)} costs ${cost(micro(costAt(least, terms) - value))} less than ${show(least)}: the price falls at ${show(quantity)}.`,
          }
        : {}),
    },
  }
}
