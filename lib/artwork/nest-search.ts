import { type Batch, ENDLESS, SheetFiller, type Spot } from './nest-fill'
import { PACKING_RULES } from './nest-rules'

/** A whole nesting in work: tenths of a millimetre inside the margins. */
export type Layout = { spots: Spot[]; tops: number[]; score: Score }

/**
 * What counts, in this order: sheets (of a roll: its length in whole mm, for nobody cuts finer); how scattered the orders
 * are, in sheets beyond the first of each (of a roll: in length from first to last print of each); the last sheet's length.
 */
type Score = readonly number[]

const better = (p: Score, q: Score): boolean => {
  const at = p.findIndex((n, i) => n !== q[i])
  return at >= 0 && p[at]! < q[at]!
}

/** What a search may cost. */
export type Budget = {
  /** Layouts that are tried beyond the plain packing rules. */
  tries: number
  seed: number
  /** No nesting takes fewer: where they are reached, only the orders are looked after. */
  leastSheets: number
  /** No nesting on a roll is shorter, tenths of a millimetre. */
  leastLength: number
}

/** Comparisons that a search may cost: a third of a second of a quiet core, half of a busy one, however many prints there are. */
const WORK = 1.1e7

/** Lays all batches; height is ENDLESS for a roll. */
export function searched(batches: readonly Batch[], width: number, height: number, budget: Budget): Layout {
  const search = new Search(batches, width, height, budget)
  return height === ENDLESS ? search.onRoll() : search.onSheets()
}

type Rule = (p: Batch, q: Batch) => number
const longSide = (b: Batch): number => Math.max(b.w, b.h)
const area = (b: Batch): number => b.w * b.h
/** Orders to try prints in: the classic ones of packing, largest first by one measure or another. */
const RULES: readonly Rule[] = [
  (p, q) => area(q) - area(p),
  (p, q) => longSide(q) - longSide(p) || area(q) - area(p),
  (p, q) => q.h - p.h || q.w - p.w,
  (p, q) => q.w - p.w || q.h - p.h,
]
const BY_ORDER: readonly Rule[] = RULES.map(rule => (p, q) => p.order - q.order || rule(p, q))

class Search {
  private readonly filler: SheetFiller
  private readonly counts: Int32Array
  private readonly random: (below: number) => number
  private readonly all: number[]
  /** How the best of the plain rules tries the prints. */
  private plainOrder: number[] = []
  private plainFlips = new Uint8Array()

  constructor(
    private readonly batches: readonly Batch[],
    private readonly width: number,
    private readonly height: number,
    private readonly budget: Budget,
  ) {
    this.filler = new SheetFiller(batches, width, height)
    this.counts = Int32Array.from(batches, b => b.count)
    this.random = dice(budget.seed)
    this.all = batches.map((_, i) => i)
  }

  /** Local search over the order in which prints are tried, from the best of the plain rules. */
  onRoll(): Layout {
    const { filler, random } = this
    let best = this.ruled(this.shortest())
    let order = this.plainOrder
    filler.flipped.set(this.plainFlips)
    const many = order.length
    for (let t = 0; t < this.budget.tries && filler.spent < WORK; t++) {
      const i = random(many)
      const j = random(many)
      const next = [...order]
      const at = next[i]!
      const flips = t % 4 === 0 && this.batches[at]!.turn
      if (flips) filler.flipped[at]! ^= 1
      else if (i === j) continue
      else if (t % 4 === 1) next.splice(j, 0, ...next.splice(i, 1))
      else [next[i], next[j]] = [next[j]!, at]
      filler.height = best.tops[0]!
      const layout = this.inOrder(next)
      if (better(best.score, layout.score)) {
        if (flips) filler.flipped[at]! ^= 1
        continue
      }
      order = next
      best = layout
    }
    return this.exchanged(best)
  }

