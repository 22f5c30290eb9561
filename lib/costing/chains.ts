import {
  type Blank,
  compareSizes,
  type FibreClass,
  fibreClass,
  type Ground,
  groundOf,
  type Size,
} from '@/lib/shop/blanks'
import type { MethodId } from '@/lib/shop/methods'
import type { Rates } from '@/lib/shop/rates'
import type { Recipe } from '@/lib/shop/recipe'
import {
  artKey,
  artworkOf,
  coveredCm2,
  designKey,
  inksOf,
  type LineWork,
  type OrderWork,
  type PrintRef,
  piecesOf,
  printedCm2,
  sizedPrints,
} from './order'
import { expectedSpoiled, leastStart, spoilageThrough } from './spoilage'

/** Pieces of one size of a line: good ones, and how many are started so that enough come out good. */
export type StartedSize = {
  size: Size
  good: number
  /** Charged beside the good ones: whole, or a mean with parts where only the expected is charged. */
  extra: number
  /** Set aside and planned: whole. */
  start: number
}

/** What happens to the pieces of each line: by size, and in all. */
export type StartedLine = { sizes: StartedSize[]; good: number; extra: number; spoilage: number }

/** A print of a batch, and which garment sizes of its line are in it; left out: all. */
export type ChainPrint = PrintRef & { sizes?: readonly Size[] }

/** Whether a garment size of a line is in a batch. */
export const isIn = (chain: { prints: readonly ChainPrint[] }, line: number, size: Size): boolean =>
  chain.prints.some(p => p.line === line && (p.sizes === undefined || p.sizes.includes(size)))

/**
 * One design in one size at one placement by one recipe, on blanks that are pressed alike: worked as one batch. Lines with the
 * same design, fibre class and ground go together.
 */
export type Chain = {
  key: string
  method: MethodId
  recipe: Recipe
  design: string
  fibre: FibreClass
  ground: Ground
  widthMm: number
  heightMm: number
  printedCm2: number
  coveredCm2: number
  inks: number
  /** Whether an estimate stands in for the art. */
  assumed: boolean
  /** Screens on the press: inks, and the underbase on a dark ground. 0 where the recipe has none. */
  screens: number
  /** Screens that are set up for this chain: those that no earlier chain of the design has on the press. */
  newScreens: number
  /** Screens that have to be made. */
  madeScreens: number
  /** Whether its artwork was prepared for its recipe by an earlier order; and if not, whether this is the first chain that needs it. */
  preparedArt: boolean
  newArt: boolean
  /** Whether this is the first chain of its design, and of its recipe: their set-up is charged here. */
  firstOfDesign: boolean
  firstOfRecipe: boolean
  prints: ChainPrint[]
  /** "S, M" where other garment sizes have the print in another size. */
  onSizes: string | null
  /** Good pieces, extra ones, and good ones by line: counted by recount. */
  good: number
  extra: number
  byLine: number[]
}

/** The method of a print: its own, else the order's. */
export const methodOf = (order: OrderWork, ref: PrintRef): MethodId =>
  order.lines[ref.line]?.prints[ref.print]?.method ?? order.method

/** Pieces to start for every size of a line that goes through prints by these methods. */
export function startedLine(line: LineWork, methods: readonly MethodId[], rates: Rates): StartedLine {
  const spoilage = spoilageThrough(methods.map(m => rates.spoilage[m].rate))
  let good = 0
  let extra = 0
  const sizes = line.sizes.map(size => {
    const start = leastStart(size.quantity, spoilage, rates.spoilageConfidence)
    const more =
      rates.spoilageCharge === 'expected' ? expectedSpoiled(size.quantity, spoilage) : start - size.quantity
    good += size.quantity
    extra += more
    return { size: size.size, good: size.quantity, extra: more, start }
  })
  return { sizes, good, extra, spoilage }
}

/** Pieces to start for every line of an order. */
export const startedLines = (order: OrderWork, rates: Rates): StartedLine[] =>
  order.lines.map((line, i) =>
    startedLine(
      line,
      line.prints.map((_, print) => methodOf(order, { line: i, print })),
      rates,
    ),
  )

