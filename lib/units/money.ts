/** Whole minor units of the shop's currency (cents, pence, yen). May be negative: credit notes, losses. */
export type Minor = number & { readonly unit: 'minor' }

/** Whole millionths of the currency's major unit, for unit costs below a cent. May be negative. */
export type Micro = number & { readonly unit: 'micro' }

/**
 * Marks a whole number as minor units.
 * @throws RangeError when it is not a safe integer: half a cent is caught where it is born.
 */
export function minor(n: number): Minor {
  if (!Number.isSafeInteger(n))
    throw new RangeError(`${n} is not whole minor units.\nMaybe round it first with roundToMinor().`)
  return (n === 0 ? 0 : n) as Minor
}

/**
 * Marks a whole number as micro-units.
 * @throws RangeError when it is not a safe integer.
 */
export function micro(n: number): Micro {
  if (!Number.isSafeInteger(n))
    throw new RangeError(`${n} is not whole micro-units.\nMaybe round it first with roundToMicro().`)
  return (n === 0 ? 0 : n) as Micro
}

/** Rounds to the nearest whole number, halves away from zero: 0.5 → 1, −0.5 → −1. The one rounding of money. */
export function roundHalfAway(n: number): number {
  if (!Number.isFinite(n)) throw new RangeError(`${n} is not an amount.`)
  const r = Math.sign(n) * Math.round(Math.abs(n))
  return r === 0 ? 0 : r
}

/** Rounds an amount in minor units to whole ones, halves away from zero. */
export const roundToMinor = (n: number): Minor => minor(roundHalfAway(n))

/** Rounds an amount in micro-units to whole ones, halves away from zero. */
export const roundToMicro = (n: number): Micro => micro(roundHalfAway(n))

/** Digits after the decimal sign in a currency by ISO 4217 as the runtime knows it: EUR 2, JPY 0, KWD 3. */
export function currencyDigits(currency: string): number {
  const known = digitsKnown.get(currency)
  if (known !== undefined) return known
  const digits =
    new Intl.NumberFormat('en', { style: 'currency', currency }).resolvedOptions().maximumFractionDigits ?? 2
  digitsKnown.set(currency, digits)
  return digits
}
const digitsKnown = new Map<string, number>()

/** Micro-units in one minor unit: EUR 10,000, JPY 1,000,000. */
export const microPerMinor = (currency: string): number => 10 ** (6 - currencyDigits(currency))

/** Whole minor units as micro-units, exact. */
export const minorToMicro = (amount: Minor, currency: string): Micro =>
  micro(amount * microPerMinor(currency))

/** Micro-units rounded to minor units, halves away from zero. */
export const microToMinor = (amount: Micro, currency: string): Minor =>
  roundToMinor(amount / microPerMinor(currency))

/** Sum of amounts, exact. An empty list is 0. */
export const sumMinor = (amounts: Iterable<Minor>): Minor => {
  let total = 0
  for (const a of amounts) total += a
  return minor(total)
}

/** Sum of amounts in micro-units, exact. An empty list is 0. */
export const sumMicro = (amounts: Iterable<Micro>): Micro => {
  let total = 0
  for (const a of amounts) total += a
  return micro(total)
}

/**
 * Splits a whole amount by weights so that the parts add up to it, always: each part is rounded toward zero and the
 * remaining units go to the largest remainders, earlier parts first when they tie. All-zero weights split evenly.
 * @throws RangeError when there are no weights, or one is negative or not finite.
 */
export function allocate<T extends number>(total: T, weights: readonly number[]): T[] {
  if (weights.length === 0) throw new RangeError('An amount cannot be split over no parts.')
  for (const w of weights)
    if (!(w >= 0) || !Number.isFinite(w)) throw new RangeError(`${w} is not a weight: use 0 or more.`)
  const sum = weights.reduce((a, b) => a + b, 0)
  const share = sum === 0 ? weights.map(() => 1 / weights.length) : weights.map(w => w / sum)
  const sign = total < 0 ? -1 : 1
  const whole = Math.abs(total)
  const exact = share.map(s => s * whole)
  const parts = exact.map(Math.floor)
  const left = whole - parts.reduce((a, b) => a + b, 0)
  const order = exact
    .map((e, i) => ({ i, rest: e - Math.floor(e) }))
    .sort((a, b) => b.rest - a.rest || a.i - b.i)
  const zeroWeightLast = sum === 0 ? order : order.filter(o => (weights[o.i] ?? 0) > 0)
  // Floating point may leave the floors one unit above the whole for vast amounts: take it back from the smallest rest.
  for (let k = 0; k < Math.abs(left); k++) {
    const at =
      left > 0
        ? zeroWeightLast[k % zeroWeightLast.length]
        : zeroWeightLast[zeroWeightLast.length - 1 - (k % zeroWeightLast.length)]
    if (at) parts[at.i] = (parts[at.i] ?? 0) + Math.sign(left)
  }
  return parts.map(p => (p === 0 ? 0 : sign * p) as T)
}

