import { z } from 'zod'
import type { SizeRule } from '@/lib/artwork/print-sizes'
import { readSizeRules } from '@/lib/artwork/size-rules'
import { readPricing } from '@/lib/costing/margin'
import { SIZES, type Size } from '@/lib/shop/blanks'
import { METHODS } from '@/lib/shop/methods'
import { PLACEMENTS, type PlacementId } from '@/lib/shop/placements'
import { formKey, line, lines, needed, ticked, versionFrom, visible } from '@/lib/units/form-fields'
import { type MeasureSystem, parseLength, parseOffset } from '@/lib/units/measure'
import { type Minor, parseMoney } from '@/lib/units/money'
import { addDays, atTime, dayOf, type Instant, type ShopDay, shopDay } from '@/lib/units/time'
import { PAYMENT_KINDS, PAYMENT_MEANS } from './order'
import { MOST_PER_SIZE, pieces } from './size-run'
import { ORDER_STATES } from './states'

/** How many pieces of a known size, at least one. */
export type SizeQuantity = { size: Size; quantity: number }

/** What the shop's settings say about reading a form. */
export type InputContext = { measures: MeasureSystem; currency: string; zone: string; now: Instant }

/** Longest name of a person, an order or a colour. */
export const LONGEST_NAME = 120
/** Most blanks on one order, and most prints on one blank. */
export const MOST_LINES = 60
export const MOST_PRINTS = 8
/** Most pieces of one order. */
export const MOST_PIECES = 50_000
/** A promise or an offer reaches at most two years ahead: later is a slip of the year. */
const LONGEST_AHEAD_DAYS = 730

/** Letters of a note. */
export const MOST_NOTE = 2000
const id = (what: string) => z.uuid({ error: `${what} is not known here: choose it again.` })
const idOrNone = (what: string) =>
  z
    .string({ error: `${what} is missing.` })
    .refine(
      text => text === '' || z.uuid().safeParse(text).success,
      `${what} is not known here: choose it again.`,
    )
    .transform(text => text || null)
const version = versionFrom(1)

const email = line('The e-mail address', 200).refine(
  text => text === '' || z.email().safeParse(text).success,
  'This is not an e-mail address: type it like name@example.com, or leave it empty.',
)
const phone = line('The phone number', 40).refine(
  text => text === '' || /\d/.test(text),
  'A phone number has digits: type it like 555 0142, or leave it empty.',
)

/** The fields of a customer, as a form sends them. */
export const customerFields = {
  name: needed('The customer’s name', 'type a name', LONGEST_NAME),
  contact: line('The contact’s name', LONGEST_NAME).default(''),
  email: email.default(''),
  phone: phone.default(''),
  address: lines('The address', 500).default(''),
  note: lines('The note', MOST_NOTE).default(''),
  taxExempt: ticked,
}
export const newCustomerInput = z.object({ ...customerFields, formKey: formKey.optional() })
export const editCustomerInput = z.object({ ...customerFields, version })
export type CustomerInput = Omit<z.output<typeof editCustomerInput>, 'version'>

/** A day of the shop as a form sends it, today or later. */
const dayAhead = (what: string, { zone, now }: InputContext, mayBeEmpty = false) =>
  z.string({ error: `${what} is missing.` }).transform((text, ctx): ShopDay | null => {
    const add = (message: string) => {
      ctx.addIssue({ code: 'custom', message })
      return z.NEVER
    }
    if (text.trim() === '') return mayBeEmpty ? null : add(`${what} is empty: choose a day.`)
    let day: ShopDay
    try {
      day = shopDay(text.trim())
    } catch {
      return add(`“${text.slice(0, 40)}” is not a day: type it like ${dayOf(now, zone)}.`)
    }
    if (day < dayOf(now, zone)) return add(`${what} is in the past: choose today or later.`)
    if (day > addDays(dayOf(now, zone), LONGEST_AHEAD_DAYS))
      return add(`${what} is more than two years ahead: check the year.`)
    return day
  })
