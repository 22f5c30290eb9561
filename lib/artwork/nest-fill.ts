/** Prints of one design, alike in everything; lengths in whole tenths of a millimetre, gaps added. */
export type Batch = {
  piece: number
  order: number
  w: number
  h: number
  turn: boolean
  count: number
}

/** One print of a batch where it lies, tenths of a millimetre from the upper left corner inside the margins. */
export type Spot = { batch: number; sheet: number; x: number; y: number; turned: boolean }

/** How well a print fits a hollow: see `fit`. */
const PERFECT = 4
/** Taller than any roll. */
export const ENDLESS = 2 ** 30

/**
 * Fills one sheet after the other from below up. A skyline is filled from its lowest hollow with the print that fits it
 * best, the first of equals in the order given. The rule of fit follows Leung, Zhang and Sim, "A two-stage intelligent
 * search algorithm for the two-dimensional strip packing problem", European Journal of Operational Research 215 (2011).
 */
export class SheetFiller {
  /** Comparisons made so far: a search ends by these and not by a clock, so that the same seed gives the same sheet. */
  spent = 0
  /** What the last filling laid: its batches, places and turns, `laid` of them, up to `top`. */
  laid = 0
  top = 0
  readonly batch: Int32Array
  readonly x: Int32Array
  readonly y: Int32Array
  readonly turned: Uint8Array
  /** Batches that are tried lying the other way first. */
  readonly flipped: Uint8Array
  private readonly w: Int32Array
  private readonly h: Int32Array
  private readonly turn: Uint8Array
  private readonly waiting: Int32Array
  private readonly left: Int32Array
  // The skyline, left to right: where each step begins and how high it stands; the last entry of xs closes it.
  private readonly xs: Int32Array
  private readonly ys: Int32Array
  private steps = 0

  constructor(
    batches: readonly Batch[],
    readonly width: number,
    /** Of a roll it may be lowered to a length that is to be kept to. */
    public height: number,
  ) {
    const most = batches.reduce((n, b) => n + b.count, 0)
    this.w = Int32Array.from(batches, b => b.w)
    this.h = Int32Array.from(batches, b => b.h)
    this.turn = Uint8Array.from(batches, b => (b.turn ? 1 : 0))
    this.flipped = new Uint8Array(batches.length)
    this.waiting = new Int32Array(batches.length)
    this.left = new Int32Array(batches.length)
    this.batch = new Int32Array(most)
    this.x = new Int32Array(most)
    this.y = new Int32Array(most)
    this.turned = new Uint8Array(most)
    this.xs = new Int32Array(most + 3)
    this.ys = new Int32Array(most + 3)
  }

  /** Fills one sheet from the batches in `order`, of which `left` are to be had each; says what it laid in its own fields. */
  fill(order: ArrayLike<number>, left: Int32Array): void {
    const { waiting, xs, ys, height } = this
    let many = 0
    for (let i = 0; i < order.length; i++) {
      const at = order[i]!
      this.left[at] = left[at]!
      if (left[at]! > 0) waiting[many++] = at
    }
    this.laid = 0
    this.top = 0
    xs[0] = 0
    xs[1] = this.width
    ys[0] = 0
    this.steps = 1
    while (many > 0) {
      let low = 0
      for (let i = 1; i < this.steps; i++) if (ys[i]! < ys[low]!) low = i
      const y = ys[low]!
      if (y >= height) return
      const wallLeft = low === 0 ? ENDLESS : ys[low - 1]! - y
      const wallRight = low === this.steps - 1 ? ENDLESS : ys[low + 1]! - y
      this.spent += many
      const pick = this.bestFit(many, xs[low + 1]! - xs[low]!, height - y, wallLeft, wallRight)
      if (pick < 0) {
        if (this.steps === 1) return
        // Nothing fits the hollow: fill it up to its lower wall, as waste.
        ys[low] = y + Math.min(wallLeft, wallRight)
      } else {
        const index = pick >> 1
        const at = waiting[index]!
        this.lay(low, at, (pick & 1) === 1, wallLeft >= wallRight)
        if (--this.left[at]! === 0) waiting.copyWithin(index, index + 1, many--)
      }
      this.level()
    }
  }

  /** Index of the batch that waits × 2, + 1 if it lies turned; −1 for none. */
  private bestFit(many: number, room: number, head: number, wallLeft: number, wallRight: number): number {
    const { w, h, waiting, turn, flipped } = this
    const high = Math.max(wallLeft, wallRight)
    const low = Math.min(wallLeft, wallRight)
    let pick = -1
    let most = -1
    for (let i = 0; i < many && most < PERFECT; i++) {
      const at = waiting[i]!
      const ways = turn[at]! + 1
      for (let n = 0; n < ways; n++) {
        const side = n ^ flipped[at]!
        const across = side === 0 ? w[at]! : h[at]!
        const up = side === 0 ? h[at]! : w[at]!
        if (across > room || up > head) continue
        const level = up === low || up === head
        const fit = across === room ? (up === high ? PERFECT : level ? 3 : 2) : up === high || level ? 1 : 0
        if (fit > most) {
          most = fit
          pick = 2 * i + side
        }
      }
    }
    return pick
  }

  /** Lays a print in the hollow, against its higher wall: so the hollow that is left stays as one. */
  private lay(low: number, at: number, turned: boolean, againstLeft: boolean): void {
    const { xs, ys } = this
    const across = turned ? this.h[at]! : this.w[at]!
    const up = turned ? this.w[at]! : this.h[at]!
    const from = xs[low]!
    const room = xs[low + 1]! - from
    const y = ys[low]!
    const x = againstLeft ? from : xs[low + 1]! - across
    const n = this.laid++
    this.batch[n] = at
    this.x[n] = x
    this.y[n] = y
    this.turned[n] = turned ? 1 : 0
    if (y + up > this.top) this.top = y + up
    if (across < room) {
      xs.copyWithin(low + 1, low, this.steps + 1)
      ys.copyWithin(low + 1, low, this.steps)
      this.steps++
      xs[low + 1] = againstLeft ? from + across : x
    }
    ys[againstLeft || across === room ? low : low + 1] = y + up
  }

  /** Joins steps of one height. */
  private level(): void {
    const { xs, ys } = this
    let to = 1
    for (let i = 1; i < this.steps; i++) {
      if (ys[i] === ys[to - 1]) continue
      xs[to] = xs[i]!
      ys[to++] = ys[i]!
    }
    xs[to] = xs[this.steps]!
    this.steps = to
  }
}
