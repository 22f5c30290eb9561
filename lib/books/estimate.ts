import { z } from 'zod'
import { type Micro, type Minor, micro, minorToMicro } from '@/lib/units/money'
import type { CostKind } from './margin'
import { type Variance, varianceOf } from './variance'

/** So much of something that an order was planned to use, or really used. Cost in micro-units. */
export type Used = {
  key: string
  kind: CostKind
  name: string
  quantity: number
  /** Base unit of the quantity; null where only the money counts. */
  unit: 'piece' | 'second' | 'ul' | 'mg' | 'cm2' | 'mm' | null
  cost: Micro
}

const leafSchema = z.object({
  group: z.string(),
  kind: z.enum(['blank', 'material', 'labour', 'machine', 'overhead', 'outside', 'freight']),
  name: z.string(),
  amount: z.int(),
  quantity: z.number().min(0),
  unit: z.string(),
  consumable: z.string().nullable(),
  stationKind: z.string().nullable(),
})
type Leaf = z.infer<typeof leafSchema>

/** The cost tree of lib/costing as an agreed order keeps it, as far as month end reads it. */
const costSchema = z.object({ branches: z.array(z.object({ leaves: z.array(leafSchema) })) })

/** Where an agreed order keeps its cost. */
const workSchema = z.union([
  z.object({ cost: costSchema }).transform(w => w.cost),
  z.object({ estimate: costSchema }).transform(w => w.estimate),
  z.object({ estimate: z.object({ cost: costSchema }) }).transform(w => w.estimate.cost),
  costSchema,
])

/** The estimate of an agreed order as lines to compare with; null where it kept none that can be read. */
export function plannedOf(work: unknown): Used[] | null {
  const read = workSchema.safeParse(work)
  if (!read.success) return null
  const leaves = read.data.branches.flatMap(b => b.leaves)
  return mergeUsed(leaves.map(plannedLine))
}

/**
 * What a leaf is compared with. Overhead stands in the labour money of the work logs, so it is labour; its seconds are
 * those of the labour leaves and are not counted twice. Labour and machines of the pieces set aside for spoilage are an
 * allowance: what remakes really took stands with labour and machine.
 */
function plannedLine(leaf: Leaf): Used {
  const cost = micro(leaf.amount)
  const spoiled = leaf.group === 'spoilage'
  switch (leaf.kind) {
    case 'blank':
      return spoiled
        ? {
            key: 'spoilage',
            kind: 'spoilage',
            name: 'Spoiled pieces',
            quantity: leaf.quantity,
            unit: 'piece',
            cost,
          }
        : { key: 'blanks', kind: 'blanks', name: 'Blanks', quantity: leaf.quantity, unit: 'piece', cost }
    case 'material':
      return spoiled
        ? { key: 'spoilage', kind: 'spoilage', name: 'Spoiled pieces', quantity: 0, unit: 'piece', cost }
        : {
            key: `consumable ${leaf.consumable ?? leaf.name}`,
            kind: 'consumables',
            name: leaf.name,
            quantity: leaf.quantity,
            unit: leaf.unit as Used['unit'],
            cost,
          }
    case 'labour':
      return spoiled
        ? {
            key: 'labour allowance',
            kind: 'labour',
            name: 'Labour of extra pieces',
            quantity: 0,
            unit: null,
            cost,
          }
        : { key: 'labour', kind: 'labour', name: 'Labour', quantity: leaf.quantity, unit: 'second', cost }
    case 'overhead':
      return { key: 'labour', kind: 'labour', name: 'Labour', quantity: 0, unit: 'second', cost }
    case 'machine':
      return spoiled
        ? {
            key: 'machine allowance',
            kind: 'machine',
            name: 'Machines for extra pieces',
            quantity: 0,
            unit: null,
            cost,
          }
        : {
            key: `machine ${leaf.stationKind ?? ''}`,
            kind: 'machine',
            name: leaf.name.split(':')[0] ?? leaf.name,
            quantity: leaf.quantity,
            unit: 'second',
            cost,
          }
    case 'outside':
      return { key: 'outside', kind: 'outside', name: 'Outside work', quantity: 0, unit: null, cost }
    case 'freight':
      return { key: 'freight', kind: 'freight', name: 'Freight', quantity: 0, unit: null, cost }
  }
}

