import { type SizeRule, sizeOf } from '@/lib/artwork/print-sizes'
import { type BlankKind, type FibreContent, outlineOf, type Size } from '@/lib/shop/blanks'
import { checkPlacement, PLACEMENT } from '@/lib/shop/placements'
import type { MeasureSystem } from '@/lib/units/measure'
import { ok, type Refusal, type Result, refuse } from '@/lib/units/result'
import { type OrderWords, printWords, promiseWords } from './difference'
import { type LineInput, MOST_NOTE, type OrderInput } from './input'
import type { OrderView } from './order'
import { formatSizeRun } from './size-run'

/** What a shop can print on: each style with its colours, and the stock item of each size that the colour comes in. */
export type CatalogueStyle = {
  id: string
  code: string
  name: string
  kind: BlankKind
  fibres: FibreContent
  colours: { name: string; hex: string; sizes: { itemId: string; size: string }[] }[]
}

/** A line as it will be saved. */
export type LineDraft = {
  styleId: string
  colour: string
  sizes: { itemId: string; size: Size; quantity: number }[]
  prints: {
    placement: LineInput['prints'][number]['placement']
    widthMm: number
    heightMm: number
    dropMm: number
    offsetMm: number
    bySize?: SizeRule[]
    artworkId: string | null
  }[]
}

/** A print that cannot lie on the garment at all, on the smallest size of the run. */
function refusePrint(
  line: LineInput,
  style: CatalogueStyle,
  print: LineInput['prints'][number],
): Refusal | null {
  const field = (name: string) => `lines.${line.key}.prints.${print.key}.${name}`
  const guide = PLACEMENT[print.placement]
  if (!guide.kinds.includes(style.kind))
    return refuse(
      'placement',
      `${guide.name} is no place on the ${style.name}: choose another.`,
      field('placement'),
    )
  for (const { size } of line.sizes) {
    const outline = outlineOf(style.kind, size)
    const { widthMm, heightMm } = sizeOf(print, size, print.bySize ?? [])
    const sized = widthMm === print.widthMm ? field('width') : field('bySize')
    if (widthMm > outline.widthMm)
      return refuse(
        'tooWide',
        `A print ${Math.round(widthMm)} mm wide is wider than size ${size} itself (${outline.widthMm} mm): make it smaller.`,
        sized,
      )
    const beside = Math.abs(print.offsetMm ?? guide.offsetMm)
    if (beside > 0 && (guide.side === 'front' || guide.side === 'back')) {
      const past = beside + widthMm / 2 - outline.widthMm / 2
      if (past > 0)
        return refuse(
          'tooFarOut',
          `A print ${Math.round(widthMm)} mm wide, ${Math.round(beside)} mm beside the middle, runs ${Math.ceil(past)} mm off size ${size}: move it in, or make it smaller.`,
          field('offset'),
        )
    }
    if (guide.side !== 'sleeve' && print.dropMm + heightMm > outline.collarToHemMm)
      return refuse(
        'tooTall',
        `A print ${Math.round(heightMm)} mm tall, ${Math.round(print.dropMm)} mm down, runs off size ${size} (${outline.collarToHemMm} mm): make it smaller or move it up.`,
        sized === field('width') ? field('height') : sized,
      )
  }
  return null
}

/**
 * Lines as typed, against what the shop has in its catalogue. Refuses a blank, colour or size that does not exist, and a print that
 * is larger than the garment; the first complaint is given, with the field it is about.
 */
export function decideLines(
  lines: readonly LineInput[],
  catalogue: readonly CatalogueStyle[],
): Result<LineDraft[]> {
  const drafts: LineDraft[] = []
  for (const line of lines) {
    const style = catalogue.find(s => s.id === line.styleId)
    if (!style)
      return refuse(
        'style',
        'This blank is no longer in the catalogue: choose another.',
        `lines.${line.key}.style`,
      )
    const colour = style.colours.find(c => c.name === line.colour)
    if (!colour)
      return refuse(
        'colour',
        `The ${style.name} does not come in “${line.colour}”: choose ${style.colours.map(c => c.name).join(', ')}.`,
        `lines.${line.key}.colour`,
      )
    const sizes: LineDraft['sizes'] = []
    for (const { size, quantity } of line.sizes) {
      const item = colour.sizes.find(i => i.size === size)
      if (!item)
        return refuse(
          'size',
          `The ${style.name} in ${colour.name} does not come in ${size}: it comes in ${colour.sizes.map(i => i.size).join(', ')}.`,
          `lines.${line.key}.quantity`,
        )
      sizes.push({ itemId: item.itemId, size, quantity })
    }
    for (const print of line.prints) {
      const no = refusePrint(line, style, print)
      if (no) return no
    }
    drafts.push({
      styleId: style.id,
      colour: colour.name,
      sizes,
      prints: line.prints.map(({ placement, widthMm, heightMm, dropMm, offsetMm, bySize, artworkId }) => ({
        placement,
        widthMm,
        heightMm,
        dropMm,
        offsetMm: offsetMm ?? PLACEMENT[placement].offsetMm,
        ...(bySize?.length ? { bySize } : {}),
        artworkId,
      })),
    })
  }
  return ok(drafts)
}