const hour = (what: string) =>
  z
    .string({ error: `${what} is missing.` })
    .regex(/^([01]\d|2[0-3]):[0-5]\d$/, `${what} is not a time of day: type it like 16:30.`)

const length = (what: string, least: number, most: number, { measures }: InputContext) =>
  z.string({ error: `${what} is missing.` }).transform((text, ctx): number => {
    const add = (message: string) => {
      ctx.addIssue({ code: 'custom', message })
      return z.NEVER
    }
    if (text.trim() === '') return add(`${what} is empty: type a length.`)
    const read = parseLength(text, measures)
    if (!read.ok) return add(read.message)
    if (read.value < least || read.value > most)
      return add(`${what} must be from ${least} to ${most} mm: check the number and its unit.`)
    return read.value
  })

/** Where a print sits beside the middle; left out or empty: as usual at its placement. */
const offset = ({ measures }: InputContext) =>
  z
    .string()
    .optional()
    .transform((text, ctx): number | null => {
      if (!text?.trim()) return null
      const read = parseOffset(text, measures)
      const message = !read.ok
        ? read.message
        : Math.abs(read.value) > 600
          ? 'A print lies at most 600 mm beside the middle: check the number and its unit.'
          : null
      if (read.ok && !message) return read.value
      ctx.addIssue({ code: 'custom', message: message ?? '' })
      return z.NEVER
    })

/** Other widths by garment size as typed; left out or empty: one size for all. */
const sizeRules = ({ measures }: InputContext) =>
  z
    .string()
    .optional()
    .transform((text, ctx): SizeRule[] => {
      const read = readSizeRules(text ?? '', measures)
      if (read.ok) return read.value
      ctx.addIssue({ code: 'custom', message: read.message })
      return z.NEVER
    })

/** Pieces of one size as typed; null where it is no whole number from 0 to the most. */
function readCount(text: string): number | null {
  const bare = text.trim()
  if (bare === '') return 0
  const n = /^[+-]?\d{1,9}$/.test(bare) ? Number(bare) : Number.NaN
  return n >= 0 && n <= MOST_PER_SIZE ? n : null
}

/** "lines.0.prints.1.width" → nested fields, so that a complaint's path is the name of the field it is about. */
function nested(flat: unknown): unknown {
  if (typeof flat !== 'object' || flat === null) return flat
  const root: Record<string, unknown> = {}
  for (const [name, value] of Object.entries(flat)) {
    const path = name.split('.')
    if (path.length > 5 || path.some(key => key === '__proto__' || key === 'constructor')) continue
    let at = root
    for (const key of path.slice(0, -1)) {
      const next = at[key]
      if (typeof next === 'object' && next !== null) at = next as Record<string, unknown>
      else at = at[key] = {} as Record<string, unknown>
    }
    at[path.at(-1) as string] = value
  }
  return root
}
/** Quantities by size. The sentence about a bad one names its size, since the sizes stand in one row. */
const sizeCounts = (typed: Record<string, unknown>, ctx: z.RefinementCtx): SizeQuantity[] => {
  const add = (message: string) => ctx.addIssue({ code: 'custom', message })
  const counts: Record<string, number> = {}
  for (const [size, given] of Object.entries(typed)) {
    // Forms send text; what a program sends may be anything, and need not turn into text.
    const text = typeof given === 'string' || typeof given === 'number' ? String(given) : '?'
    const n = readCount(text)
    if (n === null)
      add(
        `“${text.trim().slice(0, 20)}” in ${size.slice(0, 20)} is not a number of pieces: type a whole number from 0 to 10,000.`,
      )
    else if (n > 0 && !(SIZES as readonly string[]).includes(size))
      add(`“${size.slice(0, 20)}” is not a size known here.`)
    else counts[size] = n
  }
  return SIZES.flatMap(size => (counts[size] ? [{ size, quantity: counts[size] }] : []))
}
const numbered = <T>(rows: Record<string, T>) =>
  Object.entries(rows)
    .filter(([key]) => /^\d{1,3}$/.test(key))
    .sort(([a], [b]) => Number(a) - Number(b))
    .map(([key, row]) => ({ key, ...row }))

