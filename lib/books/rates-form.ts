import { CONSUMABLE, CONSUMABLES, formatQuantity } from '@/lib/shop/consumables'
import { METHOD_WORDS, METHODS } from '@/lib/shop/methods'
import { type Rates, ratesSchema } from '@/lib/shop/rates'
import { type Micro, type Minor, micro, parseMoney } from '@/lib/units/money'
import { decimal } from './csv'
import type { Difference } from './difference'

/** How a rate is typed. Percent: of basis points; micro: money with up to six digits. */
type Kind = 'money' | 'micro' | 'percent' | 'share' | 'whole' | 'length' | 'text' | 'choice'

/** One field of the rates. */
export type RateField = {
  name: string
  label: string
  kind: Kind
  unit?: string
  hint?: string
  options?: { value: string; label: string }[]
  get: (rates: Rates) => number | string
  set: (rates: Rates, value: never) => void
}
/** Fields under one heading; `pairs`: two and two belong together on a line. */
export type RateGroup = { title: string; about: string; pairs?: boolean; fields: RateField[] }

const field = <T extends number | string>(
  name: string,
  label: string,
  kind: Kind,
  get: (r: Rates) => T,
  set: (r: Rates, value: T) => void,
  more: Partial<RateField> = {},
): RateField => ({ name, label, kind, get, set: set as RateField['set'], ...more })

/** How many price breaks the form has room for. */
const BREAKS = 6

/** The break of a line of the form; a new one where there was none. */
function breakAt(rates: Rates, i: number) {
  const own = rates.breaks[i] ?? { from: 0, offBp: 0 }
  rates.breaks[i] = own
  return own
}

