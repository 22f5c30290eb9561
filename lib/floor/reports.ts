import { type OrderState, STATE_WORDS } from '@/lib/orders/states'
import { ok, type Refusal, type Result, refuse } from '@/lib/units/result'
import type { Instant } from '@/lib/units/time'

export const STEP_STATES = ['waiting', 'running', 'paused', 'done', 'dropped'] as const
export type StepState = (typeof STEP_STATES)[number]

/** What people read for a step's state. */
export const STEP_WORDS: Record<StepState, string> = {
  waiting: 'not started',
  running: 'running',
  paused: 'paused',
  done: 'done',
  dropped: 'not needed any more',
}

/** A step as the floor knows it when somebody reports. */
export type StepFacts = {
  order: { number: number; state: OrderState }
  title: string
  state: StepState
  /** Pieces that this step has to work, and what came of them so far. */
  pieces: number
  good: number
  spoiled: number
  /** Who reported last, and when: so that the second of two people learns of the first. */
  last: { byName: string; at: Instant } | null
  /** Where it is worked. */
  stationName: string | null
  /** Washing up after the goods are ready: it goes on when they have left the shop. */
  afterwards?: boolean
}

/** The step of the same chain that comes before. */
export type Before = {
  title: string
  state: StepState
  good: number
  finishedAt: Instant | null
  gapMin: number
  gapMax: number | null
}

export type StartFacts = StepFacts & {
  before: Before | null
  /** Names of the artworks of this order that nobody has cleared to sell. */
  uncleared: string[]
  /** Who may clear them, by name; empty when it is not known. */
  clearers: string[]
  station: {
    name: string
    kindFits: boolean
    /** What else runs there now. */
    busyWith: { number: number; title: string } | null
    /** Why it is out of use at this moment, where it is. */
    closedWhy: string | null
  }
  /** What has to be looked at before the first piece, by name, and what of it was ticked. Left out: the shop wants no check. */
  checks?: { wanted: readonly FirstCheck[]; ticked: readonly string[] }
  now: Instant
  /** Writes an instant as the shop reads it: "14:30". */
  say: (at: Instant) => string
}

const MINUTE = 60_000

/** What is looked at before the first piece of a run. Common shop practice, no source. */
export const FIRST_CHECKS = ['blank', 'side', 'art', 'temperature'] as const
export type FirstCheck = (typeof FIRST_CHECKS)[number]
export const FIRST_CHECK_WORDS: Record<FirstCheck, string> = {
  blank: 'right blank and size',
  side: 'right side, right way up',
  art: 'art as agreed',
  temperature: 'temperature read',
}

/** The checks of a step: those of the blank where one is worked, the temperature where there is one. */
export const checksOf = (step: { onBlank: boolean; parts: readonly { temperature: number | null }[] }) =>
  FIRST_CHECKS.filter(c =>
    c === 'temperature' ? step.parts.some(p => p.temperature !== null) : step.onBlank,
  )

/** How long a report may have waited for a line; an older one is taken for a clock that is wrong. */
const LONGEST_WAIT = 36 * 60 * MINUTE

/**
 * When a reported thing happened: as the device says, but never before the report before it nor after now. A device that says
 * nothing, or something more than a day and a half old, is given the server's time.
 * @param claimed by the device, put right by the difference of the clocks where that is known
 */
export function reportTime(claimed: Instant | null, lastAt: Instant | null, now: Instant): Instant {
  if (claimed === null || claimed > now || now - claimed > LONGEST_WAIT) return now
  return Math.min(now, Math.max(claimed, lastAt ?? claimed)) as Instant
}

/** Pieces of one size. */
export type SizeGood = { itemId: string; size: string; quantity: number }

/**
 * Open pieces of each size: what a step has to work, less what its reports and misprints have counted. A good piece that was found bad
 * later counts once, among the spoiled.
 */
export function leftBySize(
  sizes: readonly SizeGood[],
  reports: readonly { kind: string; sizes: unknown }[],
  misprints: readonly { itemId: string; quantity: number }[],
): SizeGood[] {
  const sum = (list: readonly { itemId: string; quantity: number }[], itemId: string) =>
    list.reduce((n, s) => n + (s.itemId === itemId ? s.quantity : 0), 0)
  const good = reports.flatMap(r => (Array.isArray(r.sizes) ? (r.sizes as SizeGood[]) : []))
  return sizes
    .map(({ itemId, size, quantity }) => ({
      itemId,
      size,
      quantity: Math.max(0, quantity - sum(good, itemId) - sum(misprints, itemId)),
    }))
    .filter(s => s.quantity > 0)
}

/**
 * Good pieces by size. Where nobody said which, they are taken in the order of the sizes, as they are worked.
 * @param left open pieces of each size
 * @param good pieces in all
 * @param said by size, or null; what was said must add up
 */