/** The heat class and ground of a blank. */
export const clothOf = (blank: Blank): { fibre: FibreClass; ground: Ground } => ({
  fibre: fibreClass(blank.fibres),
  ground: groundOf(blank.colour.hex),
})

/**
 * The batches of an order in the order they are worked: dark before light, so that the underbase screen comes first and off; else as
 * they stand in the order. A print that differs by garment size is a batch, with screens of its own, for each size that it has.
 * Lines without pieces have none. Pieces are counted by recount.
 */
export function chainsOf(order: OrderWork, recipes: Record<MethodId, Recipe>): Chain[] {
  const chains: Chain[] = []
  const prepared = new Set(order.preparedArt)
  order.lines.forEach((line, lineAt) => {
    if (piecesOf(line) === 0) return
    const { fibre, ground } = clothOf(line.blank)
    line.prints.forEach((of, printAt) => {
      for (const { print, sizes } of sizedPrints(line, of)) {
        const ref: ChainPrint = { line: lineAt, print: printAt, ...(sizes ? { sizes } : {}) }
        const method = methodOf(order, ref)
        const design = designKey(print, ref)
        const key = `${method} ${design} ${print.placement} ${fibre} ${ground === 'dark' ? 'dark' : 'light'}`
        const same = chains.find(c => c.key === key)
        if (same) {
          same.prints.push(ref)
          same.coveredCm2 = Math.max(same.coveredCm2, coveredCm2(print))
          continue
        }
        const recipe = recipes[method]
        const inks = inksOf(print)
        chains.push({
          key,
          method,
          recipe,
          design,
          fibre,
          ground,
          widthMm: print.widthMm,
          heightMm: print.heightMm,
          printedCm2: printedCm2(print),
          coveredCm2: coveredCm2(print),
          inks,
          assumed: print.art === null,
          screens: recipe.screens ? inks + (ground === 'dark' ? 1 : 0) : 0,
          newScreens: 0,
          madeScreens: 0,
          preparedArt: prepared.has(artKey(recipe.id, artworkOf(design))),
          newArt: false,
          firstOfDesign: false,
          firstOfRecipe: false,
          prints: [ref],
          onSizes: null,
          good: 0,
          extra: 0,
          byLine: new Array<number>(order.lines.length).fill(0),
        })
      }
    })
  })
  for (const chain of chains) chain.onSizes = sizesWords(chain)
  if (chains.length > 1) chains.sort((a, b) => Number(b.ground === 'dark') - Number(a.ground === 'dark'))
  const kept = new Set(order.keptScreens)
  const onPress = new Map<string, number>()
  const recipesSeen = new Set<string>()
  const artSeen = new Set<string>()
  for (const chain of chains) {
    const design = `${chain.recipe.id} ${chain.design}`
    const there = onPress.get(design)
    chain.firstOfDesign = there === undefined
    chain.newScreens = Math.max(0, chain.screens - (there ?? 0))
    chain.madeScreens = kept.has(chain.design) ? 0 : chain.newScreens
    onPress.set(design, Math.max(there ?? 0, chain.screens))
    const art = artKey(chain.recipe.id, artworkOf(chain.design))
    chain.newArt = !chain.preparedArt && !artSeen.has(art)
    artSeen.add(art)
    chain.firstOfRecipe = !recipesSeen.has(chain.recipe.id)
    recipesSeen.add(chain.recipe.id)
  }
  return chains
}

function sizesWords({ prints }: Chain): string | null {
  if (!prints.some(p => p.sizes)) return null
  const held = new Set(prints.flatMap(p => p.sizes ?? []))
  return held.size === 0 ? null : [...held].sort(compareSizes).join(', ')
}

/** Counts the pieces of every batch anew. */
export function countChains(chains: readonly Chain[], started: readonly StartedLine[]): void {
  for (const chain of chains) {
    chain.good = 0
    chain.extra = 0
    chain.byLine.fill(0)
    for (const { line, sizes } of chain.prints) {
      const pieces = started[line]
      if (!pieces) continue
      const counted = sizes ? pieces.sizes.filter(s => sizes.includes(s.size)) : [pieces]
      for (const { good, extra } of counted) {
        chain.good += good
        chain.extra += extra
        chain.byLine[line] = (chain.byLine[line] ?? 0) + good
      }
    }
  }
}
