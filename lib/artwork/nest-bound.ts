/** A print that must lie somewhere; lengths in whole µm, gaps added. */
type Laid = { w: number; h: number; turn: boolean; count: number }

/** Stretches or shrinks a length so that whatever fitted side by side across `across` still does: 0 to across. */
type Scale = (length: number) => number

/** Scales beyond this many would take longer than they bring. */
const MOST_SCALES = 40

/**
 * Dual feasible functions: lengths that together fit across a sheet still do after one of these, so the scaled areas of
 * any sheet's prints add up to at most one sheet, and what they need in all is a bound that no nesting beats. After Fekete
 * and Schepers, "New classes of fast lower bounds for bin packing problems", Mathematical Programming 91 (2001).
 */
function scales(across: number, lengths: readonly number[]): Scale[] {
  const plain: Scale = length => length
  const steps = [1, 2, 3, 4, 5].map((k): Scale => {
    // k equal parts and a bit: what is longer than a part of k + 1 counts as one of k.
    return length =>
      (length * (k + 1)) % across === 0 ? length : (Math.floor((length * (k + 1)) / across) * across) / k
  })
  const short = [...new Set(lengths.filter(l => 2 * l <= across))].sort((p, q) => q - p)
  const every = Math.max(1, Math.ceil(short.length / MOST_SCALES))
  const cuts = short
    .filter((_, i) => i % every === 0)
    .map(
      (cut): Scale =>
        length =>
          length > across - cut ? across : length < cut ? 0 : length,
    )
  return [plain, ...steps, ...cuts]
}

const sides = (prints: readonly Laid[]): number[] => prints.flatMap(p => [p.w, p.h])

/** The least scaled area that a print may take, lying either way that it can. */
function leastArea(print: Laid, across: number, down: number, fx: Scale, fy: Scale): number {
  const lying = print.w <= across && print.h <= down ? fx(print.w) * fy(print.h) : Number.POSITIVE_INFINITY
  const standing =
    print.turn && print.h <= across && print.w <= down ? fx(print.h) * fy(print.w) : Number.POSITIVE_INFINITY
  return Math.min(lying, standing)
}

const needed = (prints: readonly Laid[], across: number, down: number, fx: Scale, fy: Scale): number =>
  prints.reduce((n, p) => n + p.count * leastArea(p, across, down, fx, fy), 0)

/** No nesting takes fewer sheets than this. All prints fit on a sheet. */
export function leastSheets(prints: readonly Laid[], across: number, down: number): number {
  const lengths = sides(prints)
  const [fxs, fys] = [scales(across, lengths), scales(down, lengths)]
  let most = 1
  for (const fx of fxs)
    for (const fy of fys)
      most = Math.max(most, Math.ceil(needed(prints, across, down, fx, fy) / (across * down) - 1e-9))
  return most
}

/** No nesting on a roll is shorter than this, µm with the last gap. All prints fit on the roll. */
export function leastLength(prints: readonly Laid[], across: number): number {
  const endless = Number.POSITIVE_INFINITY
  const plain: Scale = length => length
  const longest = prints.map(p =>
    p.turn && p.h <= across ? (p.w <= across ? Math.min(p.w, p.h) : p.w) : p.h,
  )
  return Math.max(
    ...prints.map((p, i) => (p.count > 0 ? longest[i]! : 0)),
    ...scales(across, sides(prints)).map(fx => needed(prints, across, endless, fx, plain) / across),
  )
}