const print = (context: InputContext) =>
  z.object({
    placement: z.enum(PLACEMENTS, { error: 'Choose where the print sits.' }),
    width: length('The width of the print', 5, 1200, context),
    height: length('The height of the print', 5, 1200, context),
    drop: length('The drop of the print', 0, 1200, context),
    offset: offset(context),
    bySize: sizeRules(context),
    artwork: idOrNone('This artwork').default(null),
  })

const orderLine = (context: InputContext) =>
  z
    .object({
      style: z
        .string({ error: 'The blank is missing: choose one.' })
        .min(1, 'Choose a blank.')
        .pipe(id('This blank')),
      // Without a blank there is no colour to choose yet: then the blank alone is asked for.
      colour: line('The colour', LONGEST_NAME).default(''),
      quantity: z.record(z.string(), z.unknown()).default({}).transform(sizeCounts),
      prints: z.record(z.string(), print(context)).default({}).transform(numbered),
    })
    .refine(l => l.colour !== '', { path: ['colour'], message: 'Choose the colour of the blank.' })

/** An order form as nested fields; what was typed of a new customer counts only where no known one is chosen. */
function nestedOrder(flat: unknown): unknown {
  const fields = nested(flat)
  if (typeof fields !== 'object' || fields === null) return fields
  const { customerId, customer } = fields as Record<string, unknown>
  return { ...fields, customer: customerId ? null : (customer ?? {}) }
}

/** What every order form sends, new or edited. Field names are paths: lines.0.quantity.2XL, lines.0.prints.0.width. */
const orderFields = (context: InputContext) => ({
  customerId: idOrNone('This customer').default(null),
  customer: z.object(customerFields).nullable(),
  title: line('What it is for', LONGEST_NAME).default(''),
  note: lines('The note', MOST_NOTE).default(''),
  promiseDay: dayAhead('The promise', context, true).default(null),
  promiseTime: hour('The promise').default('17:00'),
  promiseHard: ticked,
  rush: ticked,
  lines: z
    .record(z.string(), orderLine(context), { error: 'The order has no blank: choose one.' })
    .transform(numbered),
})

/** An order form as read: nothing in it is checked against the catalogue yet. */
export type OrderInput = {
  /** Known already, or typed anew. */
  customer: { id: string } | { typed: CustomerInput }
  title: string
  note: string
  promise: { at: Instant; hard: boolean } | null
  rush: boolean
  lines: LineInput[]
}
/** `key` is the row's number in the form: complaints about it name the field by it. */
export type LineInput = {
  key: string
  styleId: string
  colour: string
  sizes: SizeQuantity[]
  prints: PrintInput[]
}
export type PrintInput = {
  key: string
  placement: PlacementId
  widthMm: number
  heightMm: number
  dropMm: number
  /** From the middle, toward the wearer's left; left out: as usual at its placement. */
  offsetMm?: number
  /** Other widths by garment size; left out: one size for all. */
  bySize?: SizeRule[]
  artworkId: string | null
}

type Fields = z.output<z.ZodObject<ReturnType<typeof orderFields>>>

