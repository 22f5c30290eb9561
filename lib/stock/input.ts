import { z } from 'zod'
import type { BaseUnit } from '@/lib/units/base-unit'
import { formKey, line, needed, ticked, versionFrom, wholeNumber } from '@/lib/units/form-fields'
import { type Micro, minorToMicro, parseMoney } from '@/lib/units/money'
import { atTime, dayBounds, type Instant, instant, shopDay } from '@/lib/units/time'
import { costAt, type PriceBreak, parseBreaks } from './breaks'
import { type Counting, ITEM_KINDS, ITEM_SORTS, readAmount, WIDEST_ROLL } from './items'
import { priceFor } from './purchase'
import { OUTCOMES, TROUBLES } from './purchase-words'

/** What reading an amount needs to know of an item. `pack`: base units that its price buys. */
export type ItemContext = {
  unit: BaseUnit
  pack: number
  widthMm?: number | null
  price: Micro
  currency: string
  breaks?: readonly PriceBreak[]
}

const version = versionFrom(1)

/** An amount of an item in base units, as typed. */
const amount = (item: Counting, least: 0 | 1) =>
  z.string({ error: 'How much is missing.' }).transform((text, issue) => {
    const read = readAmount(text, item)
    const message = !read.ok ? read.message : read.value < least ? 'Type how much: more than 0.' : null
    if (message === null && read.ok) return read.value
    issue.addIssue({ code: 'custom', message: message ?? '' })
    return z.NEVER
  })

/** Money as typed, in micro-units; empty is null. */
const money = (currency: string, least: 0 | 1 = 0) =>
  z.string({ error: 'The amount is missing.' }).transform((text, issue): Micro | null => {
    if (text.trim() === '') return null
    const read = parseMoney(text, currency)
    const message = !read.ok ? read.message : read.value < least ? 'An amount here is not below 0.' : null
    if (message === null && read.ok) return minorToMicro(read.value, currency)
    issue.addIssue({ code: 'custom', message: message ?? '' })
    return z.NEVER
  })

const note = (most: number) => line('The note', most)
const lotNumber = line('The lot', 40).default('')

/** A day typed in a form as its last moment; empty is null. */
const endOfDay = (zone: string) =>
  z.string({ error: 'The day is missing.' }).transform((text, issue): Instant | null => {
    if (text.trim() === '') return null
    try {
      return instant(dayBounds(shopDay(text.trim()), zone).to - 1)
    } catch {
      issue.addIssue({ code: 'custom', message: 'Choose a day, or leave it empty.' })
      return z.NEVER
    }
  })

/** A count: what is really there. */
export const countInput = (item: ItemContext) =>
  z.object({ found: amount(item, 0), why: line('The note', 300).default(''), formKey })

/** A new round of counting. */
export const newCountInput = z.object({
  name: needed('The name', 'say what is counted, and when', 80),
  kind: z
    .union([z.literal('').transform(() => undefined), z.enum(ITEM_KINDS)], {
      error: 'Choose what is counted.',
    })
    .optional(),
  blind: ticked,
  formKey,
})

/** A shelf in a round of counting; empty takes the count back. */
export const countLineInput = (item: Counting) =>
  z.object({
    found: z.string({ error: 'How much is missing.' }).transform((text, issue): number | null => {
      if (text.trim() === '') return null
      const read = readAmount(text, item)
      if (read.ok) return read.value
      issue.addIssue({ code: 'custom', message: read.message })
      return z.NEVER
    }),
    seen: version,
    scanned: ticked,
  })

