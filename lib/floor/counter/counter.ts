import type { OrderState } from '@/lib/orders/states'
import { ok, type Result, refuse } from '@/lib/units/result'
import type { StepState } from '../reports'

/** A report as it stands in the book of a step. Kinds: start, pause, resume, finish, misprint; undo takes another one back. */
export type Kept = { id: string; kind: string; good: number; spoiled: number; undoes: string | null }

/** What people read for a report's kind, in "took back …". */
const KIND_WORDS: Record<string, string> = {
  start: 'the start',
  pause: 'the pause',
  resume: 'going on',
  finish: 'the count',
  misprint: 'the misprint',
}
/** A kind of report in the words of KIND_WORDS; one that is not known here is "the report". */
export const kindWords = (kind: string): string => KIND_WORDS[kind] ?? 'the report'

/** The reports of a step that still count, oldest first: neither taken back nor taking back. */
export function standing<T extends Kept>(reports: readonly T[]): T[] {
  const undone = new Set(reports.flatMap(r => (r.undoes ? [r.undoes] : [])))
  return reports.filter(r => r.kind !== 'undo' && !undone.has(r.id))
}

/** The state that a step's reports add up to. A step that was ended is open again as long as some of its pieces are. */
export function stateAfter(reports: readonly Kept[], open: number): Exclude<StepState, 'dropped'> {
  let state: 'waiting' | 'running' | 'paused' = 'waiting'
  for (const r of standing(reports)) {
    if (r.kind === 'start' || r.kind === 'resume') state = 'running'
    if (r.kind === 'pause') state = 'paused'
  }
  return state !== 'waiting' && open <= 0 ? 'done' : state
}

export type CounterFacts = {
  order: { number: number; state: OrderState }
  title: string
  state: StepState
  pieces: number
  good: number
  spoiled: number
  reports: readonly Kept[]
  /** What later steps of the chain have begun with pieces of this one: how many they have worked, and the first of them by name. */
  next: { title: string; worked: number; state: StepState } | null
  /** Of the misprint: what stands on its remake. */
  remake: { started: boolean } | null
  /** What else runs at its station. */
  busy: boolean
}

export type Counter = {
  kind: string
  good: number
  spoiled: number
  state: Exclude<StepState, 'dropped'>
  /** Said where the step cannot run on by itself. */
  caution: string | null
}

/**
 * May this report be taken back? Only the newest that counts: what was reported upon it goes first. Pieces that the next step has
 * worked, and a remake that has begun, cannot be un-happened.
 */
export function decideCounter(f: CounterFacts, reportId: string): Result<Counter> {
  const at = `“${f.title}” of order ${f.order.number}`
  const found = f.reports.find(r => r.id === reportId)
  if (!found || found.kind === 'undo')
    return refuse('unknown', 'This report is not in the book of the step: load the page again.')
  const counts = standing(f.reports)
  if (!counts.some(r => r.id === reportId))
    return refuse('undone', `${at}: this report has been taken back already. Nothing was changed twice.`)
  if (!['agreed', 'making', 'ready'].includes(f.order.state))
    return refuse(
      'order-state',
      `Order ${f.order.number} has left the shop: settle it at the counter, and count the shelf in the stockroom.`,
    )
  const newest = counts.at(-1)
  if (newest?.id !== reportId)
    return refuse('order', `${at}: take back ${kindWords(newest?.kind ?? '')} first, it was reported later.`)
  // A misprint's report says how many of the good ones it took: 0 or less.
  const good = f.good - found.good
  const spoiled = f.spoiled - (found.kind === 'misprint' ? found.spoiled : 0)
  if (found.kind === 'finish' && f.next && f.next.worked > good)
    return refuse(
      'gone-on',
      `“${f.next.title}” has worked ${f.next.worked} of these pieces already: take back its reports first.`,
    )
  if (found.kind === 'finish' && f.next && good === 0 && ['running', 'paused'].includes(f.next.state))
    return refuse('gone-on', `“${f.next.title}” has been started upon it: take back its start first.`)
  if (found.kind === 'misprint' && f.remake?.started)
    return refuse(
      'remade',
      `The remake of these pieces has begun: finish it. What is one too many goes back to the shelf in the stockroom.`,
    )
  const left = f.reports.filter(r => r.id !== reportId)
  const state = stateAfter(left, f.pieces - good - spoiled)
  if (state === 'running' && f.busy)
    return ok({
      kind: found.kind,
      good,
      spoiled,
      state: 'paused',
      caution: 'Its station works on something else now: the step is paused.',
    })
  return ok({ kind: found.kind, good, spoiled, state, caution: null })
}
