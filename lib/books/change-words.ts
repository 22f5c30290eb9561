import { CLEARANCE_WORDS } from '@/lib/artwork/clearance'
import { MISPRINT_WORDS } from '@/lib/floor/misprint'
import { STEP_WORDS } from '@/lib/floor/reports'
import { STATE_WORDS } from '@/lib/orders/states'
import { METHOD_WORDS } from '@/lib/shop/methods'
import { formatMicro, formatMoney, type Micro, type Minor } from '@/lib/units/money'
import { formatMoment, type Instant } from '@/lib/units/time'
import { type Difference, differences } from './difference'

/** Amounts in minor units, and in micro-units, by the last part of a value's name. */
const MINOR = new Set(['net', 'tax', 'gross', 'cost', 'paid', 'revenue', 'margin', 'amount'])
const MICRO = new Set(['worthMicro', 'price'])
/** What only the database reads. */
const INNER = new Set(['id', 'step', 'version', 'sha256', 'formKey', 'artworkId', 'styleId', 'itemId', 'key'])

const NAMES: Record<string, string> = {
  net: 'before tax',
  gross: 'total',
  worthMicro: 'worth',
  onHand: 'on hand',
  why: 'why',
  asked: 'asked for',
  belowCostWhy: 'why below cost',
  sku: 'SKU',
  promiseAt: 'promise',
  promiseHard: 'hard promise',
  taxExempt: 'free of tax',
}
/** Things that stand in a list, counted from one. */
const LISTED: Record<string, string> = { lines: 'line', prints: 'print', sizes: 'size' }

const VALUES: Record<string, Record<string, string>> = {
  state: { ...STEP_WORDS, ...STATE_WORDS },
  method: Object.fromEntries(Object.entries(METHOD_WORDS).map(([id, w]) => [id, w.name])),
  basis: {
    ...Object.fromEntries(Object.entries(CLEARANCE_WORDS).map(([id, w]) => [id, w.name])),
    withdrawn: 'withdrawn',
  },
  reason: MISPRINT_WORDS,
}

/**
 * A change as people read it: names in words, amounts as money, instants in the shop's zone; the database's own keys and what
 * was empty and stays so are left out. Names that have no words of their own are taken apart: "reorderPoint", "reorder point".
 */
export function changeWords(
  change: { before: unknown; after: unknown },
  shop: { currency: string; zone: string },
): Difference[] {
  return differences(change.before, change.after)
    .filter(d => !INNER.has(lastOf(d.name)) && (d.before || d.after))
    .map(d => ({
      name: nameWords(d.name),
      before: valueWords(lastOf(d.name), d.before, shop),
      after: valueWords(lastOf(d.name), d.after, shop),
    }))
}

const lastOf = (name: string): string => name.slice(name.lastIndexOf('.') + 1)

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

function valueWords(
  key: string,
  value: string | null,
  { currency, zone }: { currency: string; zone: string },
): string | null {
  if (value === null || value === '') return value === null ? null : '–'
  const whole = /^-?\d+$/.test(value) ? Number(value) : null
  if (whole !== null && MINOR.has(key)) return formatMoney(whole as Minor, currency)
  if (whole !== null && MICRO.has(key)) return formatMicro(whole as Micro, currency)
  if (/^\d{4}-\d\d-\d\dT[\d:.]+Z$/.test(value)) return formatMoment(Date.parse(value) as Instant, zone)
  if (value === 'true' || value === 'false') return value === 'true' ? 'yes' : 'no'
  return VALUES[key]?.[value] ?? value
}
