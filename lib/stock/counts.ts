import { parse } from 'csv-parse/sync'
import type { BaseUnit } from '@/lib/units/base-unit'
import { formatMoney, type Micro, micro, microToMinor } from '@/lib/units/money'
import { refuse } from '@/lib/units/result'
import type { Working } from '@/lib/units/working'
import { formatAmount, formatSigned, MOST, readAmount } from './items'

/** What was counted of one item: what was found, and what the book said at that moment. Base units. */
export type Counted = { found: number; bookHad: number }

/**
 * What a shelf is to be booked as when a count is approved later: what was found, with everything that moved since. Below nothing means
 * that more was used since than was found: then it is to be counted again.
 * @param onHand what the book says now
 */
export const foundNow = ({ found, bookHad }: Counted, onHand: number): number => onHand + found - bookHad

/** Null when somebody may write a count over what stands there; else who counted what, so that two people look together. */
export function refuseRecount(
  name: string,
  unit: BaseUnit,
  seen: number,
  now: { version: number; found: number | null; countedBy: string; at: string },
) {
  if (seen === now.version) return null
  return refuse(
    'changed',
    now.found === null
      ? `${now.countedBy || 'Somebody'} took the count of ${name} back at ${now.at}: load the page again, then count it.`
      : `${now.countedBy} counted ${formatAmount(now.found, unit)} of ${name} at ${now.at}, while this was on your screen. Look at the shelf together, then load the page again and type what is right.`,
    'found',
  )
}

/** How a count compares with the use that was booked since the one before. Base units; money in micro-units. */
export type UsageVariance = {
  /** Drawn by what was printed, by covered area and pieces. */
  standard: number
  /** Really gone: the booked use less what was found more, or with what is missing. */
  actual: number
  /** actual − standard: above 0, more was used than was booked. */
  quantity: number
  /** Real use for each unit booked; null where nothing was booked. */
  scale: number | null
}

/**
 * Usage variance of a consumable at a count: actual quantity − standard quantity, priced at what the shelf costs (the direct materials
 * usage or efficiency variance of standard costing, as in Horngren, Cost Accounting, chapter on flexible budgets and variances).
 * @param standard base units that the floor has drawn since the last count, 0 or more
 * @param difference what was found less what the book said
 */
export function usageVariance(standard: number, difference: number): UsageVariance {
  const actual = standard - difference
  return { standard, actual, quantity: actual - standard, scale: standard > 0 ? actual / standard : null }
}

/** The working of a usage variance, for the screen. @param value what the difference is worth, + more was used */
export function usageWorking(v: UsageVariance, value: Micro, unit: BaseUnit, currency: string): Working {
  const show = (n: number) => formatAmount(n, unit)
  return {
    formula: '(really used − booked use) × what it costs',
    inputs: [
      {
        name: 'booked use since the last count',
        value: show(v.standard),
        from: 'measured',
        source: 'stock book: what was printed',
      },
      { name: 'really used', value: show(v.actual), from: 'measured', source: 'the count' },
      { name: 'difference', value: formatSigned(v.quantity, unit), from: 'worked' },
      ...(v.scale === null
        ? []
        : [{ name: 'for each unit booked', value: `× ${v.scale.toFixed(3)}`, from: 'worked' as const }]),
    ],
    result: formatMoney(microToMinor(value, currency), currency),
    note: 'Usage variance of standard costing (Horngren, Cost Accounting). The orders since the last count carry their share of it; what belongs to closed months stays with the shelf.',
  }
}

/**
 * Splits a difference over the orders that drew the item since the last count, by what each drew, to the last unit.
 * @param difference base units used beyond what was booked; below 0: less was used
 * @param draws base units drawn by each order, above 0
 */
export function shareDifference<K>(difference: number, draws: ReadonlyMap<K, number>): Map<K, number> {
  const whole = [...draws.values()].reduce((a, b) => a + b, 0)
  const shares = new Map<K, number>()
  if (whole === 0) return shares
  // Running sums rounded once each: the parts add up to the difference, whatever the numbers.
  let drawn = 0
  let given = 0
  for (const [key, n] of draws) {
    drawn += n
    const upTo = Number(
      (BigInt(difference) * BigInt(drawn) * 2n + BigInt(Math.sign(difference)) * BigInt(whole)) /
        (2n * BigInt(whole)),
    )
    if (upTo !== given) shares.set(key, upTo - given)
    given = upTo
  }
  return shares
}

