import { type Curve, costEach } from './curve'

/** A stretch of quantities over which one way is the cheapest. Both ends are in it. */
export type Stretch = { key: string; name: string; from: number; to: number }
/** Where the cheapest way changes. */
export type Crossing = {
  /** First quantity at which the new way is cheaper. */
  pieces: number
  from: string
  to: string
  /** Whether the new one then stays cheaper than the old one to the end of the curve. */
  lasts: boolean
  /** "Screen print is cheaper from 31 pieces." */
  message: string
}

/** Stretches of the cheapest way from one piece up; at a tie the way before stays. Quantities that no way takes are left out. */
export function cheapestStretches(curves: readonly Curve[]): Stretch[] {
  const most = Math.max(0, ...curves.map(c => c.amounts.length))
  const stretches: Stretch[] = []
  for (let pieces = 1; pieces <= most; pieces++) {
    const last = stretches.at(-1)
    let best: Curve | null = null
    let least = Number.POSITIVE_INFINITY
    for (const curve of curves) {
      if (pieces < curve.from) continue
      const each = costEach(curve, pieces)
      if (each === null) continue
      if (each < least || (each === least && curve.key === last?.key)) {
        least = each
        best = curve
      }
    }
    if (!best) continue
    if (last && last.key === best.key && last.to === pieces - 1) last.to = pieces
    else stretches.push({ key: best.key, name: best.name, from: pieces, to: pieces })
  }
  return stretches
}

/** Where the cheapest way changes, from few pieces to many. A sheet begun or a blank more set aside can turn it back for a few pieces. */
export function crossings(curves: readonly Curve[]): Crossing[] {
  const stretches = cheapestStretches(curves)
  return stretches.slice(1).map((now, i) => {
    const before = stretches[i] as Stretch
    const a = curves.find(c => c.key === before.key)
    const b = curves.find(c => c.key === now.key)
    let lasts = true
    if (a && b)
      for (let n = now.from; n <= b.amounts.length; n++)
        if ((costEach(b, n) ?? 0) > (costEach(a, n) ?? Number.POSITIVE_INFINITY)) lasts = false
    return {
      pieces: now.from,
      from: before.key,
      to: now.key,
      lasts,
      message: `${now.name} is cheaper from ${now.from} pieces.`,
    }
  })
}
