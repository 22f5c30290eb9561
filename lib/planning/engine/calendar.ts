import type { Opening } from './types'

/** Sorted, merged, half-open: touching or overlapping openings become one, empty ones go. */
export function mergeOpenings(openings: readonly Opening[]): Opening[] {
  const sorted = openings.filter(o => o.to > o.from).sort((a, b) => a.from - b.from || a.to - b.to)
  const merged: Opening[] = []
  for (const { from, to } of sorted) {
    const last = merged[merged.length - 1]
    if (last && from <= last.to) last.to = Math.max(last.to, to)
    else merged.push({ from, to })
  }
  return merged
}

/** The openings of `a` that are also openings of `b`. Both merged. */
export function intersectOpenings(a: readonly Opening[], b: readonly Opening[]): Opening[] {
  const both: Opening[] = []
  let j = 0
  for (const { from, to } of a) {
    while (j < b.length && b[j]!.to <= from) j++
    for (let k = j; k < b.length && b[k]!.from < to; k++) {
      both.push({ from: Math.max(from, b[k]!.from), to: Math.min(to, b[k]!.to) })
    }
  }
  return both
}

/** The openings of `a` without the minutes of `b`. Both merged. */
export function subtractOpenings(a: readonly Opening[], b: readonly Opening[]): Opening[] {
  const left: Opening[] = []
  for (const { from, to } of a) {
    let at = from
    for (const cut of b) {
      if (cut.to <= at) continue
      if (cut.from >= to) break
      if (cut.from > at) left.push({ from: at, to: cut.from })
      at = Math.max(at, cut.to)
    }
    if (at < to) left.push({ from: at, to })
  }
  return left
}

/** Open minutes on the time axis, with look-ups by binary search. Results of -1 mean: not before the openings end. */
export class Calendar {
  readonly size: number
  readonly from: Int32Array
  readonly to: Int32Array
  /** Open minutes before each opening. */
  private readonly before: Int32Array
  /** The longest opening, in minutes. */
  readonly longest: number
  private hint = 0

  constructor(openings: readonly Opening[]) {
    const merged = mergeOpenings(openings)
    this.size = merged.length
    this.from = Int32Array.from(merged, o => o.from)
    this.to = Int32Array.from(merged, o => o.to)
    this.before = new Int32Array(merged.length)
    let longest = 0
    for (let k = 0; k < merged.length; k++) {
      const length = this.to[k]! - this.from[k]!
      if (length > longest) longest = length
      if (k > 0) this.before[k] = this.before[k - 1]! + this.to[k - 1]! - this.from[k - 1]!
    }
    this.longest = longest
  }

  /** Index of the first opening that ends after t; `size` when there is none. */
  at(t: number): number {
    const { from, to, size } = this
    const h = this.hint
    // Most look-ups follow each other closely in time.
    if (h < size && to[h]! > t && (h === 0 || to[h - 1]! <= t)) return h
    if (size === 0 || to[size - 1]! <= t) return size
    if (from[0]! >= t) return 0
    let low = 0
    let high = size - 1
    while (low < high) {
      const mid = (low + high) >> 1
      if (to[mid]! > t) high = mid
      else low = mid + 1
    }
    this.hint = low
    return low
  }

  /** First open minute at or after t. */
  next(t: number): number {
    const k = this.at(t)
    if (k === this.size) return -1
    const f = this.from[k]!
    return Math.max(f, t)
  }

  isOpen(t: number): boolean {
    const k = this.at(t)
    return k < this.size && this.from[k]! <= t
  }

  /** The instant at which `minutes` open minutes counted from t are done; t itself for none. */
  advance(t: number, minutes: number): number {
    if (minutes === 0) return t
    let k = this.at(t)
    let left = minutes
    let at = t
    for (; k < this.size; k++) {
      if (this.from[k]! > at) at = this.from[k]!
      const room = this.to[k]! - at
      if (left <= room) return at + left
      left -= room
    }
    return -1
  }

  /** The latest instant from which `minutes` (at least 1) open minutes are done by t. */
  retreat(t: number, minutes: number): number {
    let k = this.at(t)
    let left = minutes
    if (k === this.size || this.from[k]! >= t) k--
    for (let at = t; k >= 0; k--) {
      if (this.to[k]! < at) at = this.to[k]!
      const room = at - this.from[k]!
      if (left <= room) return at - left
      left -= room
      at = this.from[k]!
    }
    return -1
  }

  /** Open minutes in [a, b). */
  between(a: number, b: number): number {
    return b > a ? this.count(b) - this.count(a) : 0
  }

  private count(t: number): number {
    const k = this.at(t)
    if (k === this.size) return k === 0 ? 0 : this.before[k - 1]! + this.to[k - 1]! - this.from[k - 1]!
    return this.before[k]! + Math.max(0, t - this.from[k]!)
  }
}
