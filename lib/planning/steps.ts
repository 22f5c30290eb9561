import { type Chain, isIn } from '@/lib/costing/chains'
import { unitsUsed, usedBy } from '@/lib/costing/consumption'
import { artKey, artworkOf, type OrderWork, piecesOf } from '@/lib/costing/order'
import type { Costing } from '@/lib/costing/prepare'
import { daysBefore, type StepTime, stepsTime, type Work, workOf } from '@/lib/costing/steps'
import type { Size } from '@/lib/shop/blanks'
import type { ConsumableId } from '@/lib/shop/consumables'
import { STARTING_VALUE } from '@/lib/shop/sourced'
import type { StationKind } from '@/lib/shop/stations'
import { minutesFor } from '@/lib/units/time'
import type { Attended } from './engine'
import type { SizeCount, StepPart, StepPrint, StepRecipe } from './recipe-snapshot'

/** A piece of work as it is written on the floor's list. */
export type NewStep = {
  job: string
  position: number
  key: string
  title: string
  stationKind: StationKind
  stationState: string | null
  setupMinutes: number
  runMinutes: number
  attended: Attended
  pausable: boolean
  gapMin: number
  gapMax: number | null
  pieces: number
  sizes: SizeCount[]
  recipe: StepRecipe
  printId: string | null
}

/** What the rows of an order add to the work that is costed: line by line, print by print, in the same order. */
export type OrderRows = {
  lines: readonly {
    sizes: readonly SizeCount[]
    prints: readonly Omit<StepPrint, 'screens'>[]
  }[]
}

/** Name of the chain of a batch, counted from 1. */
export const batchJob = (n: number): string => `batch-${n}`
/** Name of the chain of what is done for batch `n` when its goods are ready. */
export const afterJob = (n: number): string => `after-${n}`
/** Name of the chain that makes spoiled pieces good, counted from 1. */
export const remakeJob = (n: number): string => `remake-${n}`
/** Work that the customer does not wait for: washing up, reclaiming screens. */
export const isAfter = (job: string): boolean => job.startsWith('after-')
/** Whether a chain is the batch, or a part of it, that a washing up comes after. */
export const isBefore = (job: string, after: string): boolean => {
  const batch = after.replace(/^after/, 'batch')
  return job === batch || job.startsWith(`${batch}.`)
}
/** Whether a chain makes spoiled pieces good. */
export const isRemake = (job: string): boolean => job.startsWith('remake-')

/**
 * The steps of an agreed order, with the times and settings that costing gave them. Lines that share a design, or sheets, go through
 * the shop as one chain: what is prepared before, each print in turn (a garment is in one place at a time), then check and pack.
 * Washing up is a chain of its own, since nobody waits for it.
 * @param order as it is costed
 * @param rows the same lines, sizes and prints as rows of the order
 */
export function stepsOf(order: OrderWork, rows: OrderRows, costing: Costing): NewStep[] {
  const work = workOf(order, costing)
  const times = stepsTime(order, costing)
  const finish = times.filter(s => s.chain === null)
  const post = daysBefore(order, costing)
  const steps: NewStep[] = []
  batches(order, work).forEach((lines, i) => {
    const chains = work.chains.filter(c => c.prints.some(p => lines.has(p.line)))
    const of = (phase: StepTime['phase']) =>
      chains.flatMap(c =>
        times.filter(s => s.phase === phase && s.chain === c.key).map(time => ({ chain: c, time })),
      )
    const main = [...of('before'), ...of('work')].map(({ chain, time }) =>
      chainStep(time, chain, times, work, rows, post),
    )
    const ends = finish.map(time => finishStep(time, order, rows, lines, i === 0))
    const after = of('after').map(({ chain, time }) => chainStep(time, chain, times, work, rows, 0))
    steps.push(...numbered([...main, ...ends], batchJob(i + 1)), ...numbered(after, afterJob(i + 1)))
  })
  return steps
}

type Unnumbered = Omit<NewStep, 'job' | 'position'>
const numbered = (steps: Unnumbered[], job: string): NewStep[] =>
  steps.map((s, i) => ({ ...s, job, position: i + 1 }))

