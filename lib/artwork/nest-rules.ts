import { type Batch, ENDLESS, type Spot } from './nest-fill'

/** One print of a batch. */
type One = { batch: number; w: number; h: number; turn: boolean }
/** Lays every print; where each lies. The height is ENDLESS for a roll. */
export type PackingRule = (batches: readonly Batch[], width: number, height: number) => Spot[]

const singles = (batches: readonly Batch[]): One[] =>
  batches.flatMap(({ w, h, turn, count }, batch) =>
    Array.from({ length: count }, () => ({ batch, w, h, turn })),
  )
const byArea = (p: One, q: One): number => q.w * q.h - p.w * p.h || p.batch - q.batch

type Way = { w: number; h: number; turned: boolean }
/** The ways a print may lie on an empty sheet. */
function waysOf({ w, h, turn }: One, width: number, height: number): Way[] {
  const ways: Way[] = [{ w, h, turned: false }]
  if (turn && w !== h) ways.push({ w: h, h: w, turned: true })
  return ways.filter(way => way.w <= width && way.h <= height)
}

/** Shelves: prints lie down and go by falling height on the first shelf with room, shelves on the first sheet with room. */
const shelves: PackingRule = (batches, width, height) => {
  const lain = singles(batches)
    .map(one => ({
      ...one,
      way: waysOf(one, width, height).reduce((p, q) => (q.h < p.h ? q : p)),
    }))
    .sort((p, q) => q.way.h - p.way.h || p.batch - q.batch)
  const rows: { used: number; h: number; prints: { batch: number; x: number; turned: boolean }[] }[] = []
  for (const { batch, way } of lain) {
    let row = rows.find(r => r.used + way.w <= width)
    if (!row) {
      row = { used: 0, h: way.h, prints: [] }
      rows.push(row)
    }
    row.prints.push({ batch, x: row.used, turned: way.turned })
    row.used += way.w
  }
  const used: number[] = []
  return rows.flatMap(({ h, prints }) => {
    const room = used.findIndex(y => y + h <= height)
    const sheet = room < 0 ? used.push(0) - 1 : room
    const y = used[sheet]!
    used[sheet] = y + h
    return prints.map(print => ({ ...print, sheet, y }))
  })
}

/** Free rectangles, each cut in two along the shorter rest; a print goes where the shorter side left over is least. */
const freeRectangles: PackingRule = (batches, width, height) => {
  type Free = { sheet: number; x: number; y: number; w: number; h: number }
  const endless = height === ENDLESS
  const free: Free[] = []
  let sheets = 0
  return singles(batches)
    .sort(byArea)
    .map(one => {
      const ways = waysOf(one, width, height)
      let best: { at: number; way: Way; left: number } | null = null
      const look = (from: number): void => {
        for (let at = from; at < free.length; at++)
          for (const way of ways) {
            const f = free[at]!
            if (way.w > f.w || way.h > f.h) continue
            // The open end of a roll comes after every hole in it, and there what is lowest.
            const open = endless && f.y + f.h >= ENDLESS
            const left = open ? ENDLESS + way.h : Math.min(f.w - way.w, f.h - way.h)
            if (!best || left < best.left) best = { at, way, left }
          }
      }
      look(0)
      if (!best) {
        free.push({ sheet: sheets++, x: 0, y: 0, w: width, h: height })
        look(free.length - 1)
      }
      const { at, way } = best!
      const f = free.splice(at, 1)[0]!
      const [right, below] = [f.w - way.w, f.h - way.h]
      // The larger of the two rests is kept whole; the open end of a roll always.
      const wide = right <= below
      free.push(
        { ...f, x: f.x + way.w, w: right, h: wide ? way.h : f.h },
        { ...f, y: f.y + way.h, h: below, w: wide ? f.w : way.w },
      )
      return { batch: one.batch, sheet: f.sheet, x: f.x, y: f.y, turned: way.turned }
    })
}

/** Bottom left: each print where its far edge is lowest, then leftmost, largest area first, on the first sheet with room. */
const bottomLeft: PackingRule = (batches, width, height) => {
  type Rect = { x: number; y: number; w: number; h: number }
  const sheets: Rect[][] = []
  const place = (on: readonly Rect[], ways: readonly Way[]): (Rect & { turned: boolean }) | null => {
    const ys = [...new Set([0, ...on.map(r => r.y + r.h)])].sort((p, q) => p - q)
    let best: (Rect & { turned: boolean }) | null = null
    for (const { w, h, turned } of ways)
      for (const y of ys) {
        if (y + h > height || (best && y + h >= best.y + best.h)) break
        const x = leftmost(on, y, w, h)
        if (x + w > width) continue
        best = { x, y, w, h, turned }
        break
      }
    return best
  }
  // Kept by x, so that one walk from the left finds the first gap.
  const leftmost = (on: readonly Rect[], y: number, w: number, h: number): number => {
    let x = 0
    for (const r of on) {
      if (r.y >= y + h || r.y + r.h <= y) continue
      if (r.x >= x + w) break
      x = Math.max(x, r.x + r.w)
    }
    return x
  }
  return singles(batches)
    .sort(byArea)
    .map(one => {
      const ways = waysOf(one, width, height)
      for (let sheet = 0; ; sheet++) {
        sheets[sheet] ??= []
        const on = sheets[sheet]!
        const spot = place(on, ways)
        if (!spot) continue
        const after = on.findIndex(r => r.x > spot.x)
        on.splice(after < 0 ? on.length : after, 0, spot)
        return { batch: one.batch, sheet, x: spot.x, y: spot.y, turned: spot.turned }
      }
    })
}

/** Three plain rules of packing: a nesting is never worse than the best of them. */
export const PACKING_RULES: readonly { name: string; rule: PackingRule }[] = [
  { name: 'shelves, first fit by falling height', rule: shelves },
  { name: 'free rectangles, best short side', rule: freeRectangles },
  { name: 'bottom left, largest first', rule: bottomLeft },
]
