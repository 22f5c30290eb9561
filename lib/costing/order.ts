import { type Blank, compareSizes, type Size } from '@/lib/shop/blanks'
import type { MethodId } from '@/lib/shop/methods'
import type { PlacementId } from '@/lib/shop/placements'
import type { Micro } from '@/lib/units/money'

/** What the art desk found on an artwork at its printed size. */
export type ArtFacts = {
  /** The artwork, whatever its size on the cloth: prints of one artwork at one size share their screens. */
  id: string
  /** Covered area at the printed size, cm². */
  areaCm2: number
  /** Covered share of the print's rectangle, 0–1. */
  coverage: number
  /** Inks that a spot colour separation needs. */
  colours: number
  /** Largest unbroken patch, cm²: how stiff a film it makes. */
  largestSolidCm2: number
  /** Share of pixels that are neither opaque nor fully transparent, 0–1: tones and soft edges. */
  partlyTransparent: number
  /** Pixels per inch at the printed size; null for line art that has none. */
  ppi: number | null
}

/** One artwork at one placement on a line. Sizes in mm. */
export type PrintWork = {
  placement: PlacementId
  widthMm: number
  heightMm: number
  /** Null: the art is not in yet; an estimate stands in and the working says so. */
  art: ArtFacts | null
  /** Where this print is made another way than the rest of the order. */
  method?: MethodId
  /** Garment sizes that have it in another size, mm, in the same proportions; every other one has it as above. */
  bySize?: readonly OtherSize[]
}
export type OtherSize = { sizes: readonly Size[]; widthMm: number; heightMm: number }

/** So many of one size. */
export type SizeWork = {
  size: Size
  quantity: number
  /** What one blank costs, surcharge of the size included. */
  unitCost: Micro
  /** As on the shelf: "Heavy tee, black, 2XL". */
  name: string
}

/** One blank in one colour, its sizes and its prints. */
export type LineWork = { blank: Blank; sizes: SizeWork[]; prints: PrintWork[] }

/** Work bought outside, or freight, for the whole order. */
export type Extra = { name: string; amount: Micro }

/** What is to be costed. */
export type OrderWork = {
  lines: LineWork[]
  /** The method of every print that names none of its own. */
  method: MethodId
  /** Designs whose screens stand on the shelf: see designKey. */
  keptScreens?: readonly string[]
  /** Artworks that an earlier order had prepared for a recipe: see artKey. */
  preparedArt?: readonly string[]
  outside?: readonly Extra[]
  freight?: readonly Extra[]
  /** All of its printing is done by somebody else: who, and how many working days it is away. */
  away?: { name: string; days: number }
}

/** Which print it is: line and print counted from 0. */
export type PrintRef = { line: number; print: number }

/** Pieces of a line, all sizes. */
export const piecesOf = (line: LineWork): number => line.sizes.reduce((sum, s) => sum + s.quantity, 0)

/** A print at one of its sizes, and the garment sizes that have it so; left out: all that are ordered. */
export type SizedPrint = { print: PrintWork; sizes?: readonly Size[] }

/**
 * A print once for each size that the pieces of its line have it in, smallest garment first. What the art desk measured at the
 * print's own size follows: areas with the square of the width, pixels per inch against it.
 */
export function sizedPrints(line: LineWork, print: PrintWork): SizedPrint[] {
  const { bySize = [], ...own } = print
  if (bySize.length === 0) return [{ print: own }]
  const ordered = [...new Set(line.sizes.filter(s => s.quantity > 0).map(s => s.size))].sort(compareSizes)
  const groups = new Map<string, { print: PrintWork; sizes: Size[] }>()
  for (const size of ordered) {
    const at = bySize.find(o => o.sizes.includes(size)) ?? own
    const key = `${at.widthMm} ${at.heightMm}`
    const group = groups.get(key) ?? { print: scaledTo(own, at), sizes: [] }
    group.sizes.push(size)
    groups.set(key, group)
  }
  const all = [...groups.values()]
  return all.length > 1 ? all : [{ print: all[0]?.print ?? own }]
}

function scaledTo(print: PrintWork, { widthMm, heightMm }: { widthMm: number; heightMm: number }): PrintWork {
  const k = widthMm / print.widthMm
  const { art } = print
  return {
    ...print,
    widthMm,
    heightMm,
    art: art && {
      ...art,
      areaCm2: art.areaCm2 * k * k,
      largestSolidCm2: art.largestSolidCm2 * k * k,
      ppi: art.ppi === null ? null : art.ppi / k,
    },
  }
}

/** Inks when no artwork is in yet. */
export const ASSUMED_INKS = 2
/** Covered share when no artwork is in yet. */
export const ASSUMED_COVERAGE = 0.6

/** Area of the print's rectangle, cm². */
export const printedCm2 = (print: PrintWork): number => (print.widthMm * print.heightMm) / 100
/** Area that the art covers, cm²; the assumed share of the rectangle when there is no art. Never above the rectangle. */
export const coveredCm2 = (print: PrintWork): number =>
  print.art ? Math.min(print.art.areaCm2, printedCm2(print)) : printedCm2(print) * ASSUMED_COVERAGE
/** Spot inks of a print, at least one. */
export const inksOf = (print: PrintWork): number =>
  Math.max(1, Math.round(print.art?.colours ?? ASSUMED_INKS))

/**
 * What prints with shared screens have in common: the artwork and its size to a tenth of a millimetre. A print without art
 * shares with none.
 */
export const designKey = (print: PrintWork, ref: PrintRef): string =>
  designOf({ ...print, artworkId: print.art ? print.art.id : `none:${ref.line}.${ref.print}` })

/** The designs of an order, each size that a print is made in by itself. */
export const designsOf = (order: OrderWork): string[] =>
  order.lines.flatMap((of, line) =>
    of.prints.flatMap((p, print) => sizedPrints(of, p).map(made => designKey(made.print, { line, print }))),
  )

/** The artwork of a design's name. */
export const artworkOf = (design: string): string => design.slice(0, design.lastIndexOf('@'))

/**
 * An artwork as it is prepared for a recipe: films of its inks, a white below it, mirrored, outlines to cut. What serves one recipe need not
 * serve another, even of the same method: bought-in film, film made here and cut film each ask for another file.
 */
export const artKey = (recipeId: string, artworkId: string): string => `${recipeId} ${artworkId}`

/** The same name from an artwork and its size in mm. */
export const designOf = (p: { artworkId: string; widthMm: number; heightMm: number }): string =>
  `${p.artworkId}@${Math.round(p.widthMm * 10)}x${Math.round(p.heightMm * 10)}`
