import type { BaseUnit } from '@/lib/units/base-unit'
import { formatMoney, type Micro, microToMinor } from '@/lib/units/money'
import { formatAmount } from './items'

/** What two people may change of an item at the same time. */
export type Changeable = {
  name: string
  supplier: string
  reorderPoint: number
  reorderTo: number
  leadDays: number
  price: Micro
  retired: boolean
}

/** What was saved meanwhile and differs from what was typed, in words: "price €4.00, supplier Mill". Empty: nothing. */
export function itemDifference(
  saved: Changeable,
  typed: Changeable,
  unit: BaseUnit,
  currency: string,
): string {
  const words: [keyof Changeable, string][] = [
    ['name', `name ${saved.name}`],
    ['supplier', `supplier ${saved.supplier || 'none'}`],
    ['price', `price ${formatMoney(microToMinor(saved.price, currency), currency)}`],
    ['reorderPoint', `reorder at ${formatAmount(saved.reorderPoint, unit)}`],
    ['reorderTo', `order up to ${formatAmount(saved.reorderTo, unit)}`],
    ['leadDays', `lead time ${saved.leadDays} days`],
    ['retired', saved.retired ? 'no longer bought' : 'bought again'],
  ]
  return words
    .filter(([key]) => saved[key] !== typed[key])
    .map(([, text]) => text)
    .join(', ')
}