  /**
   * Sheet by sheet, each the fullest of many tries. A print that ended on a thin sheet counts for more in the next round,
   * so that it comes early: sequential value correction, after Belov, Kartak, Rohling and Scheithauer, "One-dimensional
   * heuristics adapted for two-dimensional rectangular strip packing", Journal of the Operational Research Society 59 (2008).
   */
  onSheets(): Layout {
    let best = this.plain()
    const each = Math.ceil(this.filler.spent / PLAIN)
    best = this.ruled(best)
    const rounds = Math.min(this.budget.tries / FILLS, WORK / (each * FILLS))
    // Where even one round is too much, its sheets are tried less often.
    const fills = rounds >= 1 ? FILLS : Math.floor(rounds * FILLS)
    const whole = this.width * this.height
    const worth = Float64Array.from(this.batches, b => area(b) / whole)
    for (let r = 0; r < rounds && fills > 1; r++) {
      if (best.tops.length <= this.budget.leastSheets) break
      const layout = this.round(worth, fills)
      if (better(layout.score, best.score)) best = layout
    }
    return this.budget.tries > 0 ? this.together(best) : best
  }

  /** The best of a layout and of what the packing rules give that work without a skyline. */
  private ruled(layout: Layout): Layout {
    if (this.counts.reduce((n, count) => n + count, 0) > RULED) return layout
    let best = layout
    for (const { rule } of PACKING_RULES) {
      const spots = rule(this.batches, this.width, this.height)
      const tops: number[] = []
      for (const { batch, sheet, y, turned } of spots) {
        const { w, h } = this.batches[batch]!
        tops[sheet] = Math.max(tops[sheet] ?? 0, y + (turned ? w : h))
      }
      const ruled = this.layoutOf(spots, tops)
      if (better(ruled.score, best.score)) best = ruled
    }
    return best
  }

  /** The plain packing rules on a roll, kept to ever shorter lengths: so no print stands up where a new row is shorter. */
  private shortest(): Layout {
    let best = this.plain()
    let least = this.budget.leastLength
    while (best.tops[0]! - least > 10 && this.filler.spent < WORK) {
      const goal = (best.tops[0]! + least) >> 1
      this.filler.height = goal
      const { plainOrder, plainFlips } = this
      const layout = this.plain()
      if (layout.tops.length === 1) best = layout
      else {
        least = goal
        this.plainOrder = plainOrder
        this.plainFlips = plainFlips
      }
    }
    return best
  }

  /** The best of the plain packing rules, with prints as they come, all lying, and all standing. */
  private plain(): Layout {
    const { batches, filler } = this
    let best: Layout | null = null
    const sides: ((b: Batch) => boolean)[] = [() => false, b => b.w < b.h, b => b.w > b.h]
    for (const turns of sides) {
      for (const [i, b] of batches.entries()) filler.flipped[i] = b.turn && turns(b) ? 1 : 0
      for (const rule of [...RULES, ...BY_ORDER]) {
        if (best && filler.spent > WORK) return best
        const order = this.sorted(rule)
        const layout = this.inOrder(order)
        if (best && !better(layout.score, best.score)) continue
        best = layout
        this.plainOrder = order
        this.plainFlips = filler.flipped.slice()
      }
    }
    return best!
  }

  private round(worth: Float64Array, fills: number): Layout {
    const left = this.counts.slice()
    const spots: Spot[] = []
    const tops: number[] = []
    const whole = this.width * this.height
    for (let rest = [...this.all]; rest.length > 0; rest = rest.filter(i => left[i]! > 0)) {
      const from = spots.length
      tops.push(this.fullest(rest, left, worth, fills, tops.length, spots))
      let full = 0
      const on = spots.slice(from)
      for (const { batch } of on) {
        left[batch]!--
        full += area(this.batches[batch]!) / whole
      }
      for (const { batch } of on) {
        const now = area(this.batches[batch]!) / whole / Math.max(0.3, full)
        worth[batch] = (worth[batch]! + now * (0.9 + this.random(200) / 1000)) / 2
      }
    }
    return this.layoutOf(spots, tops)
  }

  /** Adds the sheet that is worth most of `fills` tries to the spots, and gives its top. */
  private fullest(
    rest: readonly number[],
    left: Int32Array,
    worth: Float64Array,
    fills: number,
    sheet: number,
    spots: Spot[],
  ): number {
    const { filler, random } = this
    const key = new Float64Array(this.batches.length)
    const total = rest.reduce((n, i) => n + left[i]!, 0)
    let most = -1
    let best: Spot[] = []
    let top = 0
    for (let t = 0; t < fills; t++) {
      // The first try goes by worth alone, later ones further and further from it.
      const noise = t === 0 ? 0 : (NOISE * random(1000)) / 1000
      for (const i of rest) {
        key[i] = worth[i]! * (1 + (noise * (random(2001) - 1000)) / 1000)
        filler.flipped[i] = t % 2 === 1 && this.batches[i]!.turn ? random(2) : 0
      }
      filler.fill(
        [...rest].sort((p, q) => key[q]! - key[p]!),
        left,
      )
      let sum = 0
      for (let n = 0; n < filler.laid; n++) sum += worth[filler.batch[n]!]!
      if (sum <= most) continue
      most = sum
      best = this.spotsOf(sheet)
      top = filler.top
      if (filler.laid === total) break
    }
    spots.push(...best)
    return top
  }

