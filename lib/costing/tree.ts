import type { ConsumableId } from '@/lib/shop/consumables'
import type { StationKind } from '@/lib/shop/stations'
import { allocate, type Micro, type Minor, micro, microToMinor, sumMicro, sumMinor } from '@/lib/units/money'
import type { Working } from '@/lib/units/working'
import type { Term } from './terms'

/** The branches of a cost, in the order people read them. */
export const COST_GROUPS = [
  'blanks',
  'material',
  'set-up',
  'labour',
  'machine',
  'spoilage',
  'overhead',
  'outside',
  'freight',
] as const
export type CostGroup = (typeof COST_GROUPS)[number]
export const COST_GROUP_WORDS: Record<CostGroup, string> = {
  blanks: 'Blanks',
  material: 'Material',
  'set-up': 'Set-up',
  labour: 'Labour',
  machine: 'Machines',
  spoilage: 'Spoilage',
  overhead: 'Overhead',
  outside: 'Outside work',
  freight: 'Freight',
}
/** What kind of cost it is, whichever branch it stands in: month end compares these with what was really spent. */
export type CostKind = 'blank' | 'material' | 'labour' | 'machine' | 'overhead' | 'outside' | 'freight'

/** One cost that is not made of others. */
export type CostLeaf = {
  key: string
  group: CostGroup
  kind: CostKind
  name: string
  amount: Micro
  /** Its part of the total in whole minor units: the parts of all leaves add up to the total. */
  minor: Minor
  /** How much of what: pieces, base units of the consumable, or seconds. */
  quantity: number
  unit: 'piece' | 'second' | 'ul' | 'mg' | 'cm2' | 'mm' | 'order'
  consumable: ConsumableId | null
  stationKind: StationKind | null
  working: Working
}
export type CostBranch = {
  group: CostGroup
  name: string
  amount: Micro
  minor: Minor
  leaves: CostLeaf[]
}

/** The cost of an order. Branches and leaves add up to the total, in micro-units and in minor units. */
export type Cost = {
  pieces: number
  total: Minor
  amount: Micro
  /** total ÷ pieces, micro-units, rounded. */
  perPiece: Micro
  branches: CostBranch[]
  /** By line of the order; they add up to the total. */
  byLine: Minor[]
}

/** The tree of these terms: the total rounded to minor units once, and dealt out to leaves and lines by largest remainder. Terms that come to nothing are left out, but for those that stand all the same. */
export function growTree(terms: readonly Term[], pieces: number, lines: number, currency: string): Cost {
  const grown = terms
    .map(term => ({ term, amount: micro(Math.round(term.exact())) }))
    .filter(({ term, amount }) => amount !== 0 || term.stands)
  const amount = sumMicro(grown.map(g => g.amount))
  const total = microToMinor(amount, currency)
  const parts = grown.length
    ? allocate<Minor>(
        total,
        grown.map(g => g.amount),
      )
    : []
  const leaves = grown.map(
    ({ term: { exact: _, weights: __, stands: ___, quantity, why, ...leaf }, amount }, i): CostLeaf => ({
      ...leaf,
      amount,
      minor: parts[i] as Minor,
      quantity: quantity(),
      working: why(amount),
    }),
  )
  const branches = COST_GROUPS.flatMap(group => {
    const own = leaves.filter(l => l.group === group)
    if (own.length === 0) return []
    return [
      {
        group,
        name: COST_GROUP_WORDS[group],
        amount: sumMicro(own.map(l => l.amount)),
        minor: sumMinor(own.map(l => l.minor)),
        leaves: own,
      },
    ]
  })
  const weight = new Array<number>(lines).fill(0)
  for (const { term, amount } of grown) {
    const weights = term.weights()
    const all = weights.reduce((a, b) => a + b, 0)
    weights.forEach((w, i) => {
      if (all > 0) weight[i] = (weight[i] ?? 0) + (amount * w) / all
    })
  }
  return {
    pieces,
    total,
    amount,
    perPiece: micro(Math.round(amount / pieces)),
    branches,
    byLine: allocate<Minor>(total, weight),
  }
}
