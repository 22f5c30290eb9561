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

/** The crossings after which the new way stays the cheaper one, the last for each way: what a shop can steer by. */
export function lastingCrossings(curves: readonly Curve[]): Crossing[] {
  const lasting = crossings(curves).filter(c => c.lasts)
  return lasting.filter((c, i) => !lasting.slice(i + 1).some(later => later.to === c.to))
}

/**
 * Which way is the cheapest, in sentences: throughout, or for `at` pieces and over most quantities; and between which quantities it turns back and
 * forth before it settles. Empty where no way takes any quantity.
 */
export function cheapestWords(curves: readonly Curve[], at?: number): string[] {
  const stretches = cheapestStretches(curves)
  const [first] = stretches
  const last = stretches.at(-1)
  if (!first || !last) return []
  if (stretches.length === 1)
    return [`${first.name} is the cheapest at every quantity from ${first.from} to ${first.to} pieces.`]
  const here = stretches.find(s => at !== undefined && s.from <= at && at <= s.to)
  const words = here ? [`For ${at} ${at === 1 ? 'piece' : 'pieces'} ${here.name} is the cheapest.`] : []
  const counts = new Map<string, number>()
  for (const s of stretches) counts.set(s.name, (counts.get(s.name) ?? 0) + s.to - s.from + 1)
  const all = [...counts.values()].reduce((a, b) => a + b, 0)
  const [most] = [...counts].sort((a, b) => b[1] - a[1])
  if (most && most[1] * 2 > all)
    words.push(`${most[0]} is the cheapest at most quantities: ${most[1]} of ${all}.`)
  const turning = crossings(curves).filter(c => !c.lasts)
  const [turns] = turning
  if (turns)
    words.push(
      `From ${turns.pieces} to ${last.from - 1} pieces the cheapest turns back and forth, as sheets and blanks are begun.`,
    )
  return words
}
