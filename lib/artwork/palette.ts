import { deltaE2000, type Lab, labOf, type Rgb, rgbOfLab, toHex } from './colour'

/** One dominant colour: its share of the ink (0–1). */
export type PaletteColour = { hex: string; rgb: Rgb; lab: Lab; share: number }

/** The colours of a picture and what is left unsaid by them. */
export type Palette = {
  /** By share, largest first. Shares add up to 1. */
  colours: PaletteColour[]
  /** Mean CIEDE2000 distance of the ink from the colour it is counted under: what calling them spots would cost. */
  residual: number
  /** Mean CIEDE2000 distance of the worst-matched 5 % of the ink. */
  worst: number
}

/** Colours closer than this (CIEDE2000) are one: the eye calls 3 to 6 "medium". */
const MERGE_BELOW = 6
/** A colour with less than this share of the ink is taken into its neighbour. */
const SMALLEST_SHARE = 0.004
const ROUNDS = 6
/** With more colour cells than this (photographs) the centres are sought among cells of twice the width; shares and distances
 * are still those of every cell. */
const MANY = 1 << 13
const MISS_STEPS = 2400

type Points = {
  n: number
  L: Float64Array
  a: Float64Array
  b: Float64Array
  weight: Float64Array
  word: Uint32Array
}

/**
 * Dominant colours from the 5-bit colour cells of a scan: k-means in CIELAB from seeds that are heavy and far
 * apart (no chance in it), near ones merged, mixed colours of soft edges left to their neighbours. Shares, residual and
 * worst are counted over every cell.
 * @param most how many colours to give at most, 1 or more
 */
export function paletteOf(cells: Float64Array, faces: Uint32Array, most = 8): Palette {
  const points = pointsOf(cells, faces)
  if (points.n === 0) return { colours: [], residual: 0, worst: 0 }
  const rough = points.n > MANY ? gathered(points) : points
  let centres = seeds(rough, Math.max(1, most) + 4)
  let group = new Uint16Array(rough.n)
  for (let round = 0; round < ROUNDS; round++) {
    group = nearest(rough, centres)
    centres = means(rough, group, centres)
  }
  centres = distinct(rough, group, centres, Math.max(1, most))
  return described(points, nearest(points, centres), centres.length)
}

function pointsOf(cells: Float64Array, faces: Uint32Array): Points {
  let n = 0
  for (let i = 0; i < cells.length; i++) if (cells[i]! > 0) n++
  const points: Points = {
    n,
    L: new Float64Array(n),
    a: new Float64Array(n),
    b: new Float64Array(n),
    weight: new Float64Array(n),
    word: new Uint32Array(n),
  }
  for (let i = 0, k = 0; i < cells.length; i++) {
    if (cells[i]! <= 0) continue
    const word = faces[i]!
    const lab = labOf(word & 255, (word >>> 8) & 255, (word >>> 16) & 255)
    points.L[k] = lab[0]
    points.a[k] = lab[1]
    points.b[k] = lab[2]
    points.weight[k] = cells[i]!
    points.word[k] = word
    k++
  }
  return points
}

/** The points of neighbouring cells as one, at their common middle. */
function gathered(p: Points): Points {
  const at = new Int16Array(1 << 12).fill(-1)
  let n = 0
  const wide = new Int32Array(p.n)
  for (let i = 0; i < p.n; i++) {
    const word = p.word[i]!
    const cell = ((word >>> 4) & 15) | ((word >>> 8) & 0xf0) | ((word >>> 12) & 0xf00)
    if (at[cell]! < 0) at[cell] = n++
    wide[i] = at[cell]!
  }
  const sum = (values: Float64Array): Float64Array => {
    const out = new Float64Array(n)
    for (let i = 0; i < p.n; i++) out[wide[i]!]! += values[i]! * p.weight[i]!
    return out
  }
  const weight = new Float64Array(n)
  for (let i = 0; i < p.n; i++) weight[wide[i]!]! += p.weight[i]!
  const mean = (values: Float64Array): Float64Array => sum(values).map((v, k) => v / weight[k]!)
  return { n, L: mean(p.L), a: mean(p.a), b: mean(p.b), weight, word: new Uint32Array(n) }
}

/** Greedy: each next seed is where the most ink lies the furthest from the seeds so far. */
function seeds(p: Points, most: number): Lab[] {
  const gap = new Float64Array(p.n).fill(Number.POSITIVE_INFINITY)
  const out: Lab[] = []
  let best = 0
  for (let i = 1; i < p.n; i++) if (p.weight[i]! > p.weight[best]!) best = i
  while (out.length < most) {
    const seed: Lab = [p.L[best]!, p.a[best]!, p.b[best]!]
    out.push(seed)
    let top = 0
    best = -1
    for (let i = 0; i < p.n; i++) {
      const d = (p.L[i]! - seed[0]) ** 2 + (p.a[i]! - seed[1]) ** 2 + (p.b[i]! - seed[2]) ** 2
      if (d < gap[i]!) gap[i] = d
      const score = gap[i]! * p.weight[i]!
      if (gap[i]! > 9 && score > top) {
        top = score
        best = i
      }
    }
    if (best < 0) break
  }
  return out
}