  /**
   * Brings prints of one order together at the same number of sheets: two sheets that share an order are emptied and laid
   * again, order by order in an order drawn by lot, and stay so if fewer orders lie on both.
   */
  private together(dense: Layout): Layout {
    const { random } = this
    let best = this.exchanged(dense)
    const end = Math.max(this.filler.spent + WORK / 4, WORK)
    for (let n = 0; n < this.budget.tries && best.score[SCATTER]! > 0 && this.filler.spent < end; n++) {
      const shared = this.sharing(best.spots)
      const [one, two] = shared[random(shared.length)]!
      for (let t = 0; t < REPACKS; t++) {
        const next = this.repacked(best, one, two)
        if (!next || !better(next.score, best.score)) continue
        best = next
        break
      }
    }
    return this.exchanged(best)
  }

  /** Pairs of sheets with an order on both. */
  private sharing(spots: readonly Spot[]): [number, number][] {
    const sheets = new Map<number, Set<number>>()
    for (const { batch, sheet } of spots) {
      const { order } = this.batches[batch]!
      const on = sheets.get(order)
      if (on) on.add(sheet)
      else sheets.set(order, new Set([sheet]))
    }
    const pairs = new Map<string, [number, number]>()
    for (const on of sheets.values()) {
      const list = [...on].sort((p, q) => p - q)
      for (const [i, one] of list.entries())
        for (const two of list.slice(i + 1)) pairs.set(`${one} ${two}`, [one, two])
    }
    return [...pairs.values()]
  }

  /** The layout with the prints of two sheets laid anew on both, or null where they did not go in. */
  private repacked(layout: Layout, one: number, two: number): Layout | null {
    const { filler, random, batches } = this
    const left = new Int32Array(batches.length)
    let many = 0
    for (const { batch, sheet } of layout.spots)
      if (sheet === one || sheet === two) {
        left[batch]!++
        many++
      }
    // Emptying and sorting cost more here than the few comparisons.
    filler.spent += OVERHEAD * many + layout.spots.length
    const lots = new Map<number, number>()
    const strength = 1 + random(12)
    const key = new Float64Array(batches.length)
    const on = this.all.filter(i => left[i]! > 0)
    for (const i of on) {
      const { order } = batches[i]!
      if (!lots.has(order)) lots.set(order, random(1000) / 1000)
      key[i] = area(batches[i]!) * (0.6 + random(800) / 1000) * Math.exp(strength * lots.get(order)!)
      filler.flipped[i] = batches[i]!.turn ? random(2) : 0
    }
    const order = on.sort((p, q) => key[q]! - key[p]!)
    filler.fill(order, left)
    const spots = this.spotsOf(one)
    const tops = [...layout.tops]
    tops[one] = filler.top
    for (const { batch } of spots) left[batch]!--
    // Large ones first, now that it only matters that they go in.
    order.sort((p, q) => area(batches[q]!) - area(batches[p]!))
    filler.fill(
      order.filter(i => left[i]! > 0),
      left,
    )
    if (spots.length + filler.laid < many) return null
    spots.push(...this.spotsOf(two))
    tops[two] = filler.top
    const rest = layout.spots.filter(spot => spot.sheet !== one && spot.sheet !== two)
    return this.layoutOf([...rest, ...spots], tops)
  }

  private sorted(rule: Rule): number[] {
    return [...this.all].sort((p, q) => rule(this.batches[p]!, this.batches[q]!) || p - q)
  }

  /** Fills sheet after sheet in one order of trying. */
  private inOrder(order: readonly number[]): Layout {
    const left = this.counts.slice()
    const spots: Spot[] = []
    const tops: number[] = []
    for (let rest = order; rest.length > 0; rest = rest.filter(i => left[i]! > 0)) {
      this.filler.fill(rest, left)
      const on = this.spotsOf(tops.length)
      for (const { batch } of on) left[batch]!--
      spots.push(...on)
      tops.push(this.filler.top)
    }
    return this.layoutOf(spots, tops)
  }

