import { CLEARANCE_WORDS } from '@/lib/artwork/clearance'
import { MISPRINT_WORDS } from '@/lib/floor/misprint'
import { STEP_WORDS } from '@/lib/floor/reports'
import { STATE_WORDS } from '@/lib/orders/states'
import { METHOD_WORDS } from '@/lib/shop/methods'
import { STATION_WORDS, stationKindSchema, weekHoursSchema } from '@/lib/shop/stations'
import { weekWords } from '@/lib/shop/week-text'
import { formatAmount } from '@/lib/stock/items'
import { PURCHASE_WORDS } from '@/lib/stock/purchase'
import { VALUATION_WORDS } from '@/lib/stock/valuation'
import type { BaseUnit } from '@/lib/units/base-unit'
import { formatMicro, formatMoney, type Micro, type Minor } from '@/lib/units/money'
import { formatMoment, type Instant } from '@/lib/units/time'
import { type Difference, differences } from './difference'

/** Amounts in minor units, and in micro-units, by the last part of a value's name. */
const MINOR = new Set([
  ...['net', 'tax', 'gross', 'cost', 'paid', 'revenue', 'margin', 'amount'],
  ...['wage', 'wagePerHour', 'principal', 'salvage', 'upkeepPerMonth', 'purchase.price'],
])
const MICRO = new Set(['worthMicro', 'price', 'least', 'breaks.price'])
/** Amounts of goods, in the item's base unit. */
const AMOUNTS = new Set(['onHand', 'reorderPoint', 'reorderTo', 'minOrder', 'breaks.from'])
/** What a job costs and earns, wages among it: the owner's alone. */
const INNER_MONEY = new Set(['cost', 'margin', 'revenue', 'belowCostWhy', 'wage', 'wagePerHour'])
/** What only the database reads. */
const INNER = new Set([
  'id',
  'step',
  'version',
  'sha256',
  'formKey',
  'artworkId',
  'styleId',
  'itemId',
  'key',
  'design',
])

const NAMES: Record<string, string> = {
  net: 'before tax',
  gross: 'total',
  worthMicro: 'worth',
  onHand: 'on hand',
  why: 'why',
  asked: 'asked for',
  also: 'may also',
  belowCostWhy: 'why below cost',
  sku: 'SKU',
  least: 'smallest order taken',
  minOrder: 'smallest order',
  widthMm: 'width in mm',
  heightMm: 'height in mm',
  breaks: 'price break',
  bedWidthMm: 'bed, width in mm',
  bedHeightMm: 'bed, height in mm',
  yearRateBp: 'interest a year, hundredths of a percent',
  wage: 'wage an hour',
  wagePerHour: 'wage an hour',
  by: 'paid for by',
  promiseAt: 'promise',
  promiseHard: 'hard promise',
  taxExempt: 'free of tax',
}
/** Things that stand in a list, counted from one. */
const LISTED: Record<string, string> = { lines: 'line', prints: 'print', sizes: 'size' }

const VALUES: Record<string, Record<string, string>> = {
  state: { ...PURCHASE_WORDS, ...STEP_WORDS, ...STATE_WORDS },
  method: Object.fromEntries(Object.entries(METHOD_WORDS).map(([id, w]) => [id, w.name])),
  basis: {
    ...Object.fromEntries(Object.entries(CLEARANCE_WORDS).map(([id, w]) => [id, w.name])),
    withdrawn: 'withdrawn',
  },
  reason: MISPRINT_WORDS,
  valuation: VALUATION_WORDS,
}

/**
 * How a shop reads a change. `unit`: of the item whose change it is, for its amounts. `sees`: all; prices, without what work costs
 * and earns; or no money at all.
 */
export type Reader = {
  currency: string
  zone: string
  unit?: BaseUnit | undefined
  sees?: 'all' | 'prices' | 'no money'
}

/**
 * A change as people read it: names in words, amounts as money, instants in the shop's zone, hours as a week; the database's own keys
 * and what was empty and stays so are left out. Names that have no words of their own are taken apart: "reorderPoint", "reorder point".
 */