/** Every rate that the shop sets, in the groups of the page. */
export const RATE_GROUPS: RateGroup[] = [
  {
    title: 'Labour and power',
    about: 'What an hour of work costs the shop. Each person’s own wage stands with the person.',
    fields: [
      field(
        'wage',
        'Wage an hour',
        'money',
        r => r.wagePerHour,
        (r, v) => (r.wagePerHour = v as Minor),
        {
          hint: 'Pay and what the shop pays on top of it.',
        },
      ),
      field(
        'overhead',
        'Overhead an hour',
        'money',
        r => r.overheadPerLabourHour,
        (r, v) => (r.overheadPerLabourHour = v as Minor),
        { hint: 'Rent, insurance, office, spread over the hours of labour.' },
      ),
      field(
        'power',
        'Price of a kWh',
        'micro',
        r => r.powerPerKwh,
        (r, v) => (r.powerPerKwh = v as Micro),
      ),
    ],
  },
  {
    title: 'Price',
    about: 'How a price comes out of a cost.',
    fields: [
      field(
        'pricingBy',
        'Price by',
        'choice',
        r => r.pricing.by,
        (r, v: string) => {
          r.pricing = { by: v as Rates['pricing']['by'], bp: r.pricing.bp } as Rates['pricing']
        },
        {
          options: [
            { value: 'margin', label: 'margin: a share of the price' },
            { value: 'markup', label: 'markup: on top of the cost' },
          ],
        },
      ),
      field(
        'pricing',
        'Margin or markup',
        'percent',
        r => r.pricing.bp,
        (r, v) => (r.pricing.bp = v),
        { unit: '%' },
      ),
      field(
        'rush',
        'Rush, on top',
        'percent',
        r => r.rushBp,
        (r, v) => (r.rushBp = v),
        { unit: '%' },
      ),
      field(
        'leastOrder',
        'Least price of an order',
        'money',
        r => r.leastOrder,
        (r, v) => (r.leastOrder = v as Minor),
      ),
      field(
        'roundStep',
        'Round a piece up to steps of',
        'money',
        r => r.rounding.step,
        (r, v) => (r.rounding.step = v),
      ),
      field(
        'roundEnding',
        'ending in',
        'money',
        r => r.rounding.ending,
        (r, v) => (r.rounding.ending = v),
        {
          hint: 'Steps of 1.00 ending in 0.95 give 7.95.',
        },
      ),
      field(
        'deposit',
        'Deposit',
        'percent',
        r => r.depositBp,
        (r, v) => (r.depositBp = v),
        { unit: '%' },
      ),
      field(
        'offerDays',
        'An offer holds',
        'whole',
        r => r.offerDays,
        (r, v) => (r.offerDays = v),
        { unit: 'days' },
      ),
    ],
  },
  {
    title: 'Price breaks',
    about: 'From so many pieces, so much off each. Empty lines are left out.',
    pairs: true,
    fields: Array.from({ length: BREAKS }, (_, i) => [
      field(
        `breakFrom${i}`,
        'From',
        'whole',
        r => r.breaks[i]?.from ?? '',
        (r, v) => {
          breakAt(r, i).from = v as number
        },
        { unit: 'pieces' },
      ),
      field(
        `breakOff${i}`,
        'off each',
        'percent',
        r => r.breaks[i]?.offBp ?? '',
        (r, v) => {
          breakAt(r, i).offBp = v as number
        },
        { unit: '%' },
      ),
    ]).flat(),
  },
  {
    title: 'Tax',
    about: 'The rules of the place where the shop is come first; this is no advice.',
    fields: [
      field(
        'taxName',
        'What it is called',
        'text',
        r => r.tax.name,
        (r, v: string) => (r.tax.name = v),
      ),
      field(
        'taxRate',
        'Rate',
        'percent',
        r => r.tax.rateBp,
        (r, v) => (r.tax.rateBp = v),
        { unit: '%' },
      ),
      field(
        'taxInclusive',
        'Prices that people see',
        'choice',
        r => (r.tax.inclusive ? 'yes' : 'no'),
        (r, v: string) => (r.tax.inclusive = v === 'yes'),
        {
          options: [
            { value: 'no', label: 'are before tax' },
            { value: 'yes', label: 'hold the tax already' },
          ],
        },
      ),
    ],
  },
  {
    title: 'Spoilage and least quantities',
    about:
      'What spoils, method by method, until the floor has measured it; and the fewest pieces that are taken.',
    pairs: true,
    fields: [
      ...METHODS.flatMap(m => [
        field(
          `spoil.${m}`,
          `${METHOD_WORDS[m].short}: spoiled`,
          'share',
          r => r.spoilage[m].rate,
          (r, v) => (r.spoilage[m] = { ...r.spoilage[m], rate: v, from: 'setting', source: 'rates' }),
          { unit: '%' },
        ),
        field(
          `least.${m}`,
          `${METHOD_WORDS[m].short}: from`,
          'whole',
          r => r.leastPieces[m],
          (r, v) => (r.leastPieces[m] = v),
          { unit: 'pieces' },
        ),
      ]),
      field(
        'confidence',
        'Blanks suffice in',
        'share',
        r => r.spoilageConfidence,
        (r, v) => (r.spoilageConfidence = v),
        {
          unit: '%',
          hint: 'Of jobs: more is safer and needs more blanks.',
        },
      ),
      field(
        'spoilageCharge',
        'An order is charged',
        'choice',
        r => r.spoilageCharge,
        (r, v: string) => {
          r.spoilageCharge = v as Rates['spoilageCharge']
        },
        {
          options: [
            { value: 'set-aside', label: 'all blanks set aside' },
            { value: 'expected', label: 'those that spoil on average' },
          ],
        },
      ),
    ],
  },
  {
    title: 'Bought-in transfers and sheets',
    about: 'The post, and the sheets that prints are laid out on.',
    fields: [
      field(
        'transferDays',
        'In the post',
        'whole',
        r => r.transferDays,
        (r, v) => (r.transferDays = v),
        { unit: 'working days' },
      ),
      field(
        'transferFreight',
        'One parcel',
        'money',
        r => r.transferFreight,
        (r, v) => (r.transferFreight = v as Minor),
      ),
      ...(['transfer-sheet', 'sublimation-paper'] as const).flatMap(sheet => {
        const name = sheet === 'transfer-sheet' ? 'Transfer sheet' : 'Sublimation paper'
        return (['widthMm', 'heightMm', 'gapMm'] as const).map(side =>
          field(
            `${sheet}.${side}`,
            `${name}: ${{ widthMm: 'width', heightMm: 'height', gapMm: 'gap' }[side]}`,
            'length',
            r => r.sheets[sheet][side],
            (r, v) => (r.sheets[sheet][side] = v),
            { unit: 'mm' },
          ),
        )
      }),
    ],
  },
  {
    title: 'Artwork',
    about: 'Pixels per inch at the printed size: wished, warned below, refused below.',
    fields: (['house', 'warn', 'floor'] as const).map(k =>
      field(
        `ppi.${k}`,
        { house: 'House rule', warn: 'Warn below', floor: 'Refuse below' }[k],
        'whole',
        r => r.artPpi[k],
        (r, v) => (r.artPpi[k] = v),
        { unit: 'ppi' },
      ),
    ),
  },
  {
    title: 'Consumables',
    about: 'Prices that estimates reckon with. What is really used is valued by the stock book.',
    fields: CONSUMABLES.map(id =>
      field(
        `consumable.${id}`,
        CONSUMABLE[id].name,
        'micro',
        r => r.consumables[id].price,
        (r, v) =>
          (r.consumables[id] = { ...r.consumables[id], price: v as Micro, from: 'setting', source: 'rates' }),
        { hint: id },
      ),
    ),
  },
]