export function goodBySize(
  left: readonly SizeGood[],
  good: number,
  said: ReadonlyMap<string, number> | null,
): Result<SizeGood[]> {
  if (!said) {
    let rest = good
    return ok(
      left.flatMap(s => {
        const quantity = Math.min(rest, s.quantity)
        rest -= quantity
        return quantity > 0 ? [{ ...s, quantity }] : []
      }),
    )
  }
  const sum = [...said.values()].reduce((a, b) => a + b, 0)
  if (sum !== good)
    return refuse(
      'count',
      `The sizes add up to ${sum}, but ${pieces(good)} were counted: count again.`,
      'good',
    )
  for (const [itemId, quantity] of said) {
    const open = left.find(s => s.itemId === itemId)
    if (quantity > (open?.quantity ?? 0))
      return refuse(
        'count',
        open
          ? `${pieces(quantity)} of size ${open.size} are more than the ${open.quantity} still open: count again.`
          : 'One of these sizes is not of this step: load the page again.',
        'good',
      )
  }
  return ok(left.flatMap(s => (said.get(s.itemId) ? [{ ...s, quantity: said.get(s.itemId) as number }] : [])))
}

/**
 * What somebody is told whose count came in beside another's: a screen without a line shows no pieces but its own. Null where the screen
 * knew of all that was counted.
 * @param reports of the step that count, oldest first
 * @param worked pieces that were good or spoiled before this count
 * @param seen how many of them the reporting screen knew
 */
export function countedBeside(
  reports: readonly { kind: string; good: number; spoiled: number; byName: string; at: Instant }[],
  worked: number,
  seen: number,
  say: (at: Instant) => string,
): string | null {
  const unseen = worked - seen
  const last = reports.findLast(r => r.kind === 'finish' || r.kind === 'misprint')
  if (unseen <= 0 || !last) return null
  return `${last.byName} counted here too, at ${say(last.at)}: ${pieces(unseen)} that this screen did not know of. If they are the same ones, take one of the two counts back on the job’s page.`
}

const list = (names: string[]) =>
  names.length < 2 ? (names[0] ?? '') : `${names.slice(0, -1).join(', ')} and ${names.at(-1)}`
const pieces = (n: number) => (n === 1 ? '1 piece' : `${n} pieces`)

const who = (f: StepFacts, say: (at: Instant) => string) =>
  f.last ? ` ${f.last.byName} reported it at ${say(f.last.at)}.` : ''

/** Null while the order is on the floor, else why nothing can be reported for it. */
function refuseOrder(f: StepFacts): Refusal | null {
  if (['agreed', 'making', 'ready'].includes(f.order.state)) return null
  if (f.afterwards && f.order.state === 'handedOver') return null
  return refuse(
    'order-state',
    `Order ${f.order.number} is ${STATE_WORDS[f.order.state]}: nothing is made for it. Its page at the counter says why.`,
  )
}

/**
 * Pieces that lie ready for this step: all of them for the first of a chain and when the step before is done (what was spoiled there
 * has been taken off this step), else what it has handed on so far.
 */
export const handedOn = (f: Pick<StepFacts, 'pieces'>, before: Before | null): number =>
  before === null || before.state === 'dropped' || before.state === 'done'
    ? f.pieces
    : Math.min(f.pieces, before.good)

/**
 * May this step start here and now? Gives a caution where it may, but something wants to be known: a pretreated piece has
 * waited too long, or only some of the pieces are there.
 */