/** Material of an order from the stock book, by item and what it was for. */
export type UsedMaterial = {
  name: string
  unit: string
  kind: 'blanks' | 'consumables' | 'spoilage'
  consumable: string | null
  quantity: number
  value: Micro
}
/** Time on an order from the work logs. */
export type UsedTime = {
  station: string | null
  stationKind: string | null
  labourSeconds: number
  machineSeconds: number
  labour: Minor
  machine: Minor
}

/** What an order really took, in the lines of its estimate. */
export function realOf(
  material: readonly UsedMaterial[],
  work: readonly UsedTime[],
  outside: readonly { kind: 'outside' | 'freight'; amount: Minor }[],
  currency: string,
): Used[] {
  const used: Used[] = material.map(m =>
    m.kind === 'spoilage'
      ? {
          key: 'spoilage',
          kind: 'spoilage',
          name: 'Spoiled pieces',
          quantity: m.unit === 'piece' && m.consumable === null ? m.quantity : 0,
          unit: 'piece',
          cost: m.value,
        }
      : m.kind === 'blanks'
        ? {
            key: 'blanks',
            kind: 'blanks',
            name: 'Blanks',
            quantity: m.quantity,
            unit: 'piece',
            cost: m.value,
          }
        : {
            key: `consumable ${m.consumable ?? m.name}`,
            kind: 'consumables',
            name: m.name,
            quantity: m.quantity,
            unit: m.unit as Used['unit'],
            cost: m.value,
          },
  )
  for (const w of work) {
    if (w.labourSeconds || w.labour)
      used.push({
        key: 'labour',
        kind: 'labour',
        name: 'Labour',
        quantity: w.labourSeconds,
        unit: 'second',
        cost: minorToMicro(w.labour, currency),
      })
    if (w.machine)
      used.push({
        key: `machine ${w.stationKind ?? ''}`,
        kind: 'machine',
        name: w.station ?? 'Machine',
        quantity: w.machineSeconds,
        unit: 'second',
        cost: minorToMicro(w.machine, currency),
      })
  }
  for (const x of outside)
    used.push({
      key: x.kind,
      kind: x.kind,
      name: x.kind === 'freight' ? 'Freight' : 'Outside work',
      quantity: 0,
      unit: null,
      cost: minorToMicro(x.amount, currency),
    })
  return used
}

/** Adds up what has one key; the first gives its name. */
export function mergeUsed(list: readonly Used[]): Used[] {
  const merged = new Map<string, Used>()
  for (const used of list) {
    const same = merged.get(used.key)
    merged.set(
      used.key,
      same
        ? { ...same, quantity: same.quantity + used.quantity, cost: micro(same.cost + used.cost) }
        : { ...used },
    )
  }
  return [...merged.values()]
}

/** Planned beside real, with what lies between. */
export type Compared = {
  key: string
  kind: CostKind
  name: string
  unit: Used['unit']
  planned: { quantity: number; cost: Micro }
  real: { quantity: number; cost: Micro }
  /** Micro-units; positive: it cost more than planned. */
  variance: Variance
}

const nothing = { quantity: 0, cost: micro(0) }

/** Every line that was planned or really used, with its variance. Where only the money counts all of it is price. */
export function compare(planned: readonly Used[], real: readonly Used[]): Compared[] {
  const reals = new Map(mergeUsed(real).map(r => [r.key, r]))
  const lines = mergeUsed(planned).map(p => compared(p, reals.get(p.key)))
  const known = new Set(lines.map(l => l.key))
  return [...lines, ...[...reals.values()].filter(r => !known.has(r.key)).map(r => compared(undefined, r))]
}

function compared(planned: Used | undefined, real: Used | undefined): Compared {
  const one = (planned ?? real) as Used
  const p = planned ? { quantity: planned.quantity, cost: planned.cost } : nothing
  const r = real ? { quantity: real.quantity, cost: real.cost } : nothing
  const total = r.cost - p.cost
  const moneyOnly = one.unit === null && planned !== undefined && real !== undefined
  return {
    key: one.key,
    kind: one.kind,
    name: one.name,
    unit: one.unit,
    planned: p,
    real: r,
    variance: moneyOnly
      ? { price: total, usage: 0, time: 0, total }
      : varianceOf(p, r, one.kind === 'labour' || one.kind === 'machine'),
  }
}
