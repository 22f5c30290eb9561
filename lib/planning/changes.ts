import { z } from 'zod'
import { formatMoment, type Instant, instant } from '@/lib/units/time'
import type { PlanMember, PlannedRun, PlanRows, PlanStation, PlanStep } from './model'
import { canDo } from './model'
import { instantOfMinute, minuteAfter, openingsOf } from './openings'

const id = z.string().min(1).max(200)
const moment = z
  .number()
  .int()
  .min(0)
  .max(Date.UTC(2200, 0))
  .transform(ms => instant(ms))

/** Something that a person wants done to the plan. Steps, stations, orders and price lists by their ids. */
export const changeSchema = z.discriminatedUnion('kind', [
  /** A run goes to a station at a time, and stays there. */
  z.object({ kind: z.literal('move'), step: id, station: id, start: moment }),
  /** A run stays where it stands, whatever is planned later. */
  z.object({ kind: z.literal('pin'), step: id }),
  z.object({ kind: z.literal('unpin'), step: id }),
  /** A station is out of work. */
  z.object({
    kind: z.literal('out'),
    station: id,
    from: moment,
    to: moment,
    why: z.string().trim().min(1, 'Say why: a word is enough.').max(200),
  }),
  /** An order is in a hurry: its lateness counts threefold. Or not any more. */
  z.object({ kind: z.literal('rush'), order: id, on: z.boolean() }),
  /** A batch goes through in two parts, the first with the blanks that are here. */
  z.object({ kind: z.literal('split'), step: id }),
  /** Another printer does the printing. */
  z.object({ kind: z.literal('sendOut'), order: id, list: id }),
  /** The same work, better placed: the search goes on for some seconds. */
  z.object({ kind: z.literal('better') }),
])
export type PlanChange = z.output<typeof changeSchema>

/** Why a station cannot take a step; null where it can. */
export function cannotTake(
  station: PlanStation,
  step: Pick<PlanStep, 'stationKind' | 'needs'>,
): string | null {
  if (canDo(station, step)) return null
  if (station.kind !== step.stationKind) return `${station.name} does not do this kind of work.`
  if (station.heads !== null && step.needs && step.needs.screens > station.heads)
    return `${station.name} takes ${station.heads} screens at once, and this needs ${step.needs.screens}.`
  return `The print is larger than ${station.name} takes.`
}

/**
 * The first minute from which a run could stand on a station: after the step before it and its settling, when station and somebody who can do it
 * are there, and not on a run that is under way or pinned. Others may still be in the way, but those can move.
 * @param asked not before
 * @param board where the step before it stands now
 * @param kept spans on the station that stay, by start
 * @returns null where no opening of the next weeks holds it
 */
export function firstPlace(
  step: PlanStep,
  on: { station: PlanStation; crew: readonly PlanMember[]; zone: string; now: Instant; release: Instant },
  asked: Instant,
  before: { endAt: Instant; gapMin: number } | null,
  kept: readonly { from: Instant; to: Instant }[],
): Instant | null {
  const least = Math.max(asked, on.now, on.release, before ? before.endAt + before.gapMin * 60_000 : 0)
  const until = instant(least + 60 * 86_400_000)
  const length = step.setupMinutes + step.runMinutes
  const spans = (who: { hours: PlanStation['hours']; closed: PlanStation['closed'] }) =>
    openingsOf(who.hours, who.closed, on.zone, instant(least - 86_400_000), until)
  const held = step.attended === 'all' ? length : step.attended === 'setup' ? step.setupMinutes : 0
  const able = on.crew.filter(m => m.skills.includes(step.stationKind)).map(spans)
  let t = minuteAfter(instant(least))
  for (let round = 0; round < 400; round++) {
    const at = t
    const open = spans(on.station).find(o => o.to > at)
    if (!open) return null
    t = Math.max(t, open.from)
    const blocked = kept.find(k => k.from < instantOfMinute(t + length) && k.to > instantOfMinute(t))
    if (blocked) {
      t = minuteAfter(blocked.to)
      continue
    }
    if (!step.pausable && t + length > open.to) {
      t = open.to
      continue
    }
    if (step.attended === 'none') return instantOfMinute(t)
    const need = step.pausable ? 1 : held
    const there = able.flatMap(list => {
      const o = list.find(o => Math.max(o.from, t) + need <= o.to)
      return o ? [Math.max(o.from, t)] : []
    })
    if (there.length === 0) return null
    const soonest = Math.min(...there)
    if (soonest <= t) return instantOfMinute(t)
    t = soonest
  }
  return null
}

/** A change in words, as the history and the undo button say it; in the past: "moved “Press” of 1042 to Press B, Fri 14 May, 10:15". */
export function changeWords(
  change: PlanChange,
  rows: Pick<PlanRows, 'steps' | 'orders' | 'stations' | 'zone'>,
  board: readonly PlannedRun[],
  listName = '',
): string {
  const step = 'step' in change ? rows.steps.find(s => s.id === change.step) : undefined
  const numberOf = (orderId: string | undefined) =>
    rows.orders.find(o => o.id === orderId)?.number ?? 'an order'
  const run = `“${step?.title ?? 'a run'}” of ${numberOf(step?.orderId)}`
  const station = (id: string) => rows.stations.find(s => s.id === id)?.name ?? 'a station'
  const when = (at: Instant) => formatMoment(at, rows.zone)
  switch (change.kind) {
    case 'move':
      return `moved ${run} to ${station(change.station)}, ${when(change.start)}`
    case 'pin': {
      const now = board.find(r => r.stepId === change.step)
      return now ? `pinned ${run} on ${station(now.stationId)}, ${when(now.startAt)}` : `pinned ${run}`
    }
    case 'unpin':
      return `let ${run} move again`
    case 'out':
      return `took ${station(change.station)} out from ${when(change.from)} to ${when(change.to)}: ${change.why}`
    case 'rush':
      return change.on
        ? `rushed order ${numberOf(change.order)}`
        : `took the rush off order ${numberOf(change.order)}`
    case 'split':
      return `split the batch of ${numberOf(step?.orderId)} in two`
    case 'sendOut':
      return `sent the printing of ${numberOf(change.order)} out to ${listName || 'another printer'}`
    case 'better':
      return 'took a better plan'
  }
}
