import type { Measurement } from '@/lib/artwork/measure'
import { sizeRanges } from '@/lib/artwork/print-sizes'
import { startedLines } from '@/lib/costing/chains'
import type { ArtFacts, OrderWork } from '@/lib/costing/order'
import type { OrderLine, OrderPrint, OrderView } from '@/lib/orders/order'
import type { MethodId } from '@/lib/shop/methods'
import type { Rates } from '@/lib/shop/rates'
import type { Needed } from '@/lib/stock/promises'
import type { Micro } from '@/lib/units/money'
import type { OrderRows } from './steps'

/** What costing needs of an artwork, from its measurement at one printed size. */
export const artFacts = (id: string, m: Measurement): ArtFacts => ({
  id,
  areaCm2: m.ink.areaCm2,
  coverage: m.ink.coverage,
  colours: m.colours.length,
  largestSolidCm2: m.knockout.largestSolidBeforeCm2,
  partlyTransparent: m.ink.partlyTransparent,
  ppi: m.print.ppi,
})

/** What the shelves and the art desk know of an order's blanks and prints. */
export type OrderFacts = {
  /** By print id; a print that is not measured is costed by an estimate. */
  art: ReadonlyMap<string, ArtFacts>
  /** By item id: what one blank costs, and its name on the shelf. */
  blanks: ReadonlyMap<string, { unitCost: Micro; name: string }>
  /** Designs whose screens stand on the shelf. */
  keptScreens: readonly string[]
  /** Artworks that an earlier order had prepared, by recipe: artKey of lib/costing/order. */
  preparedArt: readonly string[]
}

/** An order as it is costed by one method. Sizes without a quantity stay, so that rows and work keep the same order. */
export const workFrom = (order: OrderView, method: MethodId, facts: OrderFacts): OrderWork => ({
  method,
  keptScreens: facts.keptScreens,
  preparedArt: facts.preparedArt,
  lines: order.lines.map(line => ({
    blank: {
      kind: line.style.kind,
      style: line.style.name,
      colour: { name: line.colour, hex: line.colourHex },
      fibres: line.style.fibres,
    },
    sizes: line.sizes.map(s => ({
      size: s.size,
      quantity: s.quantity,
      unitCost: facts.blanks.get(s.itemId)?.unitCost ?? (0 as Micro),
      name: facts.blanks.get(s.itemId)?.name ?? `${line.style.name}, ${line.colour}, ${s.size}`,
    })),
    prints: line.prints.map(print => ({
      placement: print.placement,
      widthMm: print.widthMm,
      heightMm: print.heightMm,
      art: facts.art.get(print.id) ?? null,
      ...(print.bySize ? { bySize: otherSizes(print, line) } : {}),
    })),
  })),
})

/** The sizes of a print that the garment sizes of a line have beside its own. */
const otherSizes = (print: OrderPrint, line: OrderLine) =>
  sizeRanges(
    print,
    line.sizes.map(s => s.size),
    print.bySize ?? [],
  )
    .filter(r => r.widthMm !== print.widthMm)
    .map(({ sizes, widthMm, heightMm }) => ({ sizes, widthMm, heightMm }))

const printRow = (p: OrderPrint) => ({
  id: p.id,
  placement: p.placement,
  widthMm: p.widthMm,
  heightMm: p.heightMm,
  dropMm: p.dropMm,
  offsetMm: p.offsetMm,
  artworkId: p.artwork?.id ?? null,
  artworkName: p.artwork?.name ?? 'no artwork yet',
})

/** The same order as rows, line by line and print by print. */
export const rowsFrom = (order: OrderView): OrderRows => ({
  lines: order.lines.map(line => ({
    sizes: line.sizes.map(s => ({
      size: s.size,
      colour: line.colour,
      itemId: s.itemId,
      quantity: s.quantity,
    })),
    prints: line.prints.map(printRow),
  })),
})

/**
 * Blanks beside the ordered ones that an order is likely to spoil, by item and size: as many as are started so that enough come out good
 * with the surety of the shop's rates. What somebody else prints has none.
 * @param rows the same lines and sizes as `order`
 */
export const allowanceOf = (order: OrderWork, rows: OrderRows, rates: Rates): Needed[] =>
  startedLines(order, rates).flatMap((line, at) =>
    line.sizes.flatMap((size, i) => {
      const row = rows.lines[at]?.sizes[i]
      const quantity = size.start - size.good
      return row && quantity > 0 ? [{ itemId: row.itemId, quantity }] : []
    }),
  )
