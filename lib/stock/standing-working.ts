import type { BaseUnit } from '@/lib/units/base-unit'
import type { Instant } from '@/lib/units/time'
import type { Working, WorkingInput } from '@/lib/units/working'
import { formatAmount, formatSigned } from './items'
import { MOVEMENT_KINDS, type MovementKind } from './movements'
import type { Kept, Standing } from './promises'

/** A line of the book, as far as what is on hand needs it. */
export type StandingLine = {
  kind: MovementKind
  quantity: number
  onHand: number
  at: Instant
  byName: string
}

/** What the four figures of a shelf are made of. Lines newest first. */
export type StandingFacts = {
  unit: BaseUnit
  standing: Standing
  lines: readonly StandingLine[]
  promises: readonly { orderNumber: number; quantity: number; allowance: number }[]
  coming: readonly { purchase: number; quantity: number; due: string | null }[]
  /** On purchases that nobody has sent. */
  written: readonly { purchase: number; quantity: number }[]
  /** Frames that carry a screen, by their numbers. */
  frames?: readonly { number: number; words: string }[]
  /** A day for people. */
  day: (at: Instant) => string
}

/** Rows of a working that are shown one by one; the rest is one sum. */
const SHOWN = 12

const KIND_SUMS: Record<MovementKind, string> = {
  received: 'received since',
  issued: 'issued to orders since',
  spoiled: 'spoiled since',
  counted: 'counts since',
  returned: 'returned since',
}

/** How what is on hand came about: the last count, or where the lines begin, and what moved since by kind. */
export function onHandWorking({ unit, standing, lines, day }: StandingFacts): Working {
  const at = lines.findIndex(l => l.kind === 'counted')
  const since = at < 0 ? lines : lines.slice(0, at)
  const count = at < 0 ? undefined : lines[at]
  const oldest = lines.at(-1)
  const begin = count?.onHand ?? (oldest ? oldest.onHand - oldest.quantity : 0)
  const first: WorkingInput = count
    ? {
        name: `after the count of ${day(count.at)}`,
        value: formatAmount(begin, unit),
        from: 'measured',
        source: count.byName,
      }
    : {
        name: oldest ? `in the book before ${day(oldest.at)}` : 'in the book',
        value: formatAmount(begin, unit),
        from: 'measured',
        source: 'stock book',
      }
  const sums = MOVEMENT_KINDS.flatMap((kind): WorkingInput[] => {
    const own = since.filter(l => l.kind === kind)
    const sum = own.reduce((n, l) => n + l.quantity, 0)
    return own.length === 0
      ? []
      : [
          {
            name: KIND_SUMS[kind],
            value: formatSigned(sum, unit),
            from: 'measured',
            source: `stock book, ${own.length} ${own.length === 1 ? 'line' : 'lines'}`,
          },
        ]
  })
  return {
    formula: 'last count + every movement since',
    inputs: [first, ...sums],
    result: formatAmount(standing.onHand, unit),
    note: 'The book is only ever added to: what stands here is the sum of its lines.',
  }
}

function listed(
  rows: readonly WorkingInput[],
  amounts: readonly number[],
  unit: BaseUnit,
  others: string,
): WorkingInput[] {
  if (rows.length <= SHOWN) return [...rows]
  const rest = amounts.slice(SHOWN).reduce((n, q) => n + q, 0)
  return [
    ...rows.slice(0, SHOWN),
    { name: `${rows.length - SHOWN} more ${others}`, value: formatAmount(rest, unit), from: 'measured' },
  ]
}

/** "4 pieces + 1 piece that may spoil": what is kept for an order. */
export const keptWords = ({ quantity, allowance }: Kept, show: (n: number) => string): string =>
  allowance > 0 ? `${show(quantity - allowance)} + ${show(allowance)} that may spoil` : show(quantity)

/** How what is promised came about: order by order. */
export const promisedWorking = ({ unit, standing, promises }: StandingFacts): Working => ({
  formula: 'what agreed orders still need of it',
  inputs: listed(
    promises.map(p => ({
      name: `order ${p.orderNumber}`,
      value: formatAmount(p.quantity, unit),
      from: 'agreed',
      ...(p.allowance > 0
        ? {
            source: keptWords(p, n => formatAmount(n, unit)),
          }
        : {}),
    })),
    promises.map(p => p.quantity),
    unit,
    'orders',
  ),
  result: formatAmount(standing.promised, unit),
  note: 'Falls as the floor draws it from the shelf. What was kept for spoiled pieces and not needed is free again when the order is ready.',
})

/** How many frames carry a screen: frame by frame. */
const carryingWorking = ({ unit, standing, frames = [] }: StandingFacts): Working => ({
  formula: 'frames that carry a screen now',
  inputs: listed(
    frames.map(f => ({
      name: `frame ${f.number}`,
      value: '1',
      from: 'measured',
      source: f.words,
    })),
    frames.map(() => 1),
    unit,
    'frames',
  ),
  result: formatAmount(standing.carrying, unit),
})

/** How what is free came about. */
export const freeWorking = (facts: StandingFacts): Working => ({
  formula: facts.standing.carrying > 0 ? 'on hand − promised − carrying a screen' : 'on hand − promised',
  inputs: [
    {
      name: 'on hand',
      value: formatAmount(facts.standing.onHand, facts.unit),
      from: 'worked',
      working: onHandWorking(facts),
    },
    {
      name: 'promised',
      value: formatAmount(facts.standing.promised, facts.unit),
      from: 'worked',
      working: promisedWorking(facts),
    },
    ...(facts.standing.carrying > 0
      ? [
          {
            name: 'carrying a screen',
            value: formatAmount(facts.standing.carrying, facts.unit),
            from: 'worked' as const,
            working: carryingWorking(facts),
          },
        ]
      : []),
  ],
  result: formatAmount(facts.standing.free, facts.unit),
})

/** How what is on the way came about: purchase by purchase. */
export const onTheWayWorking = ({ unit, standing, coming }: StandingFacts): Working => ({
  formula: 'ordered from suppliers − received − what will not come',
  inputs: listed(
    coming.map(c => ({
      name: `purchase ${c.purchase}`,
      value: formatAmount(c.quantity, unit),
      from: 'agreed',
      source: c.due === null ? 'nobody said when' : `due ${c.due}`,
    })),
    coming.map(c => c.quantity),
    unit,
    'purchases',
  ),
  result: formatAmount(standing.onTheWay, unit),
})

/** How what is written and not sent came about: purchase by purchase. */
export const writtenWorking = ({ unit, standing, written }: StandingFacts): Working => ({
  formula: 'what stands on purchases that nobody has sent',
  inputs: listed(
    written.map(c => ({
      name: `purchase ${c.purchase}`,
      value: formatAmount(c.quantity, unit),
      from: 'agreed',
    })),
    written.map(c => c.quantity),
    unit,
    'purchases',
  ),
  result: formatAmount(standing.written, unit),
  note: 'It is not proposed to be bought again, and nothing is planned on it: say on the purchase that it went out.',
})

/** How long a roll is that has so much area. @param length mm */
export const rollWorking = (area: number, widthMm: number, length: number): Working => ({
  formula: 'area ÷ width of the roll',
  inputs: [
    { name: 'on hand', value: formatAmount(area, 'cm2'), from: 'measured', source: 'stock book' },
    { name: 'width of the roll', value: `${widthMm} mm`, from: 'setting', source: 'the item' },
  ],
  result: formatAmount(length, 'mm'),
})
