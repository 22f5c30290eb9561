import type { PriceBreak, Rates } from '@/lib/shop/rates'
import { formatMoney, type Minor, minor, roundToMinor, sumMinor } from '@/lib/units/money'
import type { Working, WorkingInput } from '@/lib/units/working'
import { priceByMargin, priceByMarkup } from './margin'
import { type OrderWork, piecesOf } from './order'
import type { Costing } from './prepare'
import type { Cost } from './tree'

/** What is priced: pieces and cost of one line. */
export type CostedLine = { name: string; pieces: number; cost: Minor }

/** What the owner chooses for one offer. */
export type PriceChoices = {
  rush?: boolean
  /** Off the goods and the rush, basis points. */
  discountBp?: number
  /** The customer pays no tax. */
  exempt?: boolean
  /** Other than the shop's margin or markup. */
  pricing?: Rates['pricing']
  /** A price for one piece typed by hand, by line; null or missing: computed. As people see it, tax in it where the shop's prices hold tax. */
  typed?: readonly (Minor | null)[]
}

/** Price of one line, as people see it: tax in it where the shop's prices hold tax. */
export type PricedLine = {
  name: string
  pieces: number
  cost: Minor
  each: Minor
  amount: Minor
  typed: boolean
  working: Working
}

export type PriceFigure =
  | 'goods'
  | 'rush'
  | 'discount'
  | 'topUp'
  | 'net'
  | 'tax'
  | 'gross'
  | 'deposit'
  | 'rest'
  | 'margin'

/** The price of an order. goods + rush + discount + topUp = shown; net + tax = gross; deposit + rest = gross; margin = net − cost. */
export type Price = {
  lines: PricedLine[]
  goods: Minor
  rush: Minor
  /** 0 or below. */
  discount: Minor
  /** Up to the least order. */
  topUp: Minor
  /** As people see it before tax is split off or put on. */
  shown: Minor
  net: Minor
  tax: Minor
  gross: Minor
  deposit: Minor
  rest: Minor
  cost: Minor
  margin: Minor
  /** margin ÷ net; null when nothing is earned or paid. */
  marginShare: number | null
  /** margin ÷ cost; null when it costs nothing. */
  markupShare: number | null
  belowCost: boolean
  workings: Record<PriceFigure, Working>
}

/** The break that a quantity reaches: the last one whose `from` it is at or above; null before the first. */
export const breakFor = (breaks: readonly PriceBreak[], pieces: number): PriceBreak | null =>
  breaks.findLast(b => pieces >= b.from) ?? null

/**
 * The next amount, this one included, that leaves `ending` when divided by `step`: 1,212 with 100 and 95 → 1,295. Goes up, so that
 * rounding never eats the margin. An amount of 0 stays 0.
 */
export function roundUpTo(amount: number, rounding: Rates['rounding']): Minor {
  const whole = Math.ceil(amount - 1e-9)
  if (whole <= 0) return minor(0)
  return minor(Math.ceil((whole - rounding.ending) / rounding.step) * rounding.step + rounding.ending)
}

const percent = (share: number): string => `${Number((share * 100).toFixed(2))} %`

/** Tax of a shown amount in minor units, rounded once, halves away from zero. Inclusive: shown − shown ÷ (1 + rate). */
export function taxOf(shown: Minor, tax: Rates['tax'], exempt: boolean): { net: Minor; tax: Minor } {
  const rate = tax.rateBp / 10_000
  if (!tax.inclusive) return { net: shown, tax: exempt ? minor(0) : roundToMinor(shown * rate) }
  const net = roundToMinor(shown / (1 + rate))
  return { net, tax: exempt ? minor(0) : minor(shown - net) }
}

/** The price of an order that was costed: its lines by name and pieces, each with what it costs, at the rates it was costed with. */
export const priceCosted = (
  order: Pick<OrderWork, 'lines'>,
  cost: Pick<Cost, 'byLine'>,
  { rates, show }: Pick<Costing, 'rates' | 'show'>,
  choices: PriceChoices,
): Price =>
  priceOrder(
    order.lines.map((line, i) => ({
      name: line.blank.style,
      pieces: piecesOf(line),
      cost: cost.byLine[i] ?? minor(0),
    })),
    rates,
    choices,
    show,
  )