/** Lines by batch: those whose prints share a chain, a design's screens, art that is to be prepared or a recipe's sheets. Lines without work are in none. */
function batches(order: OrderWork, work: Work): Set<number>[] {
  const owner = order.lines.map((_, i) => i)
  const find = (i: number): number => {
    const o = owner[i] ?? i
    return o === i ? i : find(o)
  }
  const shared = new Map<string, number>()
  const share = (what: string, line: number) => {
    const first = shared.get(what)
    if (first === undefined) shared.set(what, line)
    else owner[find(line)] = find(first)
  }
  for (const chain of work.chains)
    for (const { line } of chain.prints) {
      share(`design ${chain.recipe.id} ${chain.design}`, line)
      if (chain.recipe.sheet) share(`sheets ${chain.recipe.id}`, line)
      share(`chain ${chain.key}`, line)
      if (!chain.preparedArt) share(`art ${artKey(chain.recipe.id, artworkOf(chain.design))}`, line)
    }
  const sets = new Map<number, Set<number>>()
  order.lines.forEach((line, i) => {
    // What somebody else prints still comes back here to be checked and packed.
    if (piecesOf(line) === 0 || (line.prints.length === 0 && !order.away)) return
    const set = sets.get(find(i)) ?? new Set()
    sets.set(find(i), set.add(i))
  })
  return [...sets.values()]
}

/** Stations where the garment itself lies; at a bench it does so only after one of these. */
const GARMENT_KINDS: readonly StationKind[] = [
  'heat-press',
  'dtg-printer',
  'pretreat-booth',
  'screen-press',
  'dryer',
]

function chainStep(
  time: StepTime,
  chain: Chain,
  times: readonly StepTime[],
  work: Work,
  rows: OrderRows,
  post: number,
): Unnumbered {
  const mine = times.filter(s => s.chain === chain.key)
  const first = mine.findIndex(s => s.phase === 'work' && GARMENT_KINDS.includes(s.stationKind))
  const onBlank = time.phase === 'work' && first >= 0 && mine.indexOf(time) >= first
  const lines = [...new Set(chain.prints.map(p => p.line))]
  const sizes = lines.flatMap(line => sizesOf(rows, line).filter(s => isIn(chain, line, s.size as Size)))
  const print = printOf(rows, chain)
  const firstWork = mine.find(s => s.phase === 'work')
  return {
    ...timed(time),
    pieces: sizes.reduce((sum, s) => sum + s.quantity, 0),
    sizes,
    printId: print?.id ?? null,
    recipe: {
      ...snapshot(time),
      recipe: { id: chain.recipe.id, version: chain.recipe.version, name: chain.recipe.name },
      notes: time.steps.some(s => s.setting.temperature !== null)
        ? [STARTING_VALUE, ...chain.recipe.notes]
        : [],
      onBlank,
      uses: usesAt(time, chain, mine, work),
      postDays: chain.recipe.supply === 'bought-in' && time === firstWork ? post : 0,
      print,
    },
  }
}

function finishStep(
  time: StepTime,
  order: OrderWork,
  rows: OrderRows,
  lines: ReadonlySet<number>,
  first: boolean,
): Unnumbered {
  const sizes = [...lines].flatMap(line => sizesOf(rows, line))
  const pieces = sizes.reduce((sum, s) => sum + s.quantity, 0)
  const whole = order.lines.every((_, i) => lines.has(i))
  return {
    ...timed(time),
    ...(whole
      ? {}
      : {
          setupMinutes: first ? time.setupMinutes : minutesFor(0),
          runMinutes: minutesFor(time.unitSeconds * pieces),
        }),
    pieces,
    sizes,
    printId: null,
    recipe: {
      ...snapshot(time),
      recipe: null,
      notes: [],
      onBlank: true,
      uses: [],
      postDays: order.away?.days ?? 0,
      print: null,
      ...(order.away ? { printedBy: order.away.name } : {}),
    },
  }
}

const timed = (time: StepTime) => ({
  key: time.key,
  title: time.words,
  stationKind: time.stationKind,
  stationState: time.state,
  setupMinutes: time.setupMinutes,
  runMinutes: time.runMinutes,
  attended: time.attended,
  pausable: time.pausable,
  gapMin: time.gapMin,
  gapMax: time.gapMax,
})