/** Goods that came without a purchase. An empty cost is the item's own price. */
export const receiveInput = (item: ItemContext, zone: string) =>
  z
    .object({
      quantity: amount(item, 1),
      cost: money(item.currency).default(null),
      why: line('The note', 300).default(''),
      lot: lotNumber,
      goodUntil: endOfDay(zone).default(null),
      anyway: ticked,
      formKey,
    })
    .superRefine((goods, issue) => {
      if (goods.anyway && goods.why === '')
        issue.addIssue({
          code: 'custom',
          path: ['why'],
          message: 'Say why it is still good: the book keeps it.',
        })
    })
    .transform(({ cost, lot, goodUntil, anyway, ...rest }) => ({
      ...rest,
      value: cost ?? priceFor(rest.quantity, item.price, item.pack),
      came: { lot, goodUntil, anyway },
    }))

/** A lot that is good for longer than its maker says. */
export const extendLotInput = (zone: string) =>
  z.object({
    lot: lotNumber.pipe(z.string().min(1, 'Choose a lot.')),
    until: endOfDay(zone).pipe(
      z.custom<Instant>(v => v !== null, 'Choose the last day on which it may be used.'),
    ),
    why: needed('The reason', 'say how you know that it is still good', 300),
  })

/** Goods that leave without an order, or come back from one. */
export const moveInput = (item: ItemContext) =>
  z
    .object({
      kind: z.enum(['spoiled', 'supplier', 'order'], { error: 'Choose what happened to them.' }),
      quantity: amount(item, 1),
      lot: z.string().max(40, 'Choose a lot from the list.').default('any'),
      order: line('The order number', 12).default(''),
      why: line('The note', 300).default(''),
      formKey,
    })
    .superRefine((move, issue) => {
      if (move.kind === 'order' && !/^\d{1,9}$/.test(move.order))
        issue.addIssue({
          code: 'custom',
          path: ['order'],
          message: 'Type the number of the order, like 1042.',
        })
      if (move.kind !== 'order' && move.why === '')
        issue.addIssue({
          code: 'custom',
          path: ['why'],
          message: 'Say why in a few words: the book keeps it.',
        })
    })

/** Taking a line of the book back. */
export const takeBackInput = z.object({
  movement: z.uuid({ error: 'This line is not known here: open the book again.' }),
  formKey,
})

/** Other prices from a quantity on, one a line. */
const priceBreaks = (item: Counting & { currency: string }) =>
  z
    .string()
    .max(400, 'The prices by quantity are too long: one a line, like 72 at 2.40.')
    .default('')
    .transform((text, issue) => {
      const read = parseBreaks(text, item)
      if (read.ok) return read.value
      issue.addIssue({ code: 'custom', message: read.message })
      return z.NEVER
    })

/** What is known of a supplier. */
export const supplierInput = (currency: string) =>
  z.object({
    name: needed('The supplier', 'type who it is bought from', 120),
    email: line('The e-mail address', 200)
      .refine(
        t => t === '' || /^[^\s@]+@[^\s@]+$/.test(t),
        'This is not an e-mail address: write it like orders@mill.example.',
      )
      .default(''),
    phone: line('The telephone number', 60).default(''),
    address: line('The address', 300).default(''),
    note: line('The note', 500).default(''),
    least: money(currency)
      .default(null)
      .transform(n => n ?? (0 as Micro)),
    version: z.coerce.number().int().min(0),
  })

/** How wide a roll is, mm; empty is null. */
const rollWidth = z
  .string()
  .default('')
  .refine(
    t => t.trim() === '' || (/^\d{1,4}$/.test(t.trim()) && Number(t) >= 1 && Number(t) <= WIDEST_ROLL),
    `The width of a roll is a whole number of mm from 1 to ${WIDEST_ROLL}; leave it empty where nothing comes off a roll.`,
  )
  .transform(t => (t.trim() === '' ? null : Number(t)))

