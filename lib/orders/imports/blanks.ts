import {
  BLANK_KIND_WORDS,
  BLANK_KINDS,
  type BlankKind,
  type FibreContent,
  formatFibres,
  HEX,
  SIZES,
  type Size,
} from '@/lib/shop/blanks'
import { readFibres } from '@/lib/shop/new-style'
import { formatMicro, type Micro, type Minor, minorToMicro, parseMoney } from '@/lib/units/money'
import {
  type Change,
  type Column,
  cellsBy,
  type ImportPlan,
  type Matching,
  type RowError,
  type Table,
} from './table'

/** What a row can say of a blank: one style in one colour and one size. */
export const BLANK_COLUMNS = [
  {
    key: 'code',
    label: 'Style code',
    needed: true,
    heads: ['code', 'style', 'style number', 'article', 'model'],
  },
  { key: 'name', label: 'Style name', heads: ['description', 'title', 'product', 'name'] },
  { key: 'kind', label: 'Kind', heads: ['type', 'category', 'garment'] },
  {
    key: 'fibres',
    label: 'Made of',
    heads: ['fibre', 'fiber', 'fabric', 'composition', 'material', 'fibre content'],
  },
  { key: 'colour', label: 'Colour', needed: true, heads: ['color', 'colour name', 'color name'] },
  { key: 'hex', label: 'Colour on the screen', heads: ['hex', 'rgb', 'colour value', 'color code'] },
  { key: 'size', label: 'Size', needed: true, heads: ['size name'] },
  { key: 'sku', label: 'SKU', heads: ['item number', 'item no', 'article number', 'part number', 'ean'] },
  {
    key: 'price',
    label: 'Price for one',
    heads: ['price', 'cost', 'net price', 'unit price', 'piece price'],
  },
  { key: 'supplier', label: 'Supplier', heads: ['vendor', 'brand', 'mill', 'bought from'] },
  { key: 'leadDays', label: 'Days to come', heads: ['lead time', 'lead days', 'delivery days'] },
  { key: 'reorderPoint', label: 'Reorder at', heads: ['reorder point', 'minimum', 'min stock'] },
  { key: 'reorderTo', label: 'Order up to', heads: ['maximum', 'max stock', 'target'] },
] as const satisfies readonly Column[]

/** A style that is known here. */
export type KnownStyle = { id: string; code: string; name: string; kind: BlankKind; fibres: FibreContent }
/** A blank that is known here. Its price is that of one piece. */
export type KnownBlank = {
  sku: string
  styleCode: string
  colour: string
  colourHex: string
  size: string
  /** As it is kept, which may be finer than the currency's smallest coin. */
  price: Micro
  supplier: string
  leadDays: number
  reorderPoint: number
  reorderTo: number
  version: number
}

/** What a new row writes: the blank, and its style where that is new, too. */
export type NewBlank = {
  style: { code: string; name: string; kind: BlankKind; fibres: FibreContent; known: string | null }
  sku: string
  colour: string
  colourHex: string
  size: Size
  price: Minor
  supplier: string
  leadDays: number
  reorderPoint: number
  reorderTo: number
}
export type BlankEdit = Pick<
  KnownBlank,
  'sku' | 'version' | 'price' | 'supplier' | 'leadDays' | 'reorderPoint' | 'reorderTo'
>

const plain = (text: string) => text.replace(/[^\p{L}\p{N}]+/gu, '').toLowerCase()
const bySize = new Map(SIZES.map(s => [plain(s), s]))
for (const [typed, size] of [
  ['xxl', '2XL'],
  ['xxxl', '3XL'],
  ['xxxxl', '4XL'],
  ['small', 'S'],
  ['medium', 'M'],
  ['large', 'L'],
  ['xlarge', 'XL'],
  ['os', 'One size'],
  ['onesize', 'One size'],
] as const)
  bySize.set(typed, size)
const byKind = new Map<string, BlankKind>(
  BLANK_KINDS.flatMap(k => [
    [plain(k), k],
    [plain(BLANK_KIND_WORDS[k]), k],
  ]),
)

class Wrong extends Error {}
const wrong = (message: string): never => {
  throw new Wrong(message)
}

