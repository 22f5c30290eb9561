import { formatMoney, type Micro, type Minor, microToMinor } from '@/lib/units/money'
import type { Working, WorkingInput } from '@/lib/units/working'
import { COST_SOURCE, COST_WORDS, COSTS, type CostKind, type Margin } from './margin'
import type { Group } from './month'

const show = (amount: Minor, currency: string) => formatMoney(amount, currency)

/** Seconds as hours for people: "2.5 h". */
export const hours = (seconds: number): string =>
  `${(Math.round(seconds / 36) / 100).toLocaleString('en', { maximumFractionDigits: 2 })} h`

/** How a margin came about: revenue less each cost, with the book that each stands in. */
export function marginWorking(
  m: Margin,
  currency: string,
  revenueFrom = 'the agreed offer, before tax',
): Working {
  return {
    formula: `revenue − ${COSTS.map(c => COST_WORDS[c].toLowerCase()).join(' − ')}`,
    inputs: [
      { name: 'Revenue', value: show(m.revenue, currency), from: 'agreed', source: revenueFrom },
      ...COSTS.filter(c => m.costs[c] !== 0).map(
        (c): WorkingInput => ({
          name: COST_WORDS[c],
          value: show(m.costs[c], currency),
          from: 'measured',
          source: COST_SOURCE[c],
          ...timeWorking(c, m, currency),
        }),
      ),
    ],
    result: show(m.margin, currency),
    note: 'Costs that are nothing are left out. Material is rounded once for each order, so that every row adds up.',
  }
}

/** Labour and machine money with the time it stands for. */
function timeWorking(cost: CostKind, m: Margin, currency: string): { working: Working } | object {
  const seconds = cost === 'labour' ? m.labourSeconds : cost === 'machine' ? m.machineSeconds : 0
  if (seconds === 0) return {}
  return {
    working: {
      formula: 'sum of time × rate of that day, log by log',
      inputs: [
        { name: 'Time', value: hours(seconds), from: 'measured', source: 'work logs' },
        {
          name: 'Mean rate',
          value: `${show(Math.round((m.costs[cost] * 3600) / seconds) as Minor, currency)} an hour`,
          from: 'measured',
          source: 'money ÷ time',
        },
      ],
      result: show(m.costs[cost], currency),
    } satisfies Working,
  }
}

/**
 * How one column of the month came about: a sum over orders, by method, and what was booked late.
 * @param pick the column
 */
export function columnWorking(
  groups: readonly Group[],
  late: Minor,
  pick: (m: Margin) => Minor,
  total: Minor,
  currency: string,
  kind?: CostKind,
): Working {
  return {
    formula: late === 0 ? 'sum over the month’s orders' : 'sum over the month’s orders + late entries',
    inputs: [
      ...groups.map(
        (g): WorkingInput => ({
          name: `${g.name}, ${g.orders} ${g.orders === 1 ? 'order' : 'orders'}`,
          value: show(pick(g), currency),
          from: kind ? 'measured' : 'agreed',
        }),
      ),
      ...(late === 0
        ? []
        : [
            {
              name: 'Late entries',
              value: show(late, currency),
              from: 'measured' as const,
              source: 'of closed months',
            },
          ]),
    ],
    result: show(total, currency),
    note: `${kind ? `From the ${COST_SOURCE[kind]}. ` : ''}Each order’s part is its row in the table.`,
  }
}

/** How the money of material lines came about: quantity by quantity from the stock book. */
export function materialWorking(
  lines: readonly { name: string; shown: string; value: Micro }[],
  total: Minor,
  currency: string,
): Working {
  return {
    formula: 'sum of the stock book’s movements on this order',
    inputs: lines.map(l => ({
      name: l.name,
      value: `${l.shown}, ${show(microToMinor(l.value, currency), currency)}`,
      from: 'measured',
      source: 'stock book',
    })),
    result: show(total, currency),
    note: 'Each movement took the value that its goods had on the shelf. Rounded once for the order.',
  }
}

/** How the money of time came about: log by log. */
export function logsWorking(
  logs: readonly { step: string; who: string; seconds: number; amount: Minor }[],
  total: Minor,
  currency: string,
): Working {
  return {
    formula: 'sum of time × rate of that day',
    inputs: logs.map(l => ({
      name: `${l.step}, ${l.who}`,
      value: `${hours(l.seconds)}, ${show(l.amount, currency)}`,
      from: 'measured',
      source: 'work log',
    })),
    result: show(total, currency),
    note: 'A change of rates counts from its day and never rewrites the past.',
  }
}