function nearest(p: Points, centres: readonly Lab[]): Uint16Array<ArrayBuffer> {
  const group = new Uint16Array(p.n)
  const k = centres.length
  const L = Float64Array.from(centres, c => c[0])
  const a = Float64Array.from(centres, c => c[1])
  const b = Float64Array.from(centres, c => c[2])
  for (let i = 0; i < p.n; i++) {
    let best = 0
    let least = Number.POSITIVE_INFINITY
    for (let c = 0; c < k; c++) {
      const dL = p.L[i]! - L[c]!
      const da = p.a[i]! - a[c]!
      const db = p.b[i]! - b[c]!
      const d = dL * dL + da * da + db * db
      if (d < least) {
        least = d
        best = c
      }
    }
    group[i] = best
  }
  return group
}

function means(p: Points, group: Uint16Array, old: readonly Lab[]): Lab[] {
  const sums = old.map(() => [0, 0, 0, 0])
  for (let i = 0; i < p.n; i++) {
    const s = sums[group[i]!]!
    const w = p.weight[i]!
    s[0]! += w
    s[1]! += w * p.L[i]!
    s[2]! += w * p.a[i]!
    s[3]! += w * p.b[i]!
  }
  return sums.map((s, c) => (s[0]! > 0 ? ([s[1]! / s[0]!, s[2]! / s[0]!, s[3]! / s[0]!] as Lab) : old[c]!))
}

/** Drops what is too small, too close to a larger colour, or only the soft edge between two larger ones. */
function distinct(p: Points, group: Uint16Array, centres: Lab[], most: number): Lab[] {
  const weight = centres.map(() => 0)
  let total = 0
  for (let i = 0; i < p.n; i++) {
    weight[group[i]!]! += p.weight[i]!
    total += p.weight[i]!
  }
  const order = centres.map((_, c) => c).sort((x, y) => weight[y]! - weight[x]!)
  const kept: { lab: Lab; weight: number }[] = []
  for (const c of order) {
    const lab = centres[c]!
    const share = weight[c]! / total
    if (kept.length > 0 && (kept.length >= most || share < SMALLEST_SHARE)) continue
    const close = kept.some(k => deltaE2000(...k.lab, ...lab) < MERGE_BELOW)
    if (close || (share < 0.03 && isMixture(lab, weight[c]!, kept))) continue
    kept.push({ lab, weight: weight[c]! })
  }
  return kept.map(k => k.lab)
}

/** Whether a colour lies on the line between two much heavier ones, as the pixels of an antialiased edge do. */
function isMixture(lab: Lab, weight: number, kept: { lab: Lab; weight: number }[]): boolean {
  const heavy = kept.filter(k => k.weight > 3 * weight)
  const seen = rgbOfLab(lab)
  for (let i = 0; i < heavy.length; i++)
    for (let j = i + 1; j < heavy.length; j++) {
      const p = rgbOfLab(heavy[i]!.lab)
      const q = rgbOfLab(heavy[j]!.lab)
      const d = [q[0] - p[0], q[1] - p[1], q[2] - p[2]] as const
      const len = d[0] ** 2 + d[1] ** 2 + d[2] ** 2
      const t = ((seen[0] - p[0]) * d[0] + (seen[1] - p[1]) * d[1] + (seen[2] - p[2]) * d[2]) / len
      if (t < 0.05 || t > 0.95) continue
      const off = Math.hypot(seen[0] - p[0] - t * d[0], seen[1] - p[1] - t * d[1], seen[2] - p[2] - t * d[2])
      if (off < 24) return true
    }
  return false
}

function described(p: Points, group: Uint16Array, k: number): Palette {
  const sum = Array.from({ length: k }, () => [0, 0, 0, 0])
  const face = new Int32Array(k).fill(-1)
  let total = 0
  for (let i = 0; i < p.n; i++) {
    const c = group[i]!
    const s = sum[c]!
    const w = p.weight[i]!
    s[0]! += w
    s[1]! += w * p.L[i]!
    s[2]! += w * p.a[i]!
    s[3]! += w * p.b[i]!
    total += w
    if (face[c]! < 0 || w > p.weight[face[c]!]!) face[c] = i
  }
  const groups = sum.map((s, c) => {
    // A flat colour shows as the heaviest cell of its group; a gradient as the group's mean.
    const flat = face[c]! >= 0 && p.weight[face[c]!]! > 0.5 * s[0]!
    const word = face[c]! >= 0 ? p.word[face[c]!]! : 0
    const rgb: Rgb = flat
      ? [word & 255, (word >>> 8) & 255, (word >>> 16) & 255]
      : rgbOfLab([s[1]! / s[0]!, s[2]! / s[0]!, s[3]! / s[0]!])
    return { rgb, lab: labOf(...rgb) as Lab, share: s[0]! / total }
  })
  // Ink by how far it is missed, in steps of a twentieth: enough to find the worst of it without sorting.
  const missed = new Float64Array(MISS_STEPS)
  let residual = 0
  for (let i = 0; i < p.n; i++) {
    const d = deltaE2000(p.L[i]!, p.a[i]!, p.b[i]!, ...groups[group[i]!]!.lab)
    residual += (d * p.weight[i]!) / total
    missed[Math.min(MISS_STEPS - 1, Math.round(d * 20))]! += p.weight[i]!
  }
  let left = 0.05 * total
  let worst = 0
  for (let step = MISS_STEPS - 1; step >= 0 && left > 0; step--) {
    const w = Math.min(left, missed[step]!)
    worst += ((step / 20) * w) / (0.05 * total)
    left -= w
  }
  return {
    colours: groups
      .filter(g => g.share > 0)
      .map(g => ({ hex: toHex(g.rgb), ...g }))
      .sort((x, y) => y.share - x.share),
    residual,
    worst,
  }
}