/**
 * The part of a whole amount that belongs to `part` of `whole`: amount × part ÷ whole, rounded once, halves away from
 * zero. Exact for any size, since the product is a big integer; part = whole gives the amount itself.
 * @throws RangeError when part or whole is not a whole number, or whole is 0.
 */
export function prorate<T extends number>(amount: T, part: number, whole: number): T {
  if (!Number.isSafeInteger(part) || !Number.isSafeInteger(whole) || whole === 0)
    throw new RangeError(`${part} of ${whole} is not a share in whole numbers.`)
  const product = BigInt(amount) * BigInt(part)
  const divisor = BigInt(whole)
  const sign = product < 0n !== divisor < 0n ? -1n : 1n
  const a = product < 0n ? -product : product
  const b = divisor < 0n ? -divisor : divisor
  const share = Number((sign * (2n * a + b)) / (2n * b))
  if (!Number.isSafeInteger(share))
    throw new RangeError(`${part} of ${whole} of ${amount} is beyond counting.`)
  return (share === 0 ? 0 : share) as T
}

// Making a formatter takes a hundred times as long as using it, and a working writes dozens of amounts.
const formatters = new Map<string, Intl.NumberFormat>()
function formatter(locale: string, currency: string, maximumFractionDigits?: number): Intl.NumberFormat {
  const key = `${locale} ${currency} ${maximumFractionDigits}`
  let made = formatters.get(key)
  if (!made) {
    made = new Intl.NumberFormat(locale, {
      style: 'currency',
      currency,
      ...(maximumFractionDigits === undefined
        ? {}
        : { minimumFractionDigits: currencyDigits(currency), maximumFractionDigits }),
    })
    formatters.set(key, made)
  }
  return made
}

/** An amount as people of the locale write it: 1234 EUR → "€12.34". */
export function formatMoney(amount: Minor, currency: string, locale = 'en'): string {
  return formatter(locale, currency).format(amount / 10 ** currencyDigits(currency))
}

/** A difference as it is shown, with a + before what is above 0. */
export const withSign = (n: number, shown: string): string => (n > 0 ? `+${shown}` : shown)

/** A unit cost in micro-units with up to six digits after the decimal sign: "€0.0125". */
export function formatMicro(amount: Micro, currency: string, locale = 'en'): string {
  return formatter(locale, currency, 6).format(amount / 1e6)
}

/**
 * Reads an amount as typed: "12.34", "12,34", "1,234.50", "1.234,50", "€ 12". The last sign followed by at most the
 * currency's digits is the decimal one.
 * Returns one clear sentence when it is not an amount.
 */
export function parseMoney(
  text: string,
  currency: string,
): { ok: true; value: Minor } | { ok: false; message: string } {
  const digits = currencyDigits(currency)
  const bad = (why: string) => ({ ok: false as const, message: why })
  const read = /^([+\-−]?)(?:[^\d\s.,+\-−]{1,3})?([+\-−]?)([\d.,]*\d[\d.,]*)(?:[^\d\s.,+\-−]{1,3})?$/u.exec(
    text.replace(/[\s'’]/gu, ''),
  )
  if (!read?.[3] || (read[1] && read[2]))
    return bad(`“${text.slice(0, 40)}” is not an amount: type it like 12.50.`)
  const sign = /[-−]/.test(`${read[1]}${read[2]}`) ? -1 : 1
  const body = read[3]
  const last = Math.max(body.lastIndexOf('.'), body.lastIndexOf(','))
  const after = last < 0 ? '' : body.slice(last + 1)
  const grouping = last >= 0 && after.length === 3 && digits !== 3 && /^\d{1,3}([.,]\d{3})+$/.test(body)
  const fraction = grouping ? '' : after
  const front = last < 0 || grouping ? body : body.slice(0, last)
  const mixed = fraction !== '' && front.includes(body[last] ?? '')
  if (mixed || !/^(\d*|\d{1,3}(\.\d{3})+|\d{1,3}(,\d{3})+)$/.test(front))
    return bad(`“${text.slice(0, 40)}” is not an amount: type it like 12.50.`)
  if (fraction.length > digits)
    return bad(
      `“${text.slice(0, 40)}” has more than ${digits} digits after the decimal sign: round it first.`,
    )
  const value = sign * Number(`${front.replace(/[.,]/g, '') || '0'}${fraction.padEnd(digits, '0')}`)
  if (!Number.isSafeInteger(value) || Math.abs(value) > 2_000_000_000)
    return bad(`“${text.slice(0, 40)}” is more than this shop can book: check the amount.`)
  return { ok: true, value: minor(value) }
}
