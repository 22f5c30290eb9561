import type { Cost } from '@/lib/costing/tree'
import { formatMicro, formatMoney } from '@/lib/units/money'
import type { Working } from '@/lib/units/working'

/** The cost tree as a working: branches, in them their leaves, in them how each came about. */
export function costWorking(cost: Cost, currency: string): Working {
  const micro = (amount: Cost['amount']) => formatMicro(amount, currency)
  return {
    formula: cost.branches.map(b => b.name.toLowerCase()).join(' + '),
    inputs: cost.branches.map(branch => ({
      name: branch.name,
      value: formatMoney(branch.minor, currency),
      from: 'worked',
      working: {
        formula: 'sum of',
        inputs: branch.leaves.map(leaf => ({
          name: leaf.name,
          value: micro(leaf.amount),
          from: 'worked',
          working: leaf.working,
        })),
        result: micro(branch.amount),
      },
    })),
    result: formatMoney(cost.total, currency),
    note: `${micro(cost.perPiece)} for each of ${cost.pieces} pieces. Parts are rounded to the cent so that they add up to the whole.`,
  }
}
