import type { Job } from './types'

/** A part of a job: its own name, its share of the pieces, and when its goods are there. */
export interface Part {
  id: string
  /** Of the whole; shares are taken relative to their sum, so pieces do as well. More than 0. */
  share: number
  release: number
}

/**
 * A job in parts that go through the shop apart, each as soon as its own goods are there: promise, weight and steps are those of the
 * whole. Run minutes are shared out by pieces, in whole minutes that add up to the run of the whole; every part is set up anew.
 * The job itself where there are fewer than two parts, or a share is not above 0.
 */
export function splitJob(job: Job, parts: readonly Part[]): Job[] {
  const sum = parts.reduce((a, p) => a + p.share, 0)
  if (parts.length < 2 || parts.some(p => !(p.share > 0)) || !Number.isFinite(sum)) return [job]
  let before = 0
  return parts.map(part => {
    const from = before / sum
    before += part.share
    const to = before / sum
    // Differences of rounded sums: nothing is lost between the parts.
    const of = (run: number) => Math.round(run * to) - Math.round(run * from)
    return {
      ...job,
      id: part.id,
      release: part.release,
      steps: job.steps.map(s => ({ ...s, on: s.on.map(c => ({ ...c, run: of(c.run) })) })),
    }
  })
}
