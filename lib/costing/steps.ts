import type { MethodId } from '@/lib/shop/methods'
import {
  type CountedBy,
  happensOn,
  isOnce,
  type RecipeStep,
  type Setting,
  settingFor,
  stateFor,
} from '@/lib/shop/recipe'
import type { StationKind } from '@/lib/shop/stations'
import { type Minutes, minutesFor } from '@/lib/units/time'
import { type Chain, chainsOf, countChains, type StartedLine, startedLines } from './chains'
import { type Pace, paceKey } from './learned'
import type { OrderWork, PrintRef } from './order'
import type { Costing } from './prepare'
import { type SheetPrint, sheetsFor } from './sheets'

/** A step of the recipe as it is set for the blanks of a batch. */
export type StepSetting = {
  step: RecipeStep
  setting: Setting
  /** Seconds under heat or heads for one unit at this print's size: what the countdown counts. */
  dwellSeconds: number
}

/**
 * One visit of a batch to a kind of station: one or more steps of the recipe that are done piece by piece together. The cost
 * and the plan are both made of these.
 */
export type StepTime = {
  /** The main step: the one that takes the longest for one unit. */
  key: string
  words: string
  /** Null: what ends the whole job, whatever the method. */
  method: MethodId | null
  /** The batch; null for what ends the whole job. */
  chain: string | null
  prints: PrintRef[]
  stationKind: StationKind
  state: string | null
  per: CountedBy
  /** Units that are worked, good ones and the extra ones beside them. */
  units: number
  extraUnits: number
  setupSeconds: number
  /** For one more unit. */
  unitSeconds: number
  /** Once for the batch: the last piece through the belt. */
  tailSeconds: number
  /** units + extra, whole seconds and minutes, rounded up for the plan. */
  setupMinutes: Minutes
  runMinutes: Minutes
  attended: 'all' | 'setup' | 'none'
  pausable: boolean
  gapMin: Minutes
  gapMax: Minutes | null
  /** Before: may be skipped where art or screens are kept. After: when the goods are ready; not part of the promise. */
  phase: 'before' | 'work' | 'after'
  /** How the floor's clocks have changed the recipe's times, which are in the seconds above; null: not at all. */
  pace: Pace | null
  steps: StepSetting[]
}

/** Seconds of the run for the good pieces. */
export const runSeconds = (step: StepTime): number =>
  step.units > 0 ? step.tailSeconds + step.unitSeconds * step.units : 0
/** Seconds of the run for the extra pieces, which make good what may spoil. */
export const extraSeconds = (step: StepTime): number => step.unitSeconds * step.extraUnits
/** Seconds of the set-up that somebody stands at it: all of them, or none. */
export const attendedSetup = (step: StepTime): number => (step.attended === 'none' ? 0 : step.setupSeconds)
/** Seconds of the run that somebody stands at it. */
export const attendedRun = (step: StepTime): number => (step.attended === 'all' ? runSeconds(step) : 0)
/** Seconds of the extra pieces that somebody stands at it. */
export const attendedExtra = (step: StepTime): number => (step.attended === 'all' ? extraSeconds(step) : 0)

/** Sheets of a recipe for all its prints: for the good pieces, and more for the extra ones. */
export type SheetCount = { good: number; extra: number }

/** No sheets at all. */
export const NO_SHEETS: SheetCount = { good: 0, extra: 0 }

/** Sheets that a recipe's batches need together. */
export function sheetCount(chains: readonly Chain[], costing: Costing): SheetCount {
  const kind = chains[0]?.recipe.sheet
  if (!kind) return NO_SHEETS
  const size = costing.rates.sheets[kind]
  const prints = (count: (c: Chain) => number): SheetPrint[] =>
    chains.map(c => ({ widthMm: c.widthMm, heightMm: c.heightMm, count: count(c) }))
  const good = sheetsFor(
    prints(c => c.good),
    size,
  )
  const all = sheetsFor(
    prints(c => Math.ceil(c.good + c.extra - 1e-9)),
    size,
  )
  return { good, extra: all - good }
}

/** How often a batch does what is counted this way: for its good pieces and for the extra ones. */
export function unitsOf(per: CountedBy, chain: Chain, sheets: SheetCount): [good: number, extra: number] {
  switch (per) {
    case 'job':
      return [chain.firstOfRecipe ? 1 : 0, 0]
    case 'design':
      return [chain.firstOfDesign ? 1 : 0, 0]
    case 'new-art':
      return [chain.newArt ? 1 : 0, 0]
    case 'screen':
      return [chain.madeScreens, 0]
    case 'press-screen':
      return [chain.newScreens, 0]
    case 'sheet':
      return chain.firstOfRecipe ? [sheets.good, sheets.extra] : [0, 0]
    case 'piece':
    case 'print':
      return [chain.good, chain.extra]
  }
}

const setupSecondsOf = (step: RecipeStep, chain: Chain): number =>
  step.setup ? step.setup.seconds.value * unitsOf(step.setup.per, chain, NO_SHEETS)[0] : 0

/** Dwell for one unit at the size of the batch's print, seconds. */
function dwellOf(step: RecipeStep, setting: Setting, chain: Chain | null): number {
  const dwell = setting.dwellSeconds.value
  return step.dwellAtCm2 && chain ? (dwell * chain.printedCm2) / step.dwellAtCm2.value : dwell
}

const worst = { none: 0, setup: 1, all: 2 } as const

