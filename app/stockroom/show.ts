import { formatAmount } from '@/lib/stock/items'
import type { ItemLine } from '@/lib/stock/views/store'
import { formatMoney, type Micro, microToMinor } from '@/lib/units/money'

/** Micro-units as money to the cent. */
export const money = (amount: Micro, currency: string): string =>
  formatMoney(microToMinor(amount, currency), currency).replace('-', '−')

/** An amount of an item. */
export const amountOf = (item: Pick<ItemLine, 'unit'>, n: number): string => formatAmount(n, item.unit)

/** The page of an item. */
export const itemHref = (sku: string): string => `/stockroom/items/${encodeURIComponent(sku)}`
