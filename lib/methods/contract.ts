import { z } from 'zod'
import { costAmounts, costOrder } from '@/lib/costing/cost'
import { type OrderWork, piecesOf } from '@/lib/costing/order'
import type { Costing } from '@/lib/costing/prepare'
import { type PriceChoices, priceCosted } from '@/lib/costing/price'
import { ordersUpTo } from '@/lib/costing/scale'
import { METHOD_WORDS, methodSchema } from '@/lib/shop/methods'
import { branded } from '@/lib/shop/sourced'
import { formatMoney, type Micro, type Minor, micro, microPerMinor, minor } from '@/lib/units/money'
import { ok, type Result, refuse } from '@/lib/units/result'
import type { Worked } from '@/lib/units/working'
import type { Row } from './compare'
import { CURVE_MOST, type Curve } from './curve'
import { feasible } from './feasible'
import { feelOf } from './feel'

const money = branded<Minor>(z.number().int('Whole minor units.').min(0).max(2_000_000_000))

/** What another printer asks for printing on our blanks. Amounts in minor units, before tax. */
export const priceListSchema = z.object({
  key: z.string().min(1).max(64),
  /** Our own name for them. */
  name: z.string().trim().min(1).max(80),
  method: methodSchema,
  /** Working days away, both ways in the post included. */
  days: z.int().min(0).max(365),
  /** Once for each print of an order. */
  setupEach: money,
  /** Once for each order, both ways. */
  freight: money,
  /** From so many pieces, so much for one print on one piece. */
  rows: z
    .array(z.object({ from: z.int().min(1).max(1_000_000), each: money }))
    .min(1, 'A price list has at least one row.')
    .max(50)
    .superRefine((rows, context) => {
      rows.forEach((row, i) => {
        const before = rows[i - 1]
        if (before && row.from <= before.from)
          context.addIssue({
            code: 'custom',
            path: [i, 'from'],
            message: `Row ${i + 1} starts at ${row.from} pieces, row ${i} at ${before.from}: rows go up.`,
          })
      })
    }),
})
export type PriceList = z.infer<typeof priceListSchema>

/** The key under which a list stands in the comparison. */
export const listWay = (list: Pick<PriceList, 'key'>): string => `printer:${list.key}`

/** A price list as it was typed or imported; refused with the row and what is wrong there. */
export function readPriceList(data: unknown): Result<PriceList> {
  const read = priceListSchema.safeParse(data)
  if (read.success) return ok(read.data)
  const issue = read.error.issues[0]
  const [field, row, column] = issue?.path ?? []
  const where =
    field === 'rows' && typeof row === 'number'
      ? `Row ${row + 1}${column === 'from' ? ', pieces' : column === 'each' ? ', price' : ''}`
      : `Price list${field ? `, ${String(field)}` : ''}`
  return refuse('price-list', `${where}: ${issue?.message ?? 'it cannot be read.'}`, String(field ?? ''))
}

/** Pieces that are printed, counted once for each print on them. */
const printsOf = (order: OrderWork): number =>
  order.lines.reduce((sum, line) => sum + piecesOf(line) * line.prints.length, 0)

/** What the other printer asks for an order, freight apart; refused below the first row. */
export function contractPrice(
  order: OrderWork,
  list: PriceList,
  show: { currency: string; locale: string },
): Result<Worked<Minor>> {
  const pieces = order.lines.reduce((sum, line) => sum + piecesOf(line), 0)
  const row = list.rows.findLast(r => pieces >= r.from)
  if (!row)
    return refuse(
      'least-pieces',
      `${list.name} prints from ${list.rows[0]?.from ?? 1} pieces; this is ${pieces}. Print more, or choose another way.`,
      'quantity',
    )
  const prints = printsOf(order)
  const setups = order.lines.reduce((sum, line) => sum + (piecesOf(line) > 0 ? line.prints.length : 0), 0)
  const value = minor(prints * row.each + setups * list.setupEach)
  const write = (n: Minor) => formatMoney(n, show.currency, show.locale)
  const from = { from: 'agreed' as const, source: `price list of ${list.name}` }
  return ok({
    value,
    working: {
      formula: 'prints × price for one + set-ups × set-up',
      inputs: [
        { name: 'Prints', value: String(prints), from: 'agreed' },
        { name: `Price for one, from ${row.from} pieces`, value: write(row.each), ...from },
        { name: 'Set-ups', value: String(setups), from: 'agreed' },
        { name: 'One set-up', value: write(list.setupEach), ...from },
      ],
      result: write(value),
    },
  })
}