/** What the placement guide has against a print, as remarks: the shop may still do it. Null where nothing. */
export function remarkOnPrint(
  kind: BlankKind,
  sizes: readonly { size: Size; quantity: number }[],
  print: { placement: LineInput['prints'][number]['placement']; widthMm: number; heightMm: number },
): string | null {
  const worn = sizes.filter(s => s.quantity > 0).map(s => s.size)
  const checked = checkPlacement(print.placement, kind, worn, print.widthMm, print.heightMm)
  return checked.ok ? null : checked.message
}

/** What somebody typed, in the words in which a saved order is laid beside it. */
export function typedWords(
  input: OrderInput,
  names: {
    customer: string
    styles: readonly { id: string; name: string }[]
    artworks: ReadonlyMap<string, string>
  },
  measures: MeasureSystem,
  zone: string,
): OrderWords {
  return {
    customer: names.customer,
    title: input.title,
    note: input.note,
    promise: promiseWords(input.promise?.at ?? null, input.promise?.hard ?? false, zone),
    rush: input.rush ? 'yes' : 'no',
    lines: input.lines.map(line => ({
      blank: `${names.styles.find(s => s.id === line.styleId)?.name ?? 'unknown blank'}, ${line.colour}`,
      sizes: formatSizeRun(line.sizes),
      prints: line.prints.map(p =>
        printWords(p, p.artworkId === null ? null : (names.artworks.get(p.artworkId) ?? null), measures),
      ),
    })),
  }
}

/** Blanks of an order, parted into what is still in the catalogue and, in words, what is not: "4 × Heavy tee, Black, 2XL". */
function stillSold(
  order: OrderView,
  catalogue: readonly CatalogueStyle[],
): { lines: OrderView['lines']; left: string[] } {
  const left: string[] = []
  const lines = order.lines.flatMap(line => {
    const colour = catalogue.find(s => s.id === line.style.id)?.colours.find(c => c.name === line.colour)
    const sizes = line.sizes.filter(s => {
      const sold = colour?.sizes.some(i => i.size === s.size) ?? false
      if (!sold && s.quantity > 0) left.push(`${s.quantity} × ${line.style.name}, ${line.colour}, ${s.size}`)
      return sold
    })
    return sizes.length > 0 ? [{ ...line, sizes }] : []
  })
  return { lines, left }
}

/**
 * An order as the form would read it if it were typed again: what is printed on what, without its promise and its hurry. Blanks that are no
 * longer in the catalogue are left out.
 * @returns with them in words; refused where nothing is left
 */
export function repeatOf(
  order: OrderView,
  catalogue: readonly CatalogueStyle[],
): Result<{ input: OrderInput; left: string[] }> {
  const { lines, left } = stillSold(order, catalogue)
  if (lines.length === 0)
    return refuse(
      'gone',
      `Nothing of order ${order.number} is in the catalogue any more: write a new order with other blanks.`,
    )
  const without = left.length
    ? `Left out of order ${order.number}, no longer to be had: ${left.join('; ')}.`
    : ''
  const note = [without, order.note].filter(Boolean).join('\n').slice(0, MOST_NOTE)
  return ok({ input: typedAgain({ ...order, note, lines }), left })
}

const typedAgain = (order: OrderView): OrderInput => ({
  customer: { id: order.customer.id },
  title: order.title,
  note: order.note,
  promise: null,
  rush: false,
  lines: order.lines.map((line, i) => ({
    key: String(i),
    styleId: line.style.id,
    colour: line.colour,
    sizes: line.sizes.map(({ size, quantity }) => ({ size, quantity })),
    prints: line.prints.map((print, k) => ({
      key: String(k),
      placement: print.placement,
      widthMm: print.widthMm,
      heightMm: print.heightMm,
      dropMm: print.dropMm,
      offsetMm: print.offsetMm,
      ...(print.bySize ? { bySize: print.bySize } : {}),
      artworkId: print.artwork?.id ?? null,
    })),
  })),
})
