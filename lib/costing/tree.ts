import type { ConsumableId } from '@/lib/shop/consumables'
import type { StationKind } from '@/lib/shop/stations'
import { allocate, type Micro, type Minor, micro, microToMinor, minor } from '@/lib/units/money'
import type { Working } from '@/lib/units/working'

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

/** A leaf before its parts are dealt out and its working is written. */
export type Draft = Omit<CostLeaf, 'minor' | 'working'> & {
  /** How it falls to the lines. */
  weights: readonly number[]
  why: () => Working
}

/** Micro-units of all drafts. */
export function totalOf(drafts: readonly Draft[]): Micro {
  let sum = 0
  for (const d of drafts) sum += d.amount
  return micro(sum)
}

/** The tree of these leaves: the total rounded to minor units once, and dealt out to leaves and lines by largest remainder. */
export function growTree(drafts: readonly Draft[], pieces: number, lines: number, currency: string): Cost {
  const amount = totalOf(drafts)
  const total = microToMinor(amount, currency)
  const parts = drafts.length
    ? allocate<Minor>(
        total,
        drafts.map(d => d.amount),
      )
    : []
  const leaves: CostLeaf[] = drafts.map(({ weights: _, why, ...leaf }, i) => ({
    ...leaf,
    minor: parts[i] as Minor,
    working: why(),
  }))
  const branches = COST_GROUPS.flatMap(group => {
    const own = leaves.filter(l => l.group === group)
    if (own.length === 0) return []
    return [
      {
        group,
        name: COST_GROUP_WORDS[group],
        amount: micro(own.reduce((sum, l) => sum + l.amount, 0)),
        minor: minor(own.reduce((sum, l) => sum + l.minor, 0)),
        leaves: own,
      },
    ]
  })
  const weight = new Array<number>(lines).fill(0)
  for (const d of drafts) {
    const all = d.weights.reduce((a, b) => a + b, 0)
    if (all > 0)
      d.weights.forEach((w, i) => {
        weight[i] = (weight[i] ?? 0) + (d.amount * w) / all
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