  private spotsOf(sheet: number): Spot[] {
    const { batch, x, y, turned, laid } = this.filler
    return Array.from({ length: laid }, (_, n) => ({
      batch: batch[n]!,
      sheet,
      x: x[n]!,
      y: y[n]!,
      turned: turned[n] === 1,
    }))
  }

  private layoutOf(spots: Spot[], tops: number[]): Layout {
    const orders = new Map<number, { sheets: Set<number>; from: number; to: number }>()
    for (const { batch, sheet, y, turned } of spots) {
      const { order, w, h } = this.batches[batch]!
      const to = y + (turned ? w : h)
      const seen = orders.get(order)
      if (!seen) orders.set(order, { sheets: new Set([sheet]), from: y, to })
      else {
        seen.sheets.add(sheet)
        seen.from = Math.min(seen.from, y)
        seen.to = Math.max(seen.to, to)
      }
    }
    let scatter = 0
    for (const { sheets, from, to } of orders.values())
      scatter += this.height === ENDLESS ? to - from : sheets.size - 1
    const last = tops[tops.length - 1] ?? 0
    // A roll's second sheet is what did not go into the length it was to keep to.
    const length = tops.length > 1 ? ENDLESS : Math.ceil(last / 10)
    const score = [this.height === ENDLESS ? length : tops.length, scatter, last]
    return { spots, tops, score }
  }

  /**
   * Prints of one size change places at no cost: they are dealt out so that each order's come to lie together, by where
   * the rest of the order lies, as long as that helps.
   */
  private exchanged(layout: Layout): Layout {
    let best = layout
    for (let round = 0; round < 4; round++) {
      const next = this.dealtOut(best)
      if (!better(next.score, best.score)) break
      best = next
    }
    return best
  }

  private dealtOut({ spots, tops }: Layout): Layout {
    const out = spots.map(spot => ({ ...spot }))
    const deep = (s: Spot): number => s.sheet * ENDLESS + s.y
    const sums = new Map<number, { sum: number; n: number }>()
    for (const spot of spots) {
      const { order } = this.batches[spot.batch]!
      const seen = sums.get(order) ?? { sum: 0, n: 0 }
      sums.set(order, { sum: seen.sum + deep(spot), n: seen.n + 1 })
    }
    const middle = (s: Spot): number => {
      const { sum, n } = sums.get(this.batches[s.batch]!.order)!
      return sum / n
    }
    const alike = new Map<string, number[]>()
    for (const [i, spot] of spots.entries()) {
      const { w, h, turn } = this.batches[spot.batch]!
      const key = `${w} ${h} ${turn}`
      const list = alike.get(key)
      if (list) list.push(i)
      else alike.set(key, [i])
    }
    for (const list of alike.values()) {
      const places = [...list].sort((p, q) => deep(spots[p]!) - deep(spots[q]!) || p - q)
      const prints = [...list].sort(
        (p, q) =>
          middle(spots[p]!) - middle(spots[q]!) ||
          this.batches[spots[p]!.batch]!.order - this.batches[spots[q]!.batch]!.order ||
          p - q,
      )
      for (const [n, place] of places.entries()) out[place]!.batch = spots[prints[n]!]!.batch
    }
    return this.layoutOf(out, [...tops])
  }
}

/** Place in the score: how scattered the orders are. */
const SCATTER = 1
/** What handling a print costs, in comparisons. */
const OVERHEAD = 20
/** Tries to lay a pair of sheets anew. */
const REPACKS = 12
/** The slower packing rules are left out beyond so many prints. */
const RULED = 600
/** Layouts that plain() tries. */
const PLAIN = 3 * (RULES.length + BY_ORDER.length)
/** Tries for each sheet of a round. */
const FILLS = 100
/** How far a try may stray from the order of worth. */
const NOISE = 0.6

/** A small generator of its own keeps the same seed giving the same sheet. */
function dice(seed: number): (below: number) => number {
  let state = (seed * 2654435761) >>> 0 || 1
  return below => {
    state ^= state << 13
    state >>>= 0
    state ^= state >>> 17
    state ^= state << 5
    state >>>= 0
    return state % below
  }
}
