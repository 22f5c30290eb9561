import { allocate, type Minor, minor, roundToMinor } from '@/lib/units/money'

/**
 * Payment each period on a loan: r·(pv·(1+r)^n + fv) ÷ ((1 + r·start)·((1+r)^n − 1)); (pv + fv) ÷ n at no interest. Not rounded.
 * @param rate interest for one period, 0 or more: 8 % a year by months is 0.08/12
 * @param periods whole, 1 or more
 * @param value borrowed
 * @param dueAtStart paid at the start of each period
 * @param rest still owed at the end (a last payment)
 */
export function loanPayment(
  rate: number,
  periods: number,
  value: number,
  dueAtStart = false,
  rest = 0,
): number {
  if (!(rate >= 0) || !Number.isFinite(rate)) throw new RangeError(`${rate} is not an interest rate.`)
  if (!Number.isSafeInteger(periods) || periods < 1)
    throw new RangeError(`${periods} is not a number of payments.`)
  if (rate === 0) return (value - rest) / periods
  // expm1 and log1p keep the digits when the rate is tiny.
  const grown = Math.expm1(periods * Math.log1p(rate))
  return (rate * (value * (grown + 1) - rest)) / (grown * (dueAtStart ? 1 + rate : 1))
}

/** One line of an instalment plan, minor units. */
export type Instalment = { period: number; payment: Minor; interest: Minor; principal: Minor; owed: Minor }

/**
 * The plan of a loan in whole minor units: payment and interest rounded half away from zero, the last payment clears the rest.
 * @param yearRateBp nominal interest a year in basis points, charged by the month
 */
export function instalmentPlan(principal: Minor, yearRateBp: number, months: number): Instalment[] {
  const rate = yearRateBp / 10_000 / 12
  const payment = roundToMinor(loanPayment(rate, months, principal))
  const plan: Instalment[] = []
  let owed: number = principal
  for (let period = 1; period <= months; period++) {
    const interest = roundToMinor(owed * rate)
    const paid = period === months ? owed + interest : Math.min(payment, owed + interest)
    owed -= paid - interest
    plan.push({
      period,
      payment: minor(paid),
      interest,
      principal: minor(paid - interest),
      owed: minor(owed),
    })
  }
  return plan
}

/** Straight-line depreciation by period in whole minor units; the parts add up to price − salvage. */
export const straightLine = (price: Minor, salvage: Minor, periods: number): Minor[] =>
  allocate<Minor>(minor(price - salvage), new Array<number>(periods).fill(1))
