import { formatMinutes, formatMoment, type Instant } from '@/lib/units/time'
import type { Plan, Reason, Run, Shop } from './engine'
import { why } from './engine'
import type { PlanRows } from './model'
import { jobId } from './model'
import { instantOfMinute } from './openings'
import type { Hold } from './release'

/** What a run's start waits for, in words, and until when. */
export type WhyLine = { kind: Reason['kind']; words: string; until: Instant }

/** Reasons that come this close to the one that decides are told too: they would be next. */
const NEAR_MINUTES = 240

/**
 * Why a run starts when it does, as people say it: the reason that decides first, then what would hold it next. Empty where the plan has no
 * such run.
 * @param holds what its order waits for: blanks, transfers
 */
export function whyWords(
  shop: Shop,
  plan: Plan,
  stepId: string,
  rows: PlanRows,
  holds: readonly Hold[] = [],
): WhyLine[] {
  const step = rows.steps.find(s => s.id === stepId)
  if (!step) return []
  const reasons = why(shop, plan, { job: jobId(step), step: stepId })
  const first = reasons[0]
  if (!first) return []
  const run = plan.runs.find(r => r.step === stepId)
  return reasons
    .filter((r, i) => i === 0 || (r.kind !== 'now' && first.until - r.until <= NEAR_MINUTES))
    .slice(0, 4)
    .map(r => ({ kind: r.kind, until: instantOfMinute(r.until), words: wordsOf(r, run, rows, holds) }))
}

function wordsOf(reason: Reason, run: Run | undefined, rows: PlanRows, holds: readonly Hold[]): string {
  const named = (id: string | undefined) => {
    const s = rows.steps.find(x => x.id === id)
    const order = rows.orders.find(o => o.id === s?.orderId)
    return s ? `“${s.title}”${order ? ` of ${order.number}` : ''}` : 'another run'
  }
  const station = rows.stations.find(s => s.id === run?.station)?.name ?? 'the station'
  const member = rows.crew.find(m => m.id === run?.crew)?.name ?? 'whoever does it'
  const until = formatMoment(instantOfMinute(reason.until), rows.zone)
  switch (reason.kind) {
    case 'kept': {
      const step = rows.steps.find(s => s.id === run?.step)
      return step?.state === 'running' ? 'It is under way.' : 'Somebody pinned it here.'
    }
    case 'now':
      return 'It can begin at once.'
    case 'release': {
      const text = holds.filter(h => h.until !== null || h.kind !== 'art').map(h => h.text)
      return text.length ? `Waits until ${until}. ${text.join(' ')}` : `What it needs is there ${until}.`
    }
    case 'before':
      return reason.minutes > 0
        ? `Waits ${formatMinutes(reason.minutes)} after ${named(reason.run?.step)}: curing or settling until ${until}.`
        : `Waits for ${named(reason.run?.step)}, done ${until}.`
    case 'station':
      return reason.minutes > 0
        ? `${station} is busy with ${named(reason.run?.step)}, then ${formatMinutes(reason.minutes)} of changeover: until ${until}.`
        : `${station} is busy with ${named(reason.run?.step)} until ${until}.`
    case 'crew':
      return `${member} is on ${named(reason.run?.step)} until ${until}.`
    case 'closed':
      return run?.crew
        ? `No time before ${until} when ${station} is open and ${member} is there for long enough.`
        : `${station} is closed, or not open long enough, until ${until}.`
    case 'next':
      return `It holds back so that ${named(reason.run?.step)} can follow in time: what is made must not lie for more than ${formatMinutes(reason.minutes)}.`
    case 'stays':
      return 'It stays where it stood: moving it would gain nothing.'
  }
}
