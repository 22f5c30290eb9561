import { readFileSync } from 'node:fs'
import fc from 'fast-check'
import jstat from 'jstat'
import { describe, expect, it } from 'vitest'
import { enoughGood, expectedSpoiled, learnedRate, leastStart, spoilageThrough } from '@/lib/costing/spoilage'

const vectors = JSON.parse(
  readFileSync(new URL('../vectors/binomial-spoilage.json', import.meta.url), 'utf8'),
) as {
  published_check: {
    rows: { good_needed: number; yield_per_piece: number; confidence: number[]; blanks_to_start: number[] }[]
  }
  garment_table: {
    rows: { spoilage: number; good_needed: number; c90: number[]; c95: number[]; c99: number[] }[]
  }
}

describe('least blanks to start', () => {
  // Boost Math Toolkit, example "neg_binomial_sample_sizes" (Bristow, Maddock), printed output.
  const published = vectors.published_check.rows.flatMap(row =>
    row.confidence.map(
      (c, i) => [row.good_needed, row.yield_per_piece, c, row.blanks_to_start[i] as number] as const,
    ),
  )
  it('the published table has 56 entries', () => expect(published).toHaveLength(56))
  it.each(published)('%i good at yield %f, sure to %f: %i', (good, yielded, confidence, start) =>
    expect(leastStart(good, 1 - yielded, confidence)).toBe(start),
  )

  // Computed with exact fractions, checked against SciPy 1.17 binom and nbinom.
  it('agrees with every row of the garment table, probability included', () => {
    for (const row of vectors.garment_table.rows)
      for (const [confidence, expected] of [
        [0.9, row.c90],
        [0.95, row.c95],
        [0.99, row.c99],
      ] as const) {
        const start = leastStart(row.good_needed, row.spoilage, confidence)
        expect([start, start - row.good_needed], JSON.stringify(row)).toEqual(expected.slice(0, 2))
        expect(enoughGood(row.good_needed, start, row.spoilage)).toBeCloseTo(expected[2] as number, 6)
      }
  })
  // Second opinion: the npm package jstat.
  it('a statistics library agrees on the probability', () => {
    for (const [good, start, rate] of [
      [24, 26, 0.03],
      [4, 5, 0.02],
      [100, 106, 0.03],
      [8, 8, 0.05],
    ] as const)
      expect(enoughGood(good, start, rate)).toBeCloseTo(
        jstat.binomial.cdf(start - good, start, rate) as number,
        9,
      )
  })
  it('is the least: one blank fewer is not sure enough', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 400 }),
        fc.double({ min: 0.001, max: 0.4, noNaN: true }),
        fc.double({ min: 0.5, max: 0.999, noNaN: true }),
        (good, rate, confidence) => {
          const start = leastStart(good, rate, confidence)
          expect(enoughGood(good, start, rate)).toBeGreaterThanOrEqual(confidence - 1e-9)
          if (start > good) expect(enoughGood(good, start - 1, rate)).toBeLessThan(confidence)
        },
      ),
      { numRuns: 60 },
    )
  })
  it('never falls with more pieces, and holds for 100,000', () => {
    let before = 0
    for (let good = 0; good <= 600; good++) {
      const start = leastStart(good, 0.02, 0.95)
      expect(start).toBeGreaterThanOrEqual(before)
      before = start
    }
    const many = leastStart(100_000, 0.02, 0.95)
    // Mean 2,040.8 extra, standard deviation 45.6: 95 % lies 1.645 deviations on.
    expect(many).toBeGreaterThan(102_041)
    expect(many).toBeLessThan(102_041 + 45.6 * 1.8)
  })
  it('no spoilage, no extra; no pieces, no blanks', () => {
    expect(leastStart(24, 0, 0.99)).toBe(24)
    expect(leastStart(0, 0.1, 0.99)).toBe(0)
  })
  it.each([
    [-1, 0.1, 0.9],
    [1.5, 0.1, 0.9],
    [1, 1, 0.9],
    [1, -0.1, 0.9],
    [1, 0.1, 1],
    [1, Number.NaN, 0.9],
  ])('refuses %f pieces at %f with %f', (good, rate, confidence) =>
    expect(() => leastStart(good, rate, confidence)).toThrow(RangeError),
  )
})

describe('rates of spoilage', () => {
  it('a piece printed twice spoils in either', () =>
    expect(spoilageThrough([0.02, 0.03])).toBeCloseTo(0.0494, 9))
  it('98 good ones at 2 % lose 2 on average', () => expect(expectedSpoiled(98, 0.02)).toBeCloseTo(2, 9))
  it('moves from the default toward what was counted', () => {
    expect(learnedRate(0.02, 0, 0)).toBe(0.02)
    expect(learnedRate(0.02, 10, 100)).toBeCloseTo(0.06, 9)
    expect(learnedRate(0.02, 1000, 10_000)).toBeCloseTo(0.1, 2)
  })
})
