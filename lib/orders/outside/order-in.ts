import { z } from 'zod'
import { BLANK_KINDS, SIZES } from '@/lib/shop/blanks'
import { PLACEMENTS } from '@/lib/shop/placements'
import type { CatalogueStyle } from '../enquiry'
import {
  type InputContext,
  LONGEST_NAME,
  MOST_LINES,
  MOST_PRINTS,
  newOrderInput,
  type OrderInput,
} from '../input'
import { MOST_PER_SIZE } from '../size-run'
import { ORDER_STATES } from '../states'

// No transforms here: the very schema is written out as JSON Schema for whoever sends orders. What else must hold (a day ahead, a blank
// that is in the catalogue, a print that fits) is asked afterwards, by the same rules as the counter's own form.

const text = (most: number, about: string) => z.string().max(most).meta({ description: about })

const printIn = z
  .strictObject({
    placement: z.enum(PLACEMENTS).meta({ description: 'Where the print sits.' }),
    widthMm: z.number().min(5).max(1200).meta({ description: 'Width of the print, mm.' }),
    heightMm: z.number().min(5).max(1200).meta({ description: 'Height of the print, mm.' }),
    dropMm: z.number().min(0).max(1200).meta({
      description: 'From the collar seam (sleeve hem, upper edge of a bag) down to the top of the print, mm.',
    }),
    artworkId: z
      .uuid()
      .optional()
      .meta({ description: 'An artwork that the shop has already. Left out: the shop asks for it.' }),
  })
  .meta({ id: 'Print' })

const lineIn = z
  .strictObject({
    style: text(40, 'Code of the blank, as the catalogue gives it.').min(1),
    colour: text(LONGEST_NAME, 'Colour of the blank, as the catalogue names it.').min(1),
    sizes: z
      .partialRecord(z.enum(SIZES), z.int().min(0).max(MOST_PER_SIZE))
      .meta({ description: 'Pieces by size; at least one in all.', examples: [{ M: 8, L: 4 }] }),
    prints: z.array(printIn).max(MOST_PRINTS).default([]),
  })
  .meta({ id: 'Line' })

/** An order as a program sends it. */
export const orderIn = z
  .strictObject({
    customer: z
      .strictObject({
        name: text(LONGEST_NAME, 'Who orders.').min(1),
        contact: text(LONGEST_NAME, 'Whom to ask for.').optional(),
        email: z.email().max(200).optional().meta({
          description:
            'A customer whom the shop knows by this address gets the order; else a new one is written down.',
        }),
        phone: text(40, 'With at least one digit.').optional(),
        address: text(500, 'Several lines are fine.').optional(),
      })
      .meta({ id: 'Customer' }),
    title: text(LONGEST_NAME, 'What it is for.').optional(),
    note: text(2000, 'Anything else that the shop should know.').optional(),
    promise: z
      .strictObject({
        day: z.iso.date().meta({ description: 'Day of the shop, today or later.' }),
        time: z
          .string()
          .regex(/^([01]\d|2[0-3]):[0-5]\d$/)
          .default('17:00')
          .meta({ description: 'Time of the shop.' }),
        hard: z.boolean().default(false).meta({ description: 'An event: late is worthless.' }),
      })
      .optional()
      .meta({ id: 'Promise', description: 'When it is needed.' }),
    rush: z.boolean().default(false),
    lines: z.array(lineIn).min(1).max(MOST_LINES),
  })
  .meta({ id: 'OrderIn' })
export type OrderIn = z.output<typeof orderIn>

/** What a program is answered when its order is in. */
export const orderAnswer = z
  .strictObject({
    number: z.int().meta({ description: 'Number of the order: ask by it what became of it.' }),
    state: z.literal('enquiry'),
  })
  .meta({ id: 'OrderAnswer' })
export type OrderAnswer = z.output<typeof orderAnswer>

/** What became of an order that came in so. */
export const orderStatus = z
  .strictObject({
    number: z.int(),
    state: z.enum(ORDER_STATES),
    promise: z.iso.datetime().nullable().meta({ description: 'When it is promised; null while nothing is.' }),
  })
  .meta({ id: 'OrderStatus' })
export type OrderStatus = z.output<typeof orderStatus>

/** The blanks that can be ordered. */
export const catalogueAnswer = z
  .strictObject({
    styles: z.array(
      z.strictObject({
        code: z.string(),
        name: z.string(),
        kind: z.enum(BLANK_KINDS),
        colours: z.array(
          z.strictObject({ name: z.string(), hex: z.string(), sizes: z.array(z.enum(SIZES)) }),
        ),
      }),
    ),
  })
  .meta({ id: 'Catalogue' })
export type CatalogueAnswer = z.output<typeof catalogueAnswer>