/** A row of a file of counts that cannot be taken, by its line in the file. */
export type CsvFault = { line: number; message: string }

/** What reading a file of counts needs to know of an item. */
export type CsvItem = {
  itemId: string
  unit: BaseUnit
  pack: number
  widthMm?: number | null
  name: string
  found: number | null
  countedBy: string
}

/** The largest file that is read, in characters: 100,000 rows are about 2 million. */
export const CSV_MOST = 20_000_000

/**
 * Reads a file of counts: a heading row with `sku` and `found` in any order, other columns are left alone. Commas or semicolons; amounts
 * as one types them ("1.2 l", "2 dozen", "40"). Every bad row is told with its line; the good ones come back in the order of the file.
 * Rows without an amount were not counted and are left out.
 */
export function readCounts(
  text: string,
  items: ReadonlyMap<string, CsvItem>,
):
  | { ok: true; rows: { itemId: string; found: number }[]; faults: CsvFault[] }
  | { ok: false; message: string } {
  if (text.length > CSV_MOST)
    return {
      ok: false,
      message: 'This file is larger than 20 MB: send it in parts, each with its heading row.',
    }
  let table: { record: string[]; info: { lines: number } }[]
  const first = text.slice(0, 2_000).split(/\r?\n/, 1)[0] ?? ''
  try {
    table = parse(text, {
      bom: true,
      info: true,
      delimiter: first.includes(';') && !first.includes(',') ? ';' : ',',
      relax_column_count: true,
      skip_empty_lines: true,
      trim: true,
    }) as unknown as typeof table
  } catch (error) {
    const line = /line (\d+)/.exec(error instanceof Error ? error.message : '')?.[1]
    return {
      ok: false,
      message: `This file is no table${line ? ` from line ${line} on` : ''}: save it as CSV, with quotes closed, and send it again.`,
    }
  }
  const heads = table[0]?.record.map(h => h.toLowerCase()) ?? []
  const [sku, amount] = [heads.indexOf('sku'), heads.indexOf('found')]
  if (sku < 0 || amount < 0)
    return { ok: false, message: 'The first row must name the columns, with “sku” and “found” among them.' }
  const rows: { itemId: string; found: number }[] = []
  const faults: CsvFault[] = []
  const taken = new Map<string, number>()
  for (const { record, info } of table.slice(1)) {
    const line = info.lines
    // A text that was marked, so that no spreadsheet takes it for a formula.
    const typed = record[amount]?.replace(/^'/, '') ?? ''
    const code = record[sku]?.replace(/^'/, '') ?? ''
    if (typed === '' && code !== '') continue
    const bad = (message: string) => faults.push({ line, message })
    const item = items.get(code)
    const before = item && taken.get(item.itemId)
    if (code === '') bad('The SKU is missing: type it, or take the row out.')
    else if (!item) bad(`“${code.slice(0, 40)}” is not an item of this count: check the SKU.`)
    else if (before !== undefined) bad(`${code} was counted on line ${before} already: leave one of the two.`)
    else if (item.found !== null)
      bad(
        `${item.countedBy} has counted ${formatAmount(item.found, item.unit)} of ${code} already: look together, and change it on the page.`,
      )
    else if (/^[-−]/.test(typed)) bad(`${typed.slice(0, 20)} of ${code}: a count is 0 or more.`)
    else {
      const read = readAmount(typed, item)
      if (!read.ok) bad(`${code}: ${read.message}`)
      else if (read.value > MOST) bad(`${code}: more than one shelf holds.`)
      else {
        taken.set(item.itemId, line)
        rows.push({ itemId: item.itemId, found: read.value })
      }
    }
  }
  return { ok: true, rows, faults }
}

/** What the differences of a count are worth, at what each shelf costs now. */
export const differenceWorth = (difference: number, onHand: number, worth: Micro, price: Micro): Micro =>
  micro(onHand > 0 ? Math.round((worth / onHand) * difference) : Math.round(price * difference))
