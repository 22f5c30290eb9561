import { type Minor, minor, prorate } from '@/lib/units/money'

/** The money of an order at an instant: its price, less what credit notes gave up by then, and what was received less given back. */
export type PaidAt = { tax: Minor; gross: Minor; paid: Minor }

/** An order that money moved on, or whose price was lowered, in a period: how it stood as the period began, and as it ended. */
export type TaxedOrder = { rateBp: number; before: PaidAt; after: PaidAt }

/** Tax that became due by payments at one rate. Each is below 0 where more was given back than came in. */
export type PaidTaxRow = {
  rateBp: number
  orders: number
  net: Minor
  tax: Minor
  gross: Minor
}

/** Tax of a period by payments. */
export type TaxByPayments = {
  rows: PaidTaxRow[]
  /** Received beyond the price of its order, or before one was agreed: there is no tax in it. */
  beyond: Minor
  /** All that was received less given back: the rows and what is beyond. */
  moved: Minor
}

/**
 * What of an order's money counts for tax by then: what was paid, up to its price, and the tax in it, in proportion, rounded once, halves
 * away from zero. Paid in full it is the whole tax to the cent.
 * "…only to the extent that the consideration is received": A New Tax System (Goods and Services Tax) Act 1999 (Australia), section
 * 29-5 (2), for those who account on a cash basis.
 */
export function countedAt({ tax, gross, paid }: PaidAt): { tax: Minor; gross: Minor } {
  const counted = Math.max(0, Math.min(paid, gross))
  return { tax: counted === 0 ? minor(0) : prorate(tax, counted, gross), gross: minor(counted) }
}

/**
 * Tax of a period by payments, by rate, the highest first: what counts at its end less what counted at its beginning, order by order. So
 * periods add up: over an order's life they make its tax, neither more nor less, however it is paid.
 */
export function taxByPayments(orders: readonly TaxedOrder[]): TaxByPayments {
  const rows = new Map<number, PaidTaxRow>()
  let beyond = 0
  let moved = 0
  for (const { rateBp, before, after } of orders) {
    const was = countedAt(before)
    const now = countedAt(after)
    const gross = now.gross - was.gross
    const tax = now.tax - was.tax
    moved += after.paid - before.paid
    beyond += after.paid - before.paid - gross
    if (gross === 0 && tax === 0) continue
    const row = rows.get(rateBp) ?? { rateBp, orders: 0, net: minor(0), tax: minor(0), gross: minor(0) }
    rows.set(rateBp, {
      rateBp,
      orders: row.orders + 1,
      net: minor(row.net + gross - tax),
      tax: minor(row.tax + tax),
      gross: minor(row.gross + gross),
    })
  }
  return {
    rows: [...rows.values()].sort((a, b) => b.rateBp - a.rateBp),
    beyond: minor(beyond),
    moved: minor(moved),
  }
}
