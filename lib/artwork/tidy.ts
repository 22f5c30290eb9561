/** A file that may be in nobody's way any more: files for machines of open orders, of ended ones, or work half done. */
export type LeftOver = 'production' | 'ended-production' | 'scratch'

const DAY_MS = 86_400_000
/**
 * How long nobody must have asked for it. Production files can be made again from the art and its settings at any time; half done
 * work may still be going on for a while.
 */
const KEPT_MS: Record<LeftOver, number> = {
  production: 30 * DAY_MS,
  'ended-production': DAY_MS,
  scratch: DAY_MS,
}

/**
 * Whether a file may go.
 * @param unusedMs milliseconds since it was written or asked for
 */
export const isStale = (kind: LeftOver, unusedMs: number): boolean => unusedMs > KEPT_MS[kind]
