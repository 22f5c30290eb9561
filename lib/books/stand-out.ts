import { marginShare, type OrderMargin } from './margin'

/** Most orders that are named. */
const MOST = 5

/**
 * Orders that want a look: those that lost money, and those whose share of margin lies more than two standard deviations from
 * the mean of the month. Furthest from the mean first, at most five; none in a month of fewer than five orders, unless they
 * lost money.
 */
export function standOut(rows: readonly OrderMargin[]): Set<number> {
  const shares = rows.flatMap(r => {
    const share = marginShare(r)
    return share === null ? [] : [{ number: r.number, share, loss: r.margin < 0 }]
  })
  const mean = shares.reduce((a, s) => a + s.share, 0) / Math.max(1, shares.length)
  const deviation = Math.sqrt(
    shares.reduce((a, s) => a + (s.share - mean) ** 2, 0) / Math.max(1, shares.length - 1),
  )
  const far = (share: number) => Math.abs(share - mean)
  return new Set(
    shares
      .filter(s => s.loss || (shares.length >= 5 && deviation > 0 && far(s.share) > 2 * deviation))
      .sort((a, b) => far(b.share) - far(a.share))
      .slice(0, MOST)
      .map(s => s.number),
  )
}