/** For how much a consumable's price is, for the line under its field. */
export const pricedFor = (rates: Rates, name: string): string | null => {
  const id = CONSUMABLES.find(c => `consumable.${c}` === name)
  if (!id) return null
  const { unit } = CONSUMABLE[id]
  const { per } = rates.consumables[id]
  return per === 1 && unit === 'piece' ? 'for one' : `for ${formatQuantity(per, unit)}`
}

/** A rate as it stands in its field. */
export function shownRate(f: RateField, rates: Rates, currency: string): string {
  const value = f.get(rates)
  if (typeof value === 'string') return value
  switch (f.kind) {
    case 'money':
      return decimal(value as Minor, currency)
    case 'micro':
      return trimmed(value / 1e6, 6)
    case 'percent':
      return trimmed(value / 100, 2)
    case 'share':
      return trimmed(value * 100, 3)
    default:
      return String(value)
  }
}

const trimmed = (n: number, digits: number): string => Number(n.toFixed(digits)).toString()

const NUMBER = /^\d{1,9}(?:[.,]\d{1,6})?$/

function readOne(
  f: RateField,
  typed: string,
  currency: string,
): { ok: true; value: number | string } | { ok: false; message: string } {
  const bad = (message: string) => ({ ok: false as const, message })
  if (f.kind === 'text') return typed.length > 40 ? bad('At most 40 characters.') : { ok: true, value: typed }
  if (f.kind === 'choice')
    return f.options?.some(o => o.value === typed)
      ? { ok: true, value: typed }
      : bad('Choose one of the list.')
  if (f.kind === 'money') {
    const read = parseMoney(typed, currency)
    if (!read.ok) return read
    return read.value < 0 ? bad('It is not below 0.') : read
  }
  if (!NUMBER.test(typed)) return bad(`“${typed.slice(0, 20)}” is not a number of 0 or more.`)
  const n = Number(typed.replace(',', '.'))
  if (f.kind === 'micro') return { ok: true, value: micro(Math.round(n * 1e6)) }
  if (f.kind === 'percent') return { ok: true, value: Math.round(n * 100) }
  if (f.kind === 'share') return { ok: true, value: n / 100 }
  if (f.kind === 'whole' && !Number.isInteger(n)) return bad('Type a whole number.')
  return { ok: true, value: n }
}