export function decideStart(f: StartFacts): Result<{ caution: string | null }> {
  const no = refuseOrder(f)
  if (no) return no
  const at = `“${f.title}” of order ${f.order.number}`
  if (f.state === 'running' || f.state === 'paused')
    return refuse(
      'started',
      `${at} is ${STEP_WORDS[f.state]}${f.stationName ? ` on ${f.stationName}` : ''} already.${who(f, f.say)} ${
        f.state === 'paused' ? 'Go on with it there.' : 'Look what is next.'
      }`,
    )
  if (f.state === 'done') return refuse('done', `${at} is done already.${who(f, f.say)} Look what is next.`)
  if (f.state === 'dropped') return refuse('dropped', `${at} is not needed any more. Look what is next.`)
  if (f.uncleared.length)
    return refuse(
      'not-cleared',
      `${list(f.uncleared)} of order ${f.order.number} is not cleared to sell. ${
        f.clearers.length
          ? `${list(f.clearers)} can clear it`
          : 'Somebody with the right to clear artwork can do it'
      } at the art desk; then start again.`,
    )
  if (!f.station.kindFits)
    return refuse('station', `${at} cannot be worked on ${f.station.name}: choose a station that can do it.`)
  if (f.station.closedWhy !== null)
    return refuse(
      'closed',
      `${f.station.name} is out of use (${f.station.closedWhy || 'closed'}): take another station, or open it again in the office.`,
    )
  const missing = (f.checks?.wanted ?? []).filter(c => !f.checks?.ticked.includes(c))
  if (missing.length)
    return refuse(
      'check',
      `Before the first piece: ${list(missing.map(c => FIRST_CHECK_WORDS[c]))}. Look, tick, and start again.`,
      'checks',
    )
  if (f.station.busyWith)
    return refuse(
      'busy',
      `${f.station.name} is busy with “${f.station.busyWith.title}” of order ${f.station.busyWith.number}: finish or pause that first.`,
    )
  const before = f.before
  if (before && before.state !== 'dropped') {
    if (before.state !== 'done' && before.good === 0)
      return refuse(
        'before',
        `“${before.title}” comes before it and has handed nothing on yet (it is ${STEP_WORDS[before.state]}): finish that first.`,
      )
    if (before.state === 'done' && before.finishedAt !== null) {
      const since = Math.floor((f.now - before.finishedAt) / MINUTE)
      if (since < before.gapMin)
        return refuse(
          'gap',
          `The pieces rest for ${before.gapMin} min after “${before.title}”: start at ${f.say(
            (before.finishedAt + before.gapMin * MINUTE) as Instant,
          )}.`,
        )
      if (before.gapMax !== null && since > before.gapMax)
        return ok({
          caution: `The pieces have waited ${since} min after “${before.title}”, and ${before.gapMax} min is the most the recipe allows: look at the first one well before you go on.`,
        })
    }
    const there = handedOn(f, before)
    if (there < f.pieces)
      return ok({
        caution: `${there} of ${pieces(f.pieces)} are there; the rest is still at “${before.title}”.`,
      })
  }
  return ok({ caution: null })
}

/** May it be paused? Only what runs can; the reason is part of the report. */
export function decidePause(f: StepFacts, reason: string, say: (at: Instant) => string): Result<null> {
  const no = refuseOrder(f)
  if (no) return no
  if (f.state !== 'running')
    return refuse(
      'not-running',
      `“${f.title}” of order ${f.order.number} is ${STEP_WORDS[f.state]}: only a running step can be paused.${who(f, say)}`,
    )
  if (!reason.trim())
    return refuse('reason', 'Say in a word why it pauses: lunch, no ink, waiting for somebody …', 'note')
  return ok(null)
}

/** May it go on? Only what is paused can. */
export function decideResume(
  f: StepFacts,
  busyWith: { number: number; title: string } | null,
  say: (at: Instant) => string,
): Result<null> {
  const no = refuseOrder(f)
  if (no) return no
  if (f.state !== 'paused')
    return refuse(
      'not-paused',
      `“${f.title}” of order ${f.order.number} is ${STEP_WORDS[f.state]}: only a paused step can go on.${who(f, say)}`,
    )
  if (busyWith)
    return refuse(
      'busy',
      `${f.stationName ?? 'The station'} is busy with “${busyWith.title}” of order ${busyWith.number}: finish or pause that first.`,
    )
  return ok(null)
}

export type Finish = {
  /** Counts of the step after this report. */
  good: number
  /** Whether every piece has become good or spoiled; if not, what is done is handed on and the step runs on. */
  complete: boolean
  /** Pieces still to do. */
  left: number
}

/**
 * Takes good pieces to the count.
 * @param good pieces that came out well since the last report; spoiled ones are reported as misprints, which count by themselves
 */
export function decideFinish(
  f: StepFacts & { before: Before | null },
  good: number,
  say: (at: Instant) => string,
): Result<Finish> {
  const no = refuseOrder(f)
  if (no) return no
  if (f.state === 'done')
    return refuse(
      'done',
      `“${f.title}” of order ${f.order.number} is finished already, with ${f.good} good${
        f.spoiled ? ` and ${f.spoiled} spoiled` : ''
      }.${who(f, say)} Nothing was counted twice.`,
    )
  if (f.state !== 'running' && f.state !== 'paused')
    return refuse(
      'not-running',
      `“${f.title}” of order ${f.order.number} is ${STEP_WORDS[f.state]}: start it before you finish it.`,
    )
  if (!Number.isSafeInteger(good) || good < 0)
    return refuse('count', 'Good pieces are a whole number, 0 or more.', 'good')
  const open = f.pieces - f.good - f.spoiled
  if (good > open)
    return refuse(
      'count',
      `${pieces(good)} are more than the ${open} still open here (${f.pieces} in all, ${f.good} good and ${f.spoiled} spoiled so far): count again.`,
      'good',
    )
  const there = handedOn(f, f.before)
  if (f.good + f.spoiled + good > there)
    return refuse(
      'before',
      `Only ${pieces(there)} have come from “${f.before?.title}” so far: report that first, or count again.`,
      'good',
    )
  if (good === 0 && open > 0)
    return refuse('count', 'Nothing to report: say how many pieces came out well.', 'good')
  return ok({ good: f.good + good, complete: good === open, left: open - good })
}
