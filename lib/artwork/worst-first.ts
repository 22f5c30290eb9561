import type { Severity } from './findings'

/** What decides how soon somebody must look at a print's art. */
export type Standing = {
  /** Whether somebody recorded that it may be sold. */
  cleared: boolean
  /** Of what its pixels say; null while it is not measured. */
  severities: readonly Severity[] | null
  /** Epoch ms; null: none given. */
  promiseAt: number | null
}

/** Weight of missing rights, and of the worst that the pixels say: what nobody measured yet may hide a stop. */
function trouble({ cleared, severities }: Standing): number {
  const rights = cleared ? 0 : 4
  if (severities === null) return rights + 2
  if (severities.includes('stop')) return rights + 4
  return rights + (severities.includes('warn') ? 1 : 0)
}

/** Sorts worst first: missing rights weigh as much as a stop, both together most; of equals the earlier promise comes first. */
export const worstFirst = (a: Standing, b: Standing): number =>
  trouble(b) - trouble(a) ||
  (a.promiseAt ?? Number.POSITIVE_INFINITY) - (b.promiseAt ?? Number.POSITIVE_INFINITY) ||
  0