/** What can be changed of an item. Price for one pack; levels in the item's units. */
export const itemInput = (item: Omit<ItemContext, 'price' | 'breaks'>) =>
  z
    .object({
      name: needed('The name', 'type what people call it', 120),
      supplier: line('The supplier', 120).default(''),
      price: money(item.currency).pipe(
        z.custom<Micro>(v => v !== null, 'Type what it costs; 0 where it costs nothing.'),
      ),
      leadDays: wholeNumber('The lead time', 365),
      reorderPoint: amount(item, 0),
      reorderTo: amount(item, 0),
      minOrder: amount(item, 0).default(0),
      breaks: priceBreaks(item),
      widthMm: rollWidth,
      retired: ticked,
      version,
    })
    .superRefine((i, issue) => {
      if (i.reorderTo < i.reorderPoint)
        issue.addIssue({
          code: 'custom',
          path: ['reorderTo'],
          message: 'Order up to at least the reorder point, else every order would be too small.',
        })
    })

/** A day typed in a form, as the instant of that morning; empty is null. */
const morning = (zone: string) =>
  z.string({ error: 'The day is missing.' }).transform((text, issue): Instant | null => {
    if (text.trim() === '') return null
    try {
      return atTime(shopDay(text.trim()), '09:00', zone)
    } catch {
      issue.addIssue({ code: 'custom', message: 'Choose a day, or leave it empty.' })
      return z.NEVER
    }
  })

/** The head of a purchase; its lines are read item by item with {@link purchaseLines}. */
export const purchaseInput = (zone: string) =>
  z.object({
    supplier: needed('The supplier', 'type who it is bought from', 120),
    dueAt: morning(zone).default(null),
    note: line('The note', 500).default(''),
    formKey,
  })

/** A line of a form that may be empty. */
export type LineErrors = Record<string, string>

/**
 * Reads the lines of a purchase from a form: `quantity.ITEM` and `cost.ITEM`. Lines without a quantity are left out; an
 * empty cost is the item's own price.
 */
export function purchaseLines(
  fields: Record<string, string>,
  items: readonly ({ id: string } & ItemContext)[],
): { rows: { itemId: string; quantity: number; value: Micro }[]; errors: LineErrors } {
  const rows: { itemId: string; quantity: number; value: Micro }[] = []
  const errors: LineErrors = {}
  for (const item of items) {
    const typed = fields[`quantity.${item.id}`]?.trim()
    if (!typed) continue
    const quantity = amount(item, 0).safeParse(typed)
    if (!quantity.success) {
      errors[`quantity.${item.id}`] = quantity.error.issues[0]?.message ?? ''
      continue
    }
    if (quantity.data === 0) continue
    const cost = money(item.currency).safeParse(fields[`cost.${item.id}`] ?? '')
    if (!cost.success) errors[`cost.${item.id}`] = cost.error.issues[0]?.message ?? ''
    else
      rows.push({
        itemId: item.id,
        quantity: quantity.data,
        value:
          cost.data ??
          costAt(quantity.data, { price: item.price, pricePer: item.pack, breaks: item.breaks ?? [] }),
      })
  }
  return { rows, errors }
}

/** Receiving: which purchase it was when the form was drawn. */
export const receivePurchaseInput = z.object({ version, keepMore: ticked })

/**
 * Reads what came, line by line: `came.LINE` good pieces, `cost.LINE` only where the supplier charged something else, `lot.LINE` and
 * `goodUntil.LINE`, and `bad.LINE` pieces that are wrong, damaged or missing, with `badKind.LINE`, `outcome.LINE` and `badNote.LINE`.
 */
