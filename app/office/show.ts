import { formatMoney, type Minor } from '@/lib/units/money'

/** Money with a minus sign that is as wide as a digit. */
export const money = (amount: Minor, currency: string): string =>
  formatMoney(amount, currency).replace('-', '−')

/** A share as people read it: 35.2%. */
export const percent = (share: number): string =>
  `${(Math.round(share * 1000) / 10).toFixed(1)}%`.replace('-', '−')