/** The price of an order from the cost of its lines, with a working for every figure. */
export function priceOrder(
  lines: readonly CostedLine[],
  rates: Rates,
  choices: PriceChoices,
  show: { currency: string; locale: string },
): Price {
  const money = (n: Minor) => formatMoney(n, show.currency, show.locale)
  const set = { from: 'setting' as const, source: 'rates' }
  const pricing = choices.pricing ?? rates.pricing
  const pieces = lines.reduce((sum, l) => sum + l.pieces, 0)
  const off = breakFor(rates.breaks, pieces)
  const taxed = rates.tax.inclusive ? 1 + rates.tax.rateBp / 10_000 : 1

  const priced = lines.map((line, i): PricedLine => {
    const typed = choices.typed?.[i] ?? null
    const share = pricing.bp / 10_000
    const cost = line.pieces > 0 ? line.cost / line.pieces : 0
    const aim = pricing.by === 'margin' ? priceByMargin(cost, share) : priceByMarkup(cost, share)
    const each = typed ?? roundUpTo(aim * (1 - (off?.offBp ?? 0) / 10_000) * taxed, rates.rounding)
    const inputs: WorkingInput[] = [
      { name: 'Cost of the line', value: money(line.cost), from: 'worked', source: 'its own working' },
      { name: 'Pieces', value: String(line.pieces), from: 'agreed' },
      {
        name: pricing.by === 'margin' ? 'Margin, share of the price' : 'Markup, share of the cost',
        value: percent(share),
        ...(choices.pricing ? { from: 'agreed' as const } : set),
      },
    ]
    if (off)
      inputs.push({ name: `From ${off.from} pieces`, value: `${percent(off.offBp / 10_000)} off`, ...set })
    if (taxed !== 1) inputs.push({ name: rates.tax.name, value: percent(taxed - 1), ...set })
    if (rates.rounding.step > 1)
      inputs.push({
        name: 'Rounded up',
        value: `to the next ${money(minor(rates.rounding.step))}${rates.rounding.ending ? ` and ${money(minor(rates.rounding.ending))}` : ''}`,
        ...set,
      })
    return {
      name: line.name,
      pieces: line.pieces,
      cost: line.cost,
      each,
      amount: minor(each * line.pieces),
      typed: typed !== null,
      working:
        typed === null
          ? {
              formula:
                pricing.by === 'margin'
                  ? `cost ÷ pieces ÷ (1 − margin)${off ? ' × (1 − break)' : ''}${taxed === 1 ? '' : ' × (1 + tax)'}, rounded up`
                  : `cost ÷ pieces × (1 + markup)${off ? ' × (1 − break)' : ''}${taxed === 1 ? '' : ' × (1 + tax)'}, rounded up`,
              inputs,
              result: `${money(each)} each`,
            }
          : {
              formula: 'typed by hand',
              inputs: [{ name: 'Price for one', value: money(typed), from: 'agreed' }],
              result: `${money(each)} each`,
            },
    }
  })

  const goods = sumMinor(priced.map(l => l.amount))
  const rush = choices.rush ? roundToMinor((goods * rates.rushBp) / 10_000) : minor(0)
  const discountBp = choices.discountBp ?? 0
  const discount = minor(-roundToMinor(((goods + rush) * discountBp) / 10_000))
  const least = roundToMinor(rates.leastOrder * taxed)
  const before = goods + rush + discount
  const topUp = minor(pieces > 0 ? Math.max(0, least - before) : 0)
  const shown = minor(before + topUp)
  const { net, tax } = taxOf(shown, rates.tax, choices.exempt ?? false)
  const gross = minor(net + tax)
  const deposit = roundToMinor((gross * rates.depositBp) / 10_000)
  const rest = minor(gross - deposit)
  const cost = sumMinor(lines.map(l => l.cost))
  const margin = minor(net - cost)

  const made = (formula: string, inputs: WorkingInput[], result: Minor, note?: string): Working => ({
    formula,
    inputs,
    result: money(result),
    ...(note ? { note } : {}),
  })
  const own = (name: string, value: Minor): WorkingInput => ({ name, value: money(value), from: 'worked' })
  const taxRate: WorkingInput = { name: rates.tax.name, value: percent(rates.tax.rateBp / 10_000), ...set }
  const exempt: WorkingInput[] = choices.exempt
    ? [{ name: 'Customer', value: 'exempt', from: 'agreed', source: 'customer' }]
    : []
  return {
    lines: priced,
    goods,
    rush,
    discount,
    topUp,
    shown,
    net,
    tax,
    gross,
    deposit,
    rest,
    cost,
    margin,
    marginShare: net === 0 ? null : margin / net,
    markupShare: cost === 0 ? null : margin / cost,
    belowCost: margin < 0,
    workings: {
      goods: made(
        'sum of price for one × pieces',
        priced.map(l => ({
          name: l.name,
          value: `${money(l.each)} × ${l.pieces}`,
          from: l.typed ? ('agreed' as const) : ('worked' as const),
          working: l.working,
        })),
        goods,
      ),
      rush: made(
        'goods × rush',
        [
          own('Goods', goods),
          { name: 'Rush', value: choices.rush ? percent(rates.rushBp / 10_000) : 'no', ...set },
        ],
        rush,
      ),
      discount: made(
        '−(goods + rush) × discount',
        [
          own('Goods and rush', minor(goods + rush)),
          { name: 'Discount', value: percent(discountBp / 10_000), from: 'agreed' },
        ],
        discount,
      ),
      topUp: made(
        'least order − what it comes to, where that is less',
        [own('It comes to', minor(before)), { name: 'Least order', value: money(least), ...set }],
        topUp,
      ),
      net: rates.tax.inclusive
        ? made('price ÷ (1 + tax), rounded once for the order', [own('Price', shown), taxRate], net)
        : made(
            'goods + rush + discount + up to the least order',
            [
              own('Goods', goods),
              own('Rush', rush),
              own('Discount', discount),
              own('Up to the least order', topUp),
            ],
            net,
          ),
      tax: made(
        rates.tax.inclusive ? 'price − price ÷ (1 + tax)' : 'net × tax',
        [own(rates.tax.inclusive ? 'Price' : 'Net', rates.tax.inclusive ? shown : net), taxRate, ...exempt],
        tax,
        'Rounded once on the whole order, halves away from zero. The rate is the one set in the rates: check the rules where you are.',
      ),
      gross: made('net + tax', [own('Net', net), own(rates.tax.name, tax)], gross),
      deposit: made(
        'total × deposit share',
        [own('Total', gross), { name: 'Deposit', value: percent(rates.depositBp / 10_000), ...set }],
        deposit,
      ),
      rest: made('total − deposit', [own('Total', gross), own('Deposit', deposit)], rest),
      margin: made('net − cost', [own('Net', net), own('Cost', cost)], margin),
    },
  }
}