export function changeWords(change: { before: unknown; after: unknown }, reader: Reader): Difference[] {
  return differences(gathered(change.before), gathered(change.after))
    .filter(d => !INNER.has(keysOf(d.name).last) && (d.before || d.after) && mayRead(d.name, reader))
    .map(d => ({
      name: nameWords(d.name),
      before: valueWords(d.name, d.before, reader),
      after: valueWords(d.name, d.after, reader),
    }))
}

/** Lists that read best on one line: the hours of a week, and the kinds of station that somebody can work at. */
function gathered(value: unknown): unknown {
  if (value === null || typeof value !== 'object' || Array.isArray(value)) return value
  return Object.fromEntries(
    Object.entries(value).map(([key, inner]) => {
      const hours = key === 'hours' ? weekHoursSchema.safeParse(inner) : undefined
      if (hours?.success) return [key, weekWords(hours.data)]
      const skills = key === 'skills' ? stationKindSchema.array().safeParse(inner) : undefined
      if (skills?.success) return [key, skills.data.map(k => STATION_WORDS[k].name).join(', ')]
      return [key, inner]
    }),
  )
}

/** The last part of a value's name, and the last two, the numbers of lists left out. */
function keysOf(name: string): { last: string; two: string } {
  const parts = name.split('.').filter(p => !/^\d+$/.test(p))
  return { last: parts.at(-1) ?? '', two: parts.slice(-2).join('.') }
}
const isOf = (set: ReadonlySet<string>, { last, two }: { last: string; two: string }): boolean =>
  set.has(two) || set.has(last)

function mayRead(name: string, { sees = 'all' }: Reader): boolean {
  const keys = keysOf(name)
  const inner = name.split('.').some(part => INNER_MONEY.has(part))
  return sees === 'all' || (!inner && (sees === 'prices' || !(isOf(MINOR, keys) || isOf(MICRO, keys))))
}

function nameWords(name: string): string {
  const words: string[] = []
  for (const part of name.split('.')) {
    const at = words.length - 1
    if (/^\d+$/.test(part) && at >= 0) words[at] = `${words[at]} ${Number(part) + 1}`
    else words.push(NAMES[part] ?? LISTED[part] ?? part.replace(/([a-z])([A-Z])/g, '$1 $2').toLowerCase())
  }
  const said = words.join(', ')
  return said.charAt(0).toUpperCase() + said.slice(1)
}

/** Whole numbers from here on are instants where their name says a time: 2001 in milliseconds. */
const AN_INSTANT = 1e12

function valueWords(name: string, value: string | null, { currency, zone, unit }: Reader): string | null {
  if (value === null || value === '') return value === null ? null : '–'
  const keys = keysOf(name)
  const whole = /^-?\d+$/.test(value) ? Number(value) : null
  if (whole !== null) {
    if (isOf(MINOR, keys)) return formatMoney(whole as Minor, currency)
    if (isOf(MICRO, keys)) return formatMicro(whole as Micro, currency)
    if (unit && isOf(AMOUNTS, keys)) return formatAmount(whole, unit)
    if (whole > AN_INSTANT && /(At|Until|from|to)$/.test(keys.last))
      return formatMoment(whole as Instant, zone)
  }
  if (/^\d{4}-\d\d-\d\dT[\d:.]+Z$/.test(value)) return formatMoment(Date.parse(value) as Instant, zone)
  if (value === 'true' || value === 'false') return value === 'true' ? 'yes' : 'no'
  return VALUES[keys.last]?.[value] ?? value
}

/** Lines that somebody may read: what was paid and invoiced says so in its words, so whoever sees no money does not see the line. */
export const readable = <Line extends { after: unknown }>(
  lines: readonly Line[],
  sees: Reader['sees'] = 'all',
): Line[] =>
  lines.filter(l => {
    const after = (l.after ?? {}) as Record<string, unknown>
    return sees !== 'no money' || !('paid' in after || ('gross' in after && !('state' in after)))
  })
