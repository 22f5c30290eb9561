import type { Instant } from '@/lib/units/time'

/** A planned run as the choice of the next one needs it. */
export type Candidate = {
  stepId: string
  orderId: string
  job: string
  position: number
  state: string
  workAt: Instant
  /** Whether its order waits for art to be cleared, blanks or the post. */
  held: boolean
}

/**
 * The run to start next: the earliest on the plan that can start now, since nothing holds its order, no earlier step of its chain is
 * open, and its station is free. Null when nothing can.
 * @param busy ids of stations where something runs
 */
export function nextRun<T extends Candidate & { stationId: string }>(
  runs: readonly T[],
  busy: ReadonlySet<string>,
): T | null {
  const open = runs.filter(r => r.state !== 'done' && r.state !== 'dropped')
  const first = (r: T) =>
    !open.some(
      o => o.orderId === r.orderId && o.job === r.job && o.position < r.position && o.stepId !== r.stepId,
    )
  return (
    [...open]
      .sort((a, b) => a.workAt - b.workAt)
      .find(r => r.state === 'waiting' && !r.held && !busy.has(r.stationId) && first(r)) ?? null
  )
}