export function cameLines(
  fields: Record<string, string>,
  lines: readonly { id: string; unit: BaseUnit; pack: number }[],
  currency: string,
  zone: string,
): { rows: CameRow[]; errors: LineErrors } {
  const rows: CameRow[] = []
  const errors: LineErrors = {}
  for (const line of lines) {
    const of = (name: string) => fields[`${name}.${line.id}`]?.trim() ?? ''
    const read = z
      .object({
        came: amount(line, 0),
        cost: money(currency),
        bad: amount(line, 0),
        badKind: z.enum(TROUBLES, { error: 'Choose what is wrong with them.' }),
        outcome: z.enum(OUTCOMES, { error: 'Choose what becomes of them.' }),
        badNote: note(300),
        lot: lotNumber,
        goodUntil: endOfDay(zone),
        anyway: ticked,
      })
      .safeParse({
        came: of('came') || '0',
        cost: of('cost'),
        bad: of('bad') || '0',
        badKind: of('badKind') || 'damaged',
        outcome: of('outcome') || 'replace',
        badNote: of('badNote'),
        lot: of('lot'),
        goodUntil: of('goodUntil'),
        anyway: of('anyway') || undefined,
      })
    if (!read.success) {
      for (const i of read.error.issues) errors[`${String(i.path[0])}.${line.id}`] ??= i.message
      continue
    }
    const { came, cost, bad, badKind, outcome, badNote, lot, goodUntil, anyway } = read.data
    if (came === 0 && bad === 0) continue
    rows.push({
      lineId: line.id,
      quantity: came,
      ...(cost === null ? {} : { value: cost }),
      ...(lot || goodUntil !== null ? { lot: { lot, goodUntil, anyway } } : {}),
      ...(bad > 0 ? { bad: { quantity: bad, kind: badKind, outcome, note: badNote } } : {}),
    })
  }
  return { rows, errors }
}

/** What came of one line of a purchase, as typed. */
type CameRow = {
  lineId: string
  quantity: number
  value?: Micro
  lot?: { lot: string; goodUntil: Instant | null; anyway: boolean }
  bad?: {
    quantity: number
    kind: (typeof TROUBLES)[number]
    outcome: (typeof OUTCOMES)[number]
    note: string
  }
}

/** Ending a purchase of which nothing more comes. */
export const endPurchaseInput = z.object({
  why: needed('The reason', 'say why nothing more comes', 300),
  version,
})

/** A new item. */
export const newItemInput = (currency: string) =>
  z
    .object({
      sku: needed('The SKU', 'type a short code', 40).pipe(
        z.string().regex(/^[A-Za-z0-9][A-Za-z0-9._-]*$/, 'A SKU has letters, digits, dots and dashes only.'),
      ),
      name: needed('The name', 'type what people call it', 120),
      kind: z.enum(ITEM_KINDS, { error: 'Choose what kind of thing it is.' }),
      unit: z.enum(['piece', 'ul', 'mg', 'mm', 'cm2'], { error: 'Choose how it is counted.' }),
      pack: z.string().default(''),
      widthMm: rollWidth,
      price: money(currency).pipe(
        z.custom<Micro>(v => v !== null, 'Type what one pack costs; 0 where it costs nothing.'),
      ),
      supplier: line('The supplier', 120).default(''),
      leadDays: wholeNumber('The lead time', 365),
    })
    .transform((item, issue) => {
      const { unit, widthMm } = item
      const pack =
        item.pack.trim() === '' ? { ok: true as const, value: 1 } : readAmount(item.pack, { unit, widthMm })
      if (!pack.ok || pack.value === 0) {
        issue.addIssue({
          code: 'custom',
          path: ['pack'],
          message: pack.ok ? 'A pack holds more than 0.' : pack.message,
        })
        return z.NEVER
      }
      const { pack: _, ...rest } = item
      return { ...rest, pricePer: pack.value }
    })

/** What a list is filtered by, from the address. Unknown values are ignored. */
export const listFilter = z.object({
  kind: z.enum(ITEM_KINDS).optional().catch(undefined),
  style: z.uuid().optional().catch(undefined),
  words: z.string().max(120).optional().catch(undefined),
  only: z.enum(['short', 'order']).optional().catch(undefined),
  page: z.coerce.number().int().min(1).max(100_000).optional().catch(undefined),
})

/** The search and the order that the list of items can be asked for by its address. */
export const itemFilter = listFilter.extend({
  sort: z.enum(ITEM_SORTS).optional().catch(undefined),
  down: z.literal('1').optional().catch(undefined),
})