function whole(text: string | undefined, what: string, most: number): number | null {
  if (!text) return null
  return /^\d{1,6}$/.test(text) && Number(text) <= most
    ? Number(text)
    : wrong(`${what} is “${text.slice(0, 30)}”: write a whole number from 0 to ${most}.`)
}

/** Whether a text is an amount and nothing else: what stands in a file was not typed with care, so no letter is read over. */
const isPrice = (text: string, currency: string) =>
  /^-?[\d.,'\s]+$/.test(text.replace(/\p{Sc}/u, '').replace(new RegExp(currency, 'i'), ''))

const CODE = /^[A-Za-z0-9]{1,12}$/

/**
 * What a file of blanks would do. A style that is new needs its name, kind and fibres on one of its rows at least, since they decide how
 * it can be printed; a colour that is new needs its value on the screen. A cell that is empty leaves what is known as it is.
 */
export function planBlanks(
  table: Table,
  matching: Matching,
  known: { styles: readonly KnownStyle[]; blanks: readonly KnownBlank[] },
  currency: string,
): ImportPlan<NewBlank, BlankEdit> {
  const changes: Change<NewBlank, BlankEdit>[] = []
  const errors: RowError[] = []
  const styles = new Map(
    known.styles.map(s => [s.code.toLowerCase(), { ...s, known: s.id as string | null }]),
  )
  const said = new Map<string, { name?: string; kind?: string; fibres?: string }>()
  const rows = table.rows.map(r => ({ line: r.line, cells: cellsBy(r.cells, matching) }))
  // What one row says of its style holds for all of them.
  for (const { cells } of rows) {
    const key = (cells.code ?? '').toLowerCase()
    const before = said.get(key) ?? {}
    said.set(key, {
      name: before.name || cells.name || '',
      kind: before.kind || cells.kind || '',
      fibres: before.fibres || cells.fibres || '',
    })
  }
  const hexes = new Map(known.blanks.map(b => [`${b.styleCode} ${b.colour}`.toLowerCase(), b.colourHex]))
  const blanks = new Map(known.blanks.map(b => [`${b.styleCode} ${b.colour} ${b.size}`.toLowerCase(), b]))
  const seen = new Map<string, number>()
  const skus = new Set(known.blanks.map(b => b.sku.toLowerCase()))

  const styleOf = (code: string) => {
    const here = styles.get(code.toLowerCase())
    if (here) return here
    if (!CODE.test(code))
      return wrong(
        `“${code.slice(0, 30)}” is no style code: it has one to twelve letters and digits, like T180.`,
      )
    const { name = '', kind = '', fibres = '' } = said.get(code.toLowerCase()) ?? {}
    const lacks = [
      ['its name', name],
      ['its kind', kind],
      ['what it is made of', fibres],
    ]
      .filter(([, v]) => !v)
      .map(([what]) => what)
    if (lacks.length) return wrong(`Style ${code} is new here and lacks ${lacks.join(' and ')}.`)
    const read = byKind.get(plain(kind))
    if (!read)
      return wrong(
        `“${kind.slice(0, 30)}” is no kind of blank: write one of ${BLANK_KINDS.map(k => BLANK_KIND_WORDS[k]).join(', ')}.`,
      )
    const shares = readFibres(fibres)
    if (typeof shares === 'string') return wrong(shares)
    if (name.length > 80) return wrong('The name of a style has at most 80 letters.')
    const style = { id: '', code, name, kind: read, fibres: shares, known: null }
    styles.set(code.toLowerCase(), style)
    return style
  }

  for (const { line, cells } of rows) {
    try {
      if (!cells.code) wrong('The style code is empty.')
      if (!cells.colour) wrong('The colour is empty.')
      const code = cells.code as string
      const colour = cells.colour as string
      const size = bySize.get(plain(cells.size ?? ''))
      if (!size) {
        wrong(
          `“${(cells.size ?? '').slice(0, 20)}” is not a size known here: write one of ${SIZES.join(', ')}.`,
        )
        continue
      }
      if (colour.length > 40) wrong('The name of a colour has at most 40 letters.')
      const key = `${code} ${colour} ${size}`.toLowerCase()
      const before = seen.get(key)
      if (before !== undefined)
        wrong(`${code} in ${colour}, ${size}, stands on line ${before} already: keep one of the two rows.`)
      seen.set(key, line)
      const read = cells.price ? parseMoney(cells.price, currency) : null
      if (read && (!read.ok || read.value < 0 || !isPrice(cells.price as string, currency)))
        wrong(`The price is “${cells.price?.slice(0, 30)}”: write it like 2.35.`)
      const price = read?.ok ? read.value : null
      const leadDays = whole(cells.leadDays, 'Days to come', 365)
      const reorderPoint = whole(cells.reorderPoint, 'Reorder at', 100_000)
      const reorderTo = whole(cells.reorderTo, 'Order up to', 100_000)
      const supplier = (cells.supplier ?? '').slice(0, 120)
      const style = styleOf(code)
      const name = `${code} ${colour} ${size}`
      const here = blanks.get(key)
      if (here) {
        const to: BlankEdit = {
          sku: here.sku,
          version: here.version,
          price: price === null ? here.price : minorToMicro(price, currency),
          supplier: supplier || here.supplier,
          leadDays: leadDays ?? here.leadDays,
          reorderPoint: reorderPoint ?? here.reorderPoint,
          reorderTo: reorderTo ?? here.reorderTo,
        }
        if (to.reorderTo < to.reorderPoint) wrong('Order up to at least the level at which you reorder.')
        const show = (k: keyof BlankEdit, v: BlankEdit[keyof BlankEdit]) =>
          k === 'price' ? formatMicro(v as Micro, currency) : String(v) || 'nothing'
        const words = (['price', 'supplier', 'leadDays', 'reorderPoint', 'reorderTo'] as const)
          .filter(k => to[k] !== here[k])
          .map(k => `${BLANK_COLUMNS.find(c => c.key === k)?.label}: ${show(k, here[k])} → ${show(k, to[k])}`)
        changes.push(
          words.length ? { line, kind: 'change', name, value: to, words } : { line, kind: 'same', name },
        )
        continue
      }
      const colourKey = `${style.code} ${colour}`.toLowerCase()
      const typed = cells.hex
        ? cells.hex.startsWith('#')
          ? cells.hex
          : `#${cells.hex}`
        : hexes.get(colourKey)
      if (!typed) wrong(`${colour} is a new colour of ${code}: give its value on the screen, like #1b1b1e.`)
      if (!HEX.test(typed as string))
        wrong(`“${(cells.hex ?? '').slice(0, 20)}” is not a colour: write it like #1b1b1e.`)
      const colourHex = (typed as string).toLowerCase()
      hexes.set(colourKey, colourHex)
      if (price === null) wrong('A new blank needs what one piece costs.')
      if ((reorderTo ?? 0) < (reorderPoint ?? 0))
        wrong('Order up to at least the level at which you reorder.')
      const sku =
        cells.sku || `${style.code}-${plain(colour).toUpperCase()}-${size === 'One size' ? 'ONE' : size}`
      if (!/^[\w.-]{1,60}$/.test(sku))
        wrong(`“${sku.slice(0, 30)}” is no SKU: letters, digits, dots and dashes.`)
      if (skus.has(sku.toLowerCase())) wrong(`There is an item ${sku} already: give this one another SKU.`)
      skus.add(sku.toLowerCase())
      const { code: c, name: n, kind, fibres } = style
      changes.push({
        line,
        kind: 'new',
        name,
        value: {
          style: { code: c, name: n, kind, fibres, known: style.known },
          sku,
          colour,
          colourHex,
          size,
          price: price as Minor,
          supplier,
          leadDays: leadDays ?? 3,
          reorderPoint: reorderPoint ?? 0,
          reorderTo: reorderTo ?? 0,
        },
      })
    } catch (error) {
      if (!(error instanceof Wrong)) throw error
      errors.push({ line, message: error.message })
    }
  }
  return { changes, errors }
}

/** A style in words, where it is new: "Heavy tee, T-shirt, 100 % cotton". */
export const styleWords = ({ name, kind, fibres }: NewBlank['style']): string =>
  `${name}, ${BLANK_KIND_WORDS[kind]}, ${formatFibres(fibres)}`