function readOrder(fields: Fields, ctx: z.RefinementCtx, { zone, now }: InputContext): OrderInput {
  const add = (path: string, message: string) =>
    ctx.addIssue({ code: 'custom', message, path: path.split('.') })
  if (fields.lines.length === 0) add('lines.0.style', 'The order has no blank: choose one.')
  if (fields.lines.length > MOST_LINES)
    add(
      `lines.${fields.lines.at(-1)?.key}.style`,
      `An order holds at most ${MOST_LINES} blanks: write a second order.`,
    )
  const total = fields.lines.reduce((sum, l) => sum + pieces(l.quantity), 0)
  if (total > MOST_PIECES)
    add(
      'lines.0.quantity',
      `${total.toLocaleString('en')} pieces are more than this shop takes in one order: at most 50,000.`,
    )
  for (const l of fields.lines) {
    if (pieces(l.quantity) === 0)
      add(`lines.${l.key}.quantity`, 'There is no piece yet: type how many of at least one size.')
    if (l.prints.length > MOST_PRINTS)
      add(
        `lines.${l.key}.prints.${l.prints.at(-1)?.key}.placement`,
        `A blank takes at most ${MOST_PRINTS} prints.`,
      )
    const at = new Set<string>()
    for (const p of l.prints) {
      if (at.has(p.placement))
        add(`lines.${l.key}.prints.${p.key}.placement`, 'Two prints sit at this placement: move one of them.')
      at.add(p.placement)
    }
  }
  const promise = fields.promiseDay
    ? { at: atTime(fields.promiseDay, fields.promiseTime, zone), hard: fields.promiseHard }
    : null
  if (promise && promise.at <= now)
    add('promiseTime', 'The promise is in the past: choose a later hour or day.')
  return {
    customer: fields.customer ? { typed: fields.customer } : { id: fields.customerId ?? '' },
    title: fields.title,
    note: fields.note,
    promise,
    rush: fields.rush,
    lines: fields.lines.map(l => ({
      key: l.key,
      styleId: l.style,
      colour: l.colour,
      sizes: l.quantity,
      prints: l.prints.map(p => ({
        key: p.key,
        placement: p.placement,
        widthMm: p.width,
        heightMm: p.height,
        dropMm: p.drop,
        ...(p.offset === null ? {} : { offsetMm: p.offset }),
        ...(p.bySize.length ? { bySize: p.bySize } : {}),
        artworkId: p.artwork,
      })),
    })),
  }
}

/** The form of a new enquiry. */
export const newOrderInput = (context: InputContext) =>
  z.preprocess(
    nestedOrder,
    z
      .object({ ...orderFields(context), formKey })
      .transform((fields, ctx) => ({ ...readOrder(fields, ctx, context), formKey: fields.formKey })),
  )

/** The form that changes an enquiry; it says which version it was filled from. */
export const editOrderInput = (context: InputContext) =>
  z.preprocess(
    nestedOrder,
    z
      .object({ ...orderFields(context), version })
      .transform((fields, ctx) => ({ ...readOrder(fields, ctx, context), version: fields.version })),
  )

const money = (currency: string) =>
  z.string({ error: 'The amount is missing.' }).transform((text, ctx): Minor => {
    const read = parseMoney(text, currency)
    if (read.ok) return read.value
    ctx.addIssue({ code: 'custom', message: read.message })
    return z.NEVER
  })

/** Money taken or given back. */
export const paymentInput = ({ currency }: Pick<InputContext, 'currency'>) =>
  z
    .object({
      kind: z.enum(PAYMENT_KINDS, { error: 'Choose deposit, rest or refund.' }),
      amount: money(currency),
      means: z.enum(PAYMENT_MEANS, { error: 'Choose cash, card or transfer.' }),
      note: line('The note', 500).default(''),
      formKey,
    })
    .refine(p => p.kind !== 'refund' || p.note !== '', {
      path: ['note'],
      message: 'Say why the money goes back: the books keep it.',
    })

const typedPrice = (currency: string) =>
  z.string().transform((text, ctx): Minor | null => {
    if (text.trim() === '') return null
    const read = parseMoney(text, currency)
    if (read.ok && read.value >= 0) return read.value
    ctx.addIssue({ code: 'custom', message: read.ok ? 'A price is 0 or more.' : read.message })
    return z.NEVER
  })

/** Basis points of a share typed in percent, 0 to 100 with at most two digits after the point. */
const percent = z
  .string()
  .default('')
  .transform((text, ctx): number => {
    const bare = text.trim().replace(/\s*%$/, '').replace(',', '.')
    if (bare === '') return 0
    if (/^\d{1,3}(\.\d{1,2})?$/.test(bare) && Number(bare) <= 100) return Math.round(Number(bare) * 100)
    ctx.addIssue({
      code: 'custom',
      message: `“${text.slice(0, 20)}” is not a share: type it like 5 or 7.5, up to 100.`,
    })
    return z.NEVER
  })

