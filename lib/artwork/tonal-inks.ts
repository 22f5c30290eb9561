import { labDistance, type Rgb } from './colour'
import { type Mixable, mixable, pairMix } from './mix'

type Leader = Mixable & { rgb: Rgb; weight: number }

/** Colours of the art closer than this (CIEDE2000) are weighed as one while inks are chosen. */
const AS_ONE = 4
const MOST_LEADERS = 48
/** An ink must better the mean square of CIEDE2000 by this much to be worth a screen. */
const WORTH_A_SCREEN = 0.4
const ROUNDS = 4

/**
 * Inks for art with tones, `most` at most: those whose dots, with one another and with the cloth, come nearest to
 * every colour of the art. Taken one by one by what they better most, then each is tried against all others.
 */
export function tonalInks(
  cells: Float64Array,
  faces: Uint32Array,
  garment: Rgb,
  most: number,
): { inks: Rgb[]; residual: number } {
  const leaders = leadersOf(cells, faces)
  const cloth = mixable(garment)
  const chosen: Leader[] = []
  let total = squareOf(leaders, missesOf(leaders, chosen, cloth))
  for (let round = 0, moved = true; round < ROUNDS && moved; round++) {
    moved = false
    while (chosen.length < most) {
      const next = bestAddition(leaders, chosen, cloth)
      if (!next || total - next.square < WORTH_A_SCREEN) break
      chosen.push(next.leader)
      total = next.square
      moved = true
    }
    for (let k = 0; k < chosen.length; k++) {
      const others = chosen.filter((_, i) => i !== k)
      const without = squareOf(leaders, missesOf(leaders, others, cloth))
      if (without - total < WORTH_A_SCREEN) {
        // Others have taken over what it was chosen for: its screen is free for another ink.
        chosen.splice(k--, 1)
        total = without
        moved = true
        continue
      }
      const swap = bestAddition(leaders, others, cloth)
      if (swap && swap.square < total - 1e-6) {
        chosen[k] = swap.leader
        total = swap.square
        moved = true
      }
    }
  }
  const misses = missesOf(leaders, chosen, cloth)
  const weight = leaders.reduce((n, l) => n + l.weight, 0)
  const residual = leaders.reduce((n, l, i) => n + l.weight * misses[i]!, 0) / (weight || 1)
  return { inks: chosen.map(c => c.rgb), residual }
}

/** The heaviest colours, each standing for what lies near it. */
function leadersOf(cells: Float64Array, faces: Uint32Array): Leader[] {
  const order = [...cells.keys()].filter(i => cells[i]! > 0).sort((p, q) => cells[q]! - cells[p]!)
  const leaders: Leader[] = []
  for (const i of order) {
    const word = faces[i]!
    const rgb: Rgb = [word & 255, (word >>> 8) & 255, (word >>> 16) & 255]
    const colour = mixable(rgb)
    let nearest: Leader | null = null
    let least = leaders.length < MOST_LEADERS ? AS_ONE : Number.POSITIVE_INFINITY
    for (const leader of leaders) {
      const d = roughly(colour, leader) > 40 ? Number.POSITIVE_INFINITY : labDistance(colour.lab, leader.lab)
      if (d < least) {
        least = d
        nearest = leader
      }
    }
    if (nearest) nearest.weight += cells[i]!
    else if (leaders.length < MOST_LEADERS) leaders.push({ ...colour, rgb, weight: cells[i]! })
  }
  return leaders
}

const roughly = (p: Mixable, q: Mixable): number => Math.abs(p.lab[0] - q.lab[0])

function missesOf(leaders: readonly Leader[], inks: readonly Mixable[], cloth: Mixable): Float64Array {
  const all = [...inks, cloth]
  return Float64Array.from(leaders, wanted => {
    let least = Number.POSITIVE_INFINITY
    all.forEach((p, i) => {
      least = Math.min(least, labDistance(wanted.lab, p.lab))
      for (let j = i + 1; j < all.length; j++)
        least = Math.min(least, pairMix(wanted, p, all[j]!, least).miss)
    })
    return least
  })
}

const squareOf = (leaders: readonly Leader[], misses: Float64Array): number => {
  let sum = 0
  let weight = 0
  leaders.forEach((leader, i) => {
    // Squared: a small spot in a colour of its own weighs more than a large tone that is nearly right.
    sum += leader.weight * misses[i]! ** 2
    weight += leader.weight
  })
  return weight === 0 ? 0 : sum / weight
}

function bestAddition(
  leaders: readonly Leader[],
  inks: readonly Mixable[],
  cloth: Mixable,
): { leader: Leader; square: number } | null {
  const base = missesOf(leaders, inks, cloth)
  let best: { leader: Leader; square: number } | null = null
  for (const leader of leaders) {
    const misses = base.map((miss, i) => {
      const wanted = leaders[i]!
      let least = Math.min(miss, labDistance(wanted.lab, leader.lab))
      for (const other of [...inks, cloth])
        if (least > 0.5) least = Math.min(least, pairMix(wanted, leader, other, least).miss)
      return least
    })
    const square = squareOf(leaders, misses)
    if (!best || square < best.square) best = { leader, square }
  }
  return best
}