/** The order as it is costed when all its printing is done elsewhere: our blanks, their price, freight, our packing. */
export function sentOut(order: OrderWork, list: PriceList, amount: Minor, currency: string): OrderWork {
  const unit = microPerMinor(currency)
  return {
    ...order,
    lines: order.lines.map(line => ({ ...line, prints: [] })),
    away: { name: list.name, days: list.days },
    outside: [...(order.outside ?? []), { name: `Printing by ${list.name}`, amount: micro(amount * unit) }],
    freight: [
      ...(order.freight ?? []),
      { name: `Freight to ${list.name} and back`, amount: micro(list.freight * unit) },
    ],
  }
}

/** The row of contract printing beside the in-house ways. What our own machines cannot do is no reason against it. */
export function contractRow(
  order: OrderWork,
  list: PriceList,
  costing: Costing,
  choices: PriceChoices = {},
): Result<Row> {
  const asked = contractPrice(order, list, costing.show)
  const least = list.rows[0]?.each ?? minor(0)
  const out = sentOut(
    order,
    list,
    asked.ok ? asked.value.value : minor(printsOf(order) * least),
    costing.show.currency,
  )
  const costed = costOrder(out, costing)
  if (!costed.ok) return costed
  const { cost } = costed.value
  const price = priceCosted(order, cost, costing, choices)
  const made: OrderWork = {
    ...order,
    method: list.method,
    lines: order.lines.map(line => ({
      ...line,
      prints: line.prints.map(({ method: _, ...print }) => print),
    })),
  }
  const judged = feasible(made, costing)
  const OURS = new Set(['no-station', 'bed-too-small', 'sheet-too-small', 'too-many-screens', 'least-pieces'])
  const reasons = judged.reasons.filter(r => !OURS.has(r.code))
  if (!asked.ok) reasons.push({ code: 'least-pieces', message: asked.message })
  const remarks = judged.remarks.filter(r => r.code !== 'post')
  remarks.push({
    code: 'post',
    weight: 'note',
    message: `Printed by ${list.name}: ${list.days} working ${list.days === 1 ? 'day' : 'days'} away.`,
  })
  return ok({
    key: listWay(list),
    recipe: null,
    outside: list,
    name: `${METHOD_WORDS[list.method].name}, ${list.name}`,
    method: list.method,
    can: reasons.length === 0,
    reasons,
    remarks,
    waitDays: list.days,
    feel: feelOf(made, costing.recipes),
    cost,
    costEach: cost.perPiece,
    price,
    priceEach: micro(Math.round((price.net * microPerMinor(costing.show.currency)) / cost.pieces)),
    missing: [],
    readyAt: null,
  })
}

/** Cost against quantity when the printing is done elsewhere. Below the first row the price of that row stands in; the way is open from it. */
export function contractCurve(order: OrderWork, list: PriceList, costing: Costing, most = CURVE_MOST): Curve {
  const orders = ordersUpTo(order, most).map(o => {
    const asked = contractPrice(o, list, costing.show)
    return sentOut(
      o,
      list,
      asked.ok ? asked.value.value : minor(printsOf(o) * (list.rows[0]?.each ?? 0)),
      costing.show.currency,
    )
  })
  const amounts: Micro[] = costAmounts(orders, costing)
  return { key: listWay(list), name: list.name, amounts, from: list.rows[0]?.from ?? 1 }
}