const snapshot = (time: StepTime) => ({
  key: time.key,
  words: time.words,
  method: time.method,
  phase: time.phase,
  parts: time.steps.map(partOf),
  restMinutes: time.gapMin as number,
  counted: { per: time.per, units: time.units },
  cautions: [...new Set(time.steps.flatMap(s => s.step.cautions))],
})

function partOf({ step, setting, dwellSeconds }: StepTime['steps'][number]): StepPart {
  const given = [setting.temperature, setting.dwellSeconds, setting.pressure, step.peel]
  return {
    key: step.key,
    words: step.words,
    temperature: setting.temperature?.value ?? null,
    dwellSeconds: Math.round(dwellSeconds),
    pressure: setting.pressure?.value ?? null,
    peel: step.peel?.value ?? null,
    coverSheet: step.coverSheet,
    sources: dwellSeconds > 0 ? [...new Set(given.flatMap(v => (v?.source ? [v.source] : [])))] : [],
  }
}

const sizesOf = (rows: OrderRows, line: number): SizeCount[] =>
  (rows.lines[line]?.sizes ?? []).filter(s => s.quantity > 0).map(s => ({ ...s }))

/** The print that a batch makes, in the size that its garments have. */
function printOf(rows: OrderRows, { prints, widthMm, heightMm, screens }: Chain): StepPrint | null {
  const first = prints[0]
  const print = first && rows.lines[first.line]?.prints[first.print]
  return print ? { ...print, widthMm, heightMm, screens } : null
}

/**
 * What a step of a chain draws from the shelf. Screens are used up where they are made, pretreat in its booth, everything else where
 * the print is made.
 */
function usesAt(time: StepTime, chain: Chain, mine: readonly StepTime[], work: Work): StepRecipe['uses'] {
  const find = (key: string) => mine.find(s => s.phase === 'work' && s.steps.some(p => p.step.key === key))
  const main = find('print') ?? find('press') ?? mine.find(s => s.phase === 'work')
  const before = mine.filter(s => s.phase === 'before' && s.per !== 'new-art').at(-1)
  const sums = new Map<ConsumableId, { perPiece: number; once: number }>()
  for (const use of usedBy(work)) {
    if (use.chain !== chain) continue
    const quantity = use.each * unitsUsed(use, work)[0]
    const at = use.once ? (before ?? main) : use.consumable === 'pretreat' ? (find('pretreat') ?? main) : main
    if (at !== time) continue
    const sum = sums.get(use.consumable) ?? { perPiece: 0, once: 0 }
    if (use.once) sum.once += quantity
    else if (chain.good > 0) sum.perPiece += quantity / chain.good
    sums.set(use.consumable, sum)
  }
  return [...sums].map(([consumable, sum]) => ({ consumable, ...sum }))
}

/** A step of a chain that pieces were spoiled in, as far as its remake needs it. */
export type RemadeStep = Omit<NewStep, 'job'>

/**
 * The chain that makes spoiled pieces good: a new blank needs everything that the old one had, so it starts from the first step and
 * goes to the last that works that blank. What was made before printing (screens) is still there and is not made again. Run times
 * shrink with the pieces, rounded up to whole minutes; set-ups stay.
 * @param chain all steps of the chain where it happened
 * @param spoiled pieces by blank
 */
export function remakeOf(
  chain: readonly RemadeStep[],
  spoiled: readonly SizeCount[],
  job: string,
): NewStep[] {
  const pieces = spoiled.reduce((sum, s) => sum + s.quantity, 0)
  const items = new Set(spoiled.map(s => s.itemId))
  return [...chain]
    .sort((a, b) => a.position - b.position)
    .filter(s => s.recipe.phase === 'work' && s.sizes.some(z => items.has(z.itemId)))
    .map((s, i) => ({
      job,
      position: i + 1,
      key: s.key,
      title: s.title,
      stationKind: s.stationKind,
      stationState: s.stationState,
      setupMinutes: s.setupMinutes,
      runMinutes: Math.max(1, Math.ceil((s.runMinutes * pieces) / Math.max(1, s.pieces))),
      attended: s.attended,
      pausable: s.pausable,
      gapMin: s.gapMin,
      gapMax: s.gapMax,
      pieces,
      sizes: spoiled.map(z => ({ ...z })),
      recipe: { ...s.recipe, postDays: 0 },
      printId: s.printId,
    }))
}
