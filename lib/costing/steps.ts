import type { MethodId } from '@/lib/shop/methods'
import {
  type CountedBy,
  happensOn,
  type RecipeStep,
  type Setting,
  settingFor,
  stateFor,
} from '@/lib/shop/recipe'
import type { StationKind } from '@/lib/shop/stations'
import { type Minutes, minutesFor } from '@/lib/units/time'
import { type Chain, chainsOf, type StartedLine, startedLines } from './chains'
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
  /** The main step: the one with the longest dwell. */
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
  /** Before: may be skipped where screens are kept. After: when the goods are ready; not part of the promise. */
  phase: 'before' | 'work' | 'after'
  steps: StepSetting[]
}

/** Seconds of the run for good pieces, and for the extra ones. */
export const runSeconds = (step: StepTime): number =>
  step.units > 0 ? step.tailSeconds + step.unitSeconds * step.units : 0
export const extraSeconds = (step: StepTime): number => step.unitSeconds * step.extraUnits
/** Seconds that somebody stands at it: set-up and run, set-up only, or none. */
export const attendedSetup = (step: StepTime): number => (step.attended === 'none' ? 0 : step.setupSeconds)
export const attendedRun = (step: StepTime): number => (step.attended === 'all' ? runSeconds(step) : 0)
export const attendedExtra = (step: StepTime): number => (step.attended === 'all' ? extraSeconds(step) : 0)

/** Sheets of a recipe for all its prints: for the good pieces, and more for the extra ones. */
export type SheetCount = { good: number; extra: number }

const NO_SHEETS: SheetCount = { good: 0, extra: 0 }

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
function unitsOf(per: CountedBy, chain: Chain, sheets: SheetCount): [good: number, extra: number] {
  switch (per) {
    case 'job':
      return [chain.firstOfRecipe ? 1 : 0, 0]
    case 'design':
      return [chain.firstOfDesign ? 1 : 0, 0]
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

export { unitsOf as chainUnits }

const setupSecondsOf = (step: RecipeStep, chain: Chain): number =>
  step.setup ? step.setup.seconds.value * unitsOf(step.setup.per, chain, NO_SHEETS)[0] : 0

/** Dwell for one unit at the size of the batch's print, seconds. */
function dwellOf(step: RecipeStep, setting: Setting, chain: Chain | null): number {
  const dwell = setting.dwellSeconds.value
  return step.dwellAtCm2 && chain ? (dwell * chain.printedCm2) / step.dwellAtCm2.value : dwell
}

const worst = { none: 0, setup: 1, all: 2 } as const

function visit(parts: RecipeStep[], chain: Chain | null, units: [number, number]): StepTime {
  const steps: StepSetting[] = parts.map(step => {
    const setting = (chain && settingFor(step, chain.fibre)) ?? (step.settings[0] as Setting)
    return { step, setting, dwellSeconds: dwellOf(step, setting, chain) }
  })
  const last = (steps[steps.length - 1] as StepSetting).step
  let main = steps[0] as StepSetting
  let setupSeconds = 0
  let unitSeconds = 0
  let tailSeconds = 0
  let attended: StepTime['attended'] = 'none'
  let pausable = true
  let state: string | null = null
  for (const s of steps) {
    const { step } = s
    if (
      s.dwellSeconds > main.dwellSeconds ||
      (s.dwellSeconds === main.dwellSeconds && step.handlingSeconds.value > main.step.handlingSeconds.value)
    )
      main = s
    if (chain) setupSeconds += setupSecondsOf(step, chain)
    else setupSeconds += step.setup?.seconds.value ?? 0
    if (step.paceSeconds) {
      unitSeconds += step.paceSeconds.value
      tailSeconds += s.dwellSeconds
    } else unitSeconds += s.dwellSeconds
    unitSeconds += step.handlingSeconds.value
    if (step.perInkSeconds && chain) unitSeconds += step.perInkSeconds.value * Math.max(1, chain.screens)
    if (worst[step.attended] > worst[attended]) attended = step.attended
    pausable &&= step.pausable
    state ??= stateFor(step, s.setting)
  }
  const [good, extra] = units
  return {
    key: main.step.key,
    words: main.step.words,
    method: chain?.method ?? null,
    chain: chain?.key ?? null,
    prints: chain?.prints ?? [],
    stationKind: last.stationKind,
    state,
    per: last.per,
    units: good,
    extraUnits: extra,
    setupSeconds,
    unitSeconds,
    tailSeconds,
    setupMinutes: minutesFor(setupSeconds),
    runMinutes: minutesFor(tailSeconds + unitSeconds * (good + extra)),
    attended,
    pausable,
    gapMin: last.gapMin.value as Minutes,
    gapMax: (last.gapMax?.value ?? null) as Minutes | null,
    phase: last.phase,
    steps,
  }
}

/** The visits of one batch in order. Steps that its ground does not need are left out. */
export function chainSteps(chain: Chain, sheets: SheetCount): StepTime[] {
  const times: StepTime[] = []
  let parts: RecipeStep[] = []
  for (const step of chain.recipe.steps) {
    if (happensOn(step.when, chain.ground)) parts.push(step)
    if (step.joinsNext || parts.length === 0) continue
    const units = unitsOf(step.per, chain, sheets)
    if (units[0] > 0) times.push(visit(parts, chain, units))
    parts = []
  }
  return times
}

const PHASES = ['before', 'work', 'after'] as const

/** The batches of an order, their sheets by recipe, and their steps. */
export type Work = {
  started: StartedLine[]
  chains: Chain[]
  /** By recipe id. */
  sheets: Map<string, SheetCount>
  steps: StepTime[]
}

/** Everything there is to do for an order, from blanks to packed goods, and what is washed up after. */
export function workOf(order: OrderWork, costing: Costing): Work {
  const started = startedLines(order, costing.rates)
  const chains = chainsOf(order, costing.recipes, started)
  const sheets = new Map<string, SheetCount>()
  for (const chain of chains)
    if (!sheets.has(chain.recipe.id))
      sheets.set(
        chain.recipe.id,
        sheetCount(
          chains.filter(c => c.recipe === chain.recipe),
          costing,
        ),
      )
  const all = chains.flatMap(c => chainSteps(c, sheets.get(c.recipe.id) as SheetCount))
  let good = 0
  for (const line of started) good += line.good
  // A spoiled piece is not packed.
  const finish = good > 0 ? costing.finish.map(step => visit([step], null, [good, 0])) : []
  const steps = PHASES.flatMap(phase => [
    ...all.filter(s => s.phase === phase),
    ...(phase === 'work' ? finish : []),
  ])
  return { started, chains, sheets, steps }
}

/**
 * The steps of an order with their times, in the order they are worked: screens first, each batch in turn, packing, then wash-up and
 * reclaim (phase "after", which no promise waits for). Set-up that batches share stands with the first. Minutes are rounded up.
 */
export const stepsTime = (order: OrderWork, costing: Costing): StepTime[] => workOf(order, costing).steps

/** Working days before the work can begin: bought-in transfers wait for the post. 0 when all is made here. */
export const daysBefore = (order: OrderWork, costing: Costing): number =>
  order.lines.some(line =>
    line.prints.some(print => costing.recipes[print.method ?? order.method].supply === 'bought-in'),
  )
    ? costing.rates.transferDays
    : 0