const faultIn = z.strictObject({
  pointer: z.string().meta({ description: 'Where in the body, as a JSON pointer (RFC 6901).' }),
  detail: z.string().meta({ description: 'What is wrong, in a sentence.' }),
})
/** One thing that is wrong with what was sent, and where. */
export type Fault = z.output<typeof faultIn>

/** A refusal, as RFC 9457 describes it. */
export const problemAnswer = z
  .strictObject({
    type: z.string(),
    title: z.string(),
    status: z.int(),
    detail: z.string().meta({ description: 'What is wrong and what to do, in a sentence.' }),
    errors: z.array(faultIn).optional(),
  })
  .meta({ id: 'Problem' })
export type ProblemAnswer = z.output<typeof problemAnswer>

const pointer = (path: readonly PropertyKey[]): string =>
  path.map(p => `/${String(p).replaceAll('~', '~0').replaceAll('/', '~1')}`).join('')

/** Field names of the counter's form, as they are called in what a program sends. */
const CALLED: Record<string, string> = {
  quantity: 'sizes',
  width: 'widthMm',
  height: 'heightMm',
  drop: 'dropMm',
  artwork: 'artworkId',
  promiseDay: 'promise/day',
  promiseTime: 'promise/time',
}
/** "lines.0.prints.1.width" of the form is "/lines/0/prints/1/widthMm" of the body. */
export const pointerOf = (field: string): string =>
  `/${field
    .split('.')
    .map(part => CALLED[part] ?? part)
    .join('/')}`

/** The JSON of a body as an order. @returns every fault there is, each with its place */
export function readOrderIn(json: unknown): { ok: true; value: OrderIn } | { ok: false; faults: Fault[] } {
  const read = orderIn.safeParse(json)
  if (read.success) return { ok: true, value: read.data }
  return {
    ok: false,
    faults: read.error.issues.map(i => ({ pointer: pointer(i.path), detail: i.message })),
  }
}

/**
 * An order from outside as the counter's own form would have read it: the same rules, the same sentences.
 * @param customerId of a customer whom the shop knows; null where a new one is written down
 * @param context metric, whatever the shop shows: what is sent is in mm
 */
export function asOrderInput(
  sent: OrderIn,
  catalogue: readonly CatalogueStyle[],
  customerId: string | null,
  formKey: string,
  context: Omit<InputContext, 'measures'>,
): { ok: true; value: OrderInput & { formKey: string } } | { ok: false; faults: Fault[] } {
  const unknown = sent.lines.flatMap((line, i): Fault[] =>
    catalogue.some(s => s.code === line.style)
      ? []
      : [
          {
            pointer: `/lines/${i}/style`,
            detail: `There is no blank “${line.style}”: the catalogue lists what can be ordered.`,
          },
        ],
  )
  if (unknown.length) return { ok: false, faults: unknown }
  const { customer, title, note, promise, rush, lines } = sent
  const form = {
    formKey,
    customerId: customerId ?? '',
    customer: { ...customer },
    title: title ?? '',
    note: note ?? '',
    promiseDay: promise?.day ?? '',
    promiseTime: promise?.time ?? '17:00',
    ...(promise?.hard ? { promiseHard: 'on' } : {}),
    ...(rush ? { rush: 'on' } : {}),
    lines: Object.fromEntries(
      lines.map((line, i) => [
        i,
        {
          style: catalogue.find(s => s.code === line.style)?.id ?? '',
          colour: line.colour,
          quantity: line.sizes,
          prints: Object.fromEntries(
            line.prints.map((p, k) => [
              k,
              {
                placement: p.placement,
                width: `${p.widthMm} mm`,
                height: `${p.heightMm} mm`,
                drop: `${p.dropMm} mm`,
                artwork: p.artworkId ?? '',
              },
            ]),
          ),
        },
      ]),
    ),
  }
  const read = newOrderInput({ ...context, measures: 'metric' }).safeParse(form)
  if (read.success) return { ok: true, value: read.data }
  return {
    ok: false,
    faults: read.error.issues.map(i => ({
      pointer: pointerOf(i.path.map(String).join('.')),
      detail: i.message,
    })),
  }
}

/** A body as text in which the order of names does not matter: two bodies that say the same have the same. */
export function canonical(json: unknown): string {
  if (Array.isArray(json)) return `[${json.map(canonical).join(',')}]`
  if (typeof json === 'object' && json !== null)
    return `{${Object.entries(json)
      .sort(([a], [b]) => (a < b ? -1 : 1))
      .map(([key, value]) => `${JSON.stringify(key)}:${canonical(value)}`)
      .join(',')}}`
  return JSON.stringify(json) ?? 'null'
}

/** The number that a program gave its call: `Idempotency-Key`, quoted as a structured field (RFC 8941) or bare. Null where it is none. */
export function readCallNumber(header: string | null): string | null {
  const bare = (header ?? '').trim().replace(/^"(.*)"$/, '$1')
  return /^[\x21\x23-\x7e]{8,128}$/.test(bare) ? bare : null
}