/**
 * Reads the whole page of rates. Fields that were not changed keep what stood there, with where it came from.
 * @param fields as typed, by name
 * @returns the new rates, or one sentence for each bad field
 */
export function readRates(
  fields: Record<string, string>,
  before: Rates,
  currency: string,
): { ok: true; rates: Rates } | { ok: false; errors: Record<string, string> } {
  const rates = structuredClone(before)
  const errors: Record<string, string> = {}
  for (const f of RATE_GROUPS.flatMap(g => g.fields)) {
    const typed = fields[f.name]?.trim()
    if (typed === undefined || typed === shownRate(f, before, currency)) continue
    if (typed === '' && f.name.startsWith('break')) {
      f.set(rates, 0 as never)
      continue
    }
    const read = readOne(f, typed, currency)
    if (read.ok) f.set(rates, read.value as never)
    else errors[f.name] = read.message
  }
  for (let i = 0; i < BREAKS; i++) {
    const own = rates.breaks[i]
    if (own && own.from === 0 && own.offBp !== 0) errors[`breakFrom${i}`] = 'From how many pieces?'
  }
  rates.breaks = rates.breaks.filter(b => b?.from)
  const checked = ratesSchema.safeParse(rates)
  if (!checked.success)
    for (const issue of checked.error.issues) {
      const name = nameOf(issue.path)
      errors[name] ??= issue.code === 'custom' ? issue.message : limitWords(name, issue, currency)
    }
  return Object.keys(errors).length ? { ok: false, errors } : { ok: true, rates }
}

/** A fault of size in the figures of its field: "At most 100 %." */
function limitWords(
  name: string,
  issue: { code: string; minimum?: unknown; maximum?: unknown },
  currency: string,
): string {
  const field = RATE_GROUPS.flatMap(g => g.fields).find(f => f.name === name)
  const limit = issue.code === 'too_big' ? issue.maximum : issue.minimum
  if (!field || typeof limit !== 'number') return 'This is outside what the shop can reckon with.'
  const shown = {
    money: () => decimal(limit as Minor, currency),
    micro: () => trimmed(limit / 1e6, 6),
    percent: () => `${trimmed(limit / 100, 2)} %`,
    share: () => `${trimmed(limit * 100, 3)} %`,
    whole: () => limit.toLocaleString('en'),
    length: () => `${limit} mm`,
    text: () => String(limit),
    choice: () => String(limit),
  }[field.kind]()
  return `${issue.code === 'too_big' ? 'At most' : 'At least'} ${shown}.`
}

const TOP: Record<string, string> = {
  wagePerHour: 'wage',
  overheadPerLabourHour: 'overhead',
  powerPerKwh: 'power',
  spoilageConfidence: 'confidence',
  rushBp: 'rush',
  depositBp: 'deposit',
  pricing: 'pricing',
  rounding: 'roundEnding',
  tax: 'taxRate',
  artPpi: 'ppi.warn',
}

/** The field that a fault of the schema is about. */
function nameOf(path: readonly PropertyKey[]): string {
  const [top, second, third] = path.map(String)
  if (top === 'breaks') return third === 'offBp' ? `breakOff${second}` : `breakFrom${second ?? 0}`
  if (top === 'spoilage') return `spoil.${second}`
  if (top === 'leastPieces') return `least.${second}`
  if (top === 'consumables') return `consumable.${second}`
  if (top === 'sheets') return `${second}.${third}`
  if (top === 'artPpi' && second) return `ppi.${second}`
  return TOP[top ?? ''] ?? top ?? 'form'
}

/** What lies between two states of the rates, by the names and in the figures of the form. */
export function rateDifferences(before: Rates, after: Rates, currency: string): Difference[] {
  return RATE_GROUPS.flatMap(group =>
    group.fields.flatMap(f => {
      const [was, is] = [shownRate(f, before, currency), shownRate(f, after, currency)]
      return was === is ? [] : [{ name: `${group.title}, ${f.label}`, before: was || '–', after: is || '–' }]
    }),
  )
}