function visit(parts: RecipeStep[], chain: Chain | null, costing: Costing): StepTime {
  const steps: StepSetting[] = parts.map(step => {
    const setting = (chain && settingFor(step, chain.fibre)) ?? (step.settings[0] as Setting)
    return { step, setting, dwellSeconds: dwellOf(step, setting, chain) }
  })
  const last = (steps[steps.length - 1] as StepSetting).step
  let main = steps[0] as StepSetting
  let longest = -1
  let setupSeconds = 0
  let unitSeconds = 0
  let tailSeconds = 0
  let attended: StepTime['attended'] = 'none'
  let pausable = true
  let state: string | null = null
  for (const s of steps) {
    const { step } = s
    if (chain) setupSeconds += setupSecondsOf(step, chain)
    else setupSeconds += step.setup?.seconds.value ?? 0
    const each =
      step.handlingSeconds.value +
      (step.paceSeconds ? step.paceSeconds.value : s.dwellSeconds) +
      (step.perInkSeconds && chain ? step.perInkSeconds.value * Math.max(1, chain.screens) : 0)
    unitSeconds += each
    if (step.paceSeconds) tailSeconds += s.dwellSeconds
    if (each > longest) {
      longest = each
      main = s
    }
    if (worst[step.attended] > worst[attended]) attended = step.attended
    pausable &&= step.pausable
    state ??= stateFor(step, s.setting)
  }
  const pace = costing.pace.get(paceKey(chain?.recipe.id ?? null, main.step.key)) ?? null
  if (pace) {
    setupSeconds *= pace.factor
    unitSeconds *= pace.factor
  }
  return {
    key: main.step.key,
    words:
      chain?.onSizes && last.per !== 'new-art' ? `${main.step.words}, ${chain.onSizes}` : main.step.words,
    method: chain?.method ?? null,
    chain: chain?.key ?? null,
    prints: chain?.prints ?? [],
    stationKind: last.stationKind,
    state,
    per: last.per,
    units: 0,
    extraUnits: 0,
    setupSeconds,
    unitSeconds,
    tailSeconds,
    setupMinutes: minutesFor(setupSeconds),
    runMinutes: 0 as Minutes,
    attended,
    pausable,
    gapMin: last.gapMin.value as Minutes,
    gapMax: (last.gapMax?.value ?? null) as Minutes | null,
    phase: last.phase,
    pace,
    steps,
  }
}

/** The visits of one batch in order. Steps that its ground, or its place after another batch, does not need are left out. */
function visitsOf(chain: Chain, costing: Costing): Visit[] {
  const visits: Visit[] = []
  let parts: RecipeStep[] = []
  for (const step of chain.recipe.steps) {
    if (happensOn(step.when, chain.ground)) parts.push(step)
    if (step.joinsNext || parts.length === 0) continue
    if (!isOnce(step.per) || unitsOf(step.per, chain, NO_SHEETS)[0] > 0)
      if (step.per !== 'sheet' || chain.firstOfRecipe)
        visits.push({ step: visit(parts, chain, costing), chain })
    parts = []
  }
  return visits
}

const PHASES = ['before', 'work', 'after'] as const

/** A visit with the batch it belongs to; null for what ends the whole job. */
export type Visit = { step: StepTime; chain: Chain | null }

/** What there is to do for an order. Made once for its lines, prints and methods; its pieces can be counted anew. */
export type Work = {
  order: OrderWork
  started: StartedLine[]
  chains: Chain[]
  /** By recipe id. */
  sheets: Map<string, SheetCount>
  visits: Visit[]
}

/**
 * Counts the pieces of an order anew, in place: the same lines, prints and methods in other quantities. A line that had pieces
 * keeps some, one that had none gets none.
 */
export function recount(work: Work, order: OrderWork, costing: Costing): void {
  work.order = order
  work.started = startedLines(order, costing.rates)
  countChains(work.chains, work.started)
  for (const id of work.sheets.keys())
    work.sheets.set(
      id,
      sheetCount(
        work.chains.filter(c => c.recipe.id === id),
        costing,
      ),
    )
  let good = 0
  for (const line of work.started) good += line.good
  for (const { step, chain } of work.visits) {
    // A spoiled piece is not packed.
    const [units, extra] = chain
      ? unitsOf(step.per, chain, work.sheets.get(chain.recipe.id) ?? NO_SHEETS)
      : [good, 0]
    step.units = units
    step.extraUnits = extra
  }
}

/** Everything there is to do for an order, from blanks to packed goods, and what is washed up after. */
export function workOf(order: OrderWork, costing: Costing): Work {
  const chains = chainsOf(order, costing.recipes)
  const all = chains.flatMap(c => visitsOf(c, costing))
  const finish: Visit[] = costing.finish.map(step => ({ step: visit([step], null, costing), chain: null }))
  const work: Work = {
    order,
    started: [],
    chains,
    sheets: new Map(chains.map(c => [c.recipe.id, NO_SHEETS])),
    visits: PHASES.flatMap(phase => [
      ...all.filter(v => v.step.phase === phase),
      ...(phase === 'work' ? finish : []),
    ]),
  }
  recount(work, order, costing)
  return work
}

/**
 * The steps of an order with their times, in the order they are worked: screens first, each batch in turn, packing, then wash-up and
 * reclaim (phase "after", which no promise waits for). Set-up that batches share stands with the first. Minutes are rounded up.
 */
export const stepsTime = (order: OrderWork, costing: Costing): StepTime[] =>
  workOf(order, costing)
    .visits.map(v => v.step)
    .filter(s => s.units > 0)
    .map(s => ({
      ...s,
      runMinutes: minutesFor(s.tailSeconds + s.unitSeconds * (s.units + s.extraUnits)),
    }))

/** Working days before the work can begin: bought-in transfers wait for the post. 0 when all is made here. */
export const daysBefore = (order: OrderWork, costing: Costing): number =>
  order.lines.some(line =>
    line.prints.some(print => costing.recipes[print.method ?? order.method].supply === 'bought-in'),
  )
    ? costing.rates.transferDays
    : 0
