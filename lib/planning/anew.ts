import type { Plan } from './engine'

/**
 * Whether a plan drawn from an empty board serves better than the one that mends what hangs there: fewer steps without a place, hard
 * misses, late minutes, changeover minutes, in this order; and where all of these are equal, orders that are ready earlier, summed.
 */
export function servesBetter(drawn: Plan, mended: Plan): boolean {
  const worth = (p: Plan) => [
    p.unplaced.length,
    p.objective.hardMisses,
    p.objective.weightedLateMinutes,
    p.objective.changeoverMinutes,
    readyMinutes(p),
  ]
  const [a, b] = [worth(drawn), worth(mended)]
  const at = a.findIndex((value, i) => value !== b[i])
  return at >= 0 && (a[at] ?? 0) < (b[at] ?? 0)
}

/** The minutes at which the jobs end, added up. */
function readyMinutes({ runs }: Plan): number {
  const ends = new Map<string, number>()
  for (const r of runs) ends.set(r.job, Math.max(ends.get(r.job) ?? r.end, r.end))
  return [...ends.values()].reduce((sum, end) => sum + end, 0)
}
