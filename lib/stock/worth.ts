import type { BaseUnit } from '@/lib/units/base-unit'
import { formatMoney, type Micro, micro, microToMinor, sumMicro } from '@/lib/units/money'
import type { Working } from '@/lib/units/working'
import { formatAmount, ITEM_KINDS, type ItemKind, KIND_WORDS } from './items'
import type { Layer } from './valuation'

/** What the shelves of one kind are worth. */
export type KindWorth = { kind: ItemKind; items: number; worth: Micro }

/** Worth by kind, the largest first; kinds with nothing are left out. */
export function worthByKind(items: readonly { kind: ItemKind; level: { worth: Micro } }[]): KindWorth[] {
  return ITEM_KINDS.map(kind => {
    const own = items.filter(i => i.kind === kind && i.level.worth !== 0)
    return { kind, items: own.length, worth: sumMicro(own.map(i => i.level.worth)) }
  })
    .filter(k => k.items > 0)
    .sort((a, b) => b.worth - a.worth)
}

const money = (amount: Micro, currency: string) => formatMoney(microToMinor(amount, currency), currency)

/** How the value on the shelf came about. @param valuation in words */
export function worthWorking(kinds: readonly KindWorth[], currency: string, valuation: string): Working {
  return {
    formula: 'sum of every movement’s value in the stock book',
    inputs: kinds.map(k => ({
      name: `${KIND_WORDS[k.kind]}, ${k.items} ${k.items === 1 ? 'item' : 'items'}`,
      value: money(k.worth, currency),
      from: 'measured',
      source: 'stock book',
    })),
    result: money(sumMicro(kinds.map(k => k.worth)), currency),
    note: `Valued ${valuation}; IAS 2 allows it for goods that are interchangeable.`,
  }
}

/** How the worth of one shelf came about: its layers, or the average of what is there. */
export function shelfWorking(
  shelf: { onHand: number; worth: Micro },
  layers: readonly { left: number; whole: Layer; worth: Micro }[],
  { unit, currency, valuation }: { unit: BaseUnit; currency: string; valuation: 'fifo' | 'average' },
): Working {
  const result = money(shelf.worth, currency)
  if (valuation === 'average' || layers.length === 0)
    return {
      formula: 'value that came in − value that went out, every unit at the average of its day',
      inputs: [
        { name: 'on hand', value: formatAmount(shelf.onHand, unit), from: 'measured', source: 'stock book' },
        { name: 'value of all movements', value: result, from: 'measured', source: 'stock book' },
      ],
      result,
      note: 'Moving average. Values are kept to a millionth and shown to the cent.',
    }
  return {
    formula: 'what is left of each receipt × what it cost, the oldest used first',
    inputs: layers.map((l, i) => ({
      name: `receipt ${i + 1}: ${formatAmount(l.left, unit)} left of ${formatAmount(l.whole.quantity, unit)}`,
      value: money(l.worth, currency),
      from: 'measured',
      source: `came in for ${money(micro(l.whole.value), currency)}`,
    })),
    result,
    note: 'First in, first out. Values are kept to a millionth and shown to the cent.',
  }
}
