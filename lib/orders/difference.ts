import type { SizeRule } from '@/lib/artwork/print-sizes'
import { writeSizeRules } from '@/lib/artwork/size-rules'
import { PLACEMENT } from '@/lib/shop/placements'
import { formatLength, type MeasureSystem, mm } from '@/lib/units/measure'
import { formatMoment, type Instant } from '@/lib/units/time'
import type { Customer, OrderLine, OrderView } from './order'
import { formatSizeRun } from './size-run'

/** One thing in which two versions differ, as people read it. An empty text means it is not there. */
export type Difference = { what: string; saved: string; typed: string }

/** What of an order a form can change, in words. */
export type OrderWords = {
  customer: string
  title: string
  note: string
  promise: string
  rush: string
  lines: { blank: string; sizes: string; prints: string[] }[]
}

type PrintFacts = {
  placement: OrderLine['prints'][number]['placement']
  widthMm: number
  heightMm: number
  dropMm: number
  /** Left out: as usual at the placement. */
  offsetMm?: number
  bySize?: readonly SizeRule[]
}

/** Where a print sits beside the middle, in words: "in the middle", "40 mm toward the wearer’s right". */
export const offsetWords = (offsetMm: number, measures: MeasureSystem): string =>
  Math.abs(offsetMm) < 0.05
    ? 'in the middle'
    : `${formatLength(mm(Math.abs(offsetMm)), measures)} toward the wearer’s ${offsetMm > 0 ? 'left' : 'right'}`

/**
 * A print in one line: "Full front, 305 × 356 mm, 57 mm down, lion.png". Where it sits beside the middle is said where it is not
 * the placement's usual, and other widths by garment size where there are any.
 */
export const printWords = (print: PrintFacts, artwork: string | null, measures: MeasureSystem): string => {
  const usual = PLACEMENT[print.placement].offsetMm
  const offset = print.offsetMm ?? usual
  return [
    PLACEMENT[print.placement].name,
    `${formatLength(mm(print.widthMm), measures)} × ${formatLength(mm(print.heightMm), measures)}`,
    `${formatLength(mm(print.dropMm), measures)} down`,
    ...(Math.abs(offset - usual) < 0.05 ? [] : [offsetWords(offset, measures)]),
    ...(print.bySize?.length ? [`on ${writeSizeRules(print.bySize, measures)} wide`] : []),
    artwork ?? 'no artwork yet',
  ].join(', ')
}

/** A promise in words: "Thu 14 May, 17:00, hard", "none yet". */
export const promiseWords = (at: Instant | null, hard: boolean, zone: string): string =>
  at === null ? 'none yet' : `${formatMoment(at, zone)}, ${hard ? 'hard' : 'soft'}`

/** The saved order in words, to be laid beside what somebody typed. */
export const orderWords = (order: OrderView, measures: MeasureSystem, zone: string): OrderWords => ({
  customer: order.customer.name,
  title: order.title,
  note: order.note,
  promise: promiseWords(order.promiseAt, order.promiseHard, zone),
  rush: order.rush ? 'yes' : 'no',
  lines: order.lines.map(line => ({
    blank: `${line.style.name}, ${line.colour}`,
    sizes: formatSizeRun(line.sizes),
    prints: line.prints.map(p => printWords(p, p.artwork?.name ?? null, measures)),
  })),
})

/** In what two versions of an order differ, in the order of the form. Empty where they say the same. */
export function orderDifferences(saved: OrderWords, typed: OrderWords): Difference[] {
  const found: Difference[] = []
  const put = (what: string, a = '', b = '') => {
    if (a !== b) found.push({ what, saved: a, typed: b })
  }
  put('Customer', saved.customer, typed.customer)
  put('What it is for', saved.title, typed.title)
  put('Promise', saved.promise, typed.promise)
  put('Rush', saved.rush, typed.rush)
  put('Note', saved.note, typed.note)
  for (let i = 0; i < Math.max(saved.lines.length, typed.lines.length); i++) {
    const [a, b] = [saved.lines[i], typed.lines[i]]
    put(`Blank ${i + 1}`, a?.blank, b?.blank)
    put(`Sizes of blank ${i + 1}`, a?.sizes, b?.sizes)
    for (let k = 0; k < Math.max(a?.prints.length ?? 0, b?.prints.length ?? 0); k++)
      put(`Print ${k + 1} on blank ${i + 1}`, a?.prints[k], b?.prints[k])
  }
  return found
}

/** In what a customer's form differs from the saved customer. */
export function customerDifferences(
  saved: Omit<Customer, 'id' | 'version'>,
  typed: Omit<Customer, 'id' | 'version'>,
): Difference[] {
  const yes = (b: boolean) => (b ? 'yes' : 'no')
  const rows: Difference[] = [
    { what: 'Name', saved: saved.name, typed: typed.name },
    { what: 'Contact', saved: saved.contact, typed: typed.contact },
    { what: 'E-mail', saved: saved.email, typed: typed.email },
    { what: 'Phone', saved: saved.phone, typed: typed.phone },
    { what: 'Address', saved: saved.address, typed: typed.address },
    { what: 'Note', saved: saved.note, typed: typed.note },
    { what: 'Tax exempt', saved: yes(saved.taxExempt), typed: yes(typed.taxExempt) },
  ]
  return rows.filter(r => r.saved !== r.typed)
}