/** The choices that make an offer of a comparison: prices for one piece by line ("each.0"), empty leaves them as computed. */
export const offerInput = (context: InputContext) =>
  z.preprocess(
    nested,
    z
      .object({
        method: z.enum(METHODS, { error: 'Choose a method first.' }),
        /** Key of the way in the comparison; empty for the usual recipe of the method. */
        way: line('The way', 120).default(''),
        pricingBy: z.string().max(10).optional(),
        pricing: z.string().max(20).default(''),
        each: z.record(z.string(), typedPrice(context.currency)).default({}),
        discount: percent,
        belowCostWhy: line('The reason', 500).default(''),
        validUntil: dayAhead('The last day of the offer', context).pipe(z.custom<ShopDay>()),
        promiseDay: dayAhead('The promise', context).pipe(z.custom<ShopDay>()),
        promiseTime: hour('The promise').default('17:00'),
        promiseHard: ticked,
        message: lines('The message', MOST_NOTE).default(''),
        version,
      })
      .transform(({ pricingBy, pricing, ...input }, ctx) => {
        if (pricingBy === undefined) return { ...input, pricing: null }
        const read = readPricing(pricingBy, pricing)
        if (read.ok) return { ...input, pricing: read.value }
        ctx.addIssue({ code: 'custom', path: [read.field ?? 'pricing'], message: read.message })
        return z.NEVER
      }),
  )
export type OfferInput = z.output<ReturnType<typeof offerInput>>

const customerName = needed('Your name', 'type it to sign', LONGEST_NAME).pipe(
  z.string().min(2, 'Type your whole name to sign.'),
)
/** What a customer sends when agreeing. */
export const agreeInput = z.object({ name: customerName, declares: ticked })
/** What a customer asks to be changed. */
export const askInput = z.object({
  name: customerName,
  text: lines('What to change', MOST_NOTE).pipe(z.string().min(1, 'Say what should be different.')),
})
/** A customer's no; the reason is theirs to give. */
export const declineInput = z.object({ name: customerName, why: line('The reason', 500).default('') })

/** A later last day for an offer. `version` is that of the offer. */
export const renewInput = (context: InputContext) =>
  z.object({
    validUntil: dayAhead('The last day of the offer', context).pipe(z.custom<ShopDay>()),
    version,
  })

/** A mail with an offer in it, as somebody sends it. `offer` is the version of the offer. */
export const offerMailInput = z.object({
  to: email.pipe(z.string().min(1, 'The address is empty: type where the mail goes.')),
  subject: needed('The subject', 'type what the mail is about', 200),
  text: lines('The text', 5000).pipe(z.string().min(1, 'The text is empty: write what the customer reads.')),
  offer: version,
  formKey,
})
export type OfferMailInput = z.output<typeof offerMailInput>

/** A form that writes an order down again. */
export const repeatInput = z.object({ formKey })

/** Ends an order that will not be made. */
export const withdrawInput = z.object({
  why: needed('The reason', 'say why it ends, for whoever looks it up', 500),
  version,
})
export const handOverInput = z.object({ version, unpaid: ticked })

const SORTS = ['number', 'promise', 'customer', 'total'] as const
/** Whether the list can be sorted by this column. */
export const isSort = (key: string): key is (typeof SORTS)[number] =>
  (SORTS as readonly string[]).includes(key)

/** The list's address: anything unknown in it falls back, since an address is not a form. */
export const listInput = z.object({
  state: z.enum([...ORDER_STATES, 'open', 'all']).catch('open'),
  find: z
    .string()
    .transform(t => visible(t).slice(0, LONGEST_NAME))
    .catch(''),
  sort: z.enum(SORTS).catch('promise'),
  down: z
    .string()
    .transform(t => t === '1')
    .catch(false),
  page: z.coerce.number().int().min(1).max(100_000).catch(1),
})
export type ListInput = z.output<typeof listInput>
