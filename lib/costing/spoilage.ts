// The vectors hold a case where P is exactly the confidence: a floating-point sum must not land just under it.
const SLACK = 1e-12

/**
 * Least number of blanks to start so that P(at least `good` good ones) ≥ confidence, pieces independent, each spoiled with
 * probability `rate`. Exact binomial: the spoiled ones before the last good one follow the negative binomial distribution.
 * @param good pieces needed, whole, 0 or more
 * @param rate 0 ≤ rate < 1
 * @param confidence 0 ≤ confidence < 1
 * @throws RangeError outside these ranges
 */
export function leastStart(good: number, rate: number, confidence: number): number {
  if (!Number.isSafeInteger(good) || good < 0) throw new RangeError(`${good} is not a number of pieces.`)
  if (!(rate >= 0 && rate < 1)) throw new RangeError(`${rate} is not a spoilage rate from 0 to below 1.`)
  if (!(confidence >= 0 && confidence < 1))
    throw new RangeError(`${confidence} is not a confidence from 0 to below 1.`)
  if (good === 0 || rate === 0) return good
  // P(exactly i spoiled before the good-th good one) = C(good − 1 + i, i) · rate^i · (1 − rate)^good, in logarithms: the first
  // terms of a big order are below the smallest float.
  let log = good * Math.log1p(-rate)
  const logRate = Math.log(rate)
  let sum = Math.exp(log)
  let extra = 0
  while (sum < confidence - SLACK) {
    log += logRate + Math.log((good + extra) / (extra + 1))
    extra++
    sum += Math.exp(log)
  }
  return good + extra
}

/** P(at least `good` good ones out of `start`), pieces independent, each spoiled with probability `rate`. */
export function enoughGood(good: number, start: number, rate: number): number {
  if (start < good) return 0
  if (good === 0 || rate === 0) return 1
  let log = good * Math.log1p(-rate)
  let sum = Math.exp(log)
  for (let i = 0; i < start - good; i++) {
    log += Math.log(rate) + Math.log((good + i) / (i + 1))
    sum += Math.exp(log)
  }
  return Math.min(1, sum)
}

/** Pieces that spoil on average while `good` good ones are made: good × rate ÷ (1 − rate). */
export const expectedSpoiled = (good: number, rate: number): number => (good * rate) / (1 - rate)

/** Spoilage of a piece that goes through several prints: 1 − Π(1 − rate). */
export const spoilageThrough = (rates: readonly number[]): number =>
  1 - rates.reduce((yieldSoFar, rate) => yieldSoFar * (1 - rate), 1)

/**
 * A spoilage rate moved from the default toward what the floor has counted: the default weighs like `weight` pieces.
 * (default × weight + spoiled) ÷ (weight + pieces).
 */
export const learnedRate = (rate: number, spoiled: number, pieces: number, weight = 100): number =>
  (rate * weight + spoiled) / (weight + pieces)
