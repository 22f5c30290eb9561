import { formatMoney, type Minor } from '@/lib/units/money'

/** Money with a minus sign that is as wide as a digit. */
export const money = (amount: Minor, currency: string): string =>
  formatMoney(amount, currency).replace('-', '−')

/** A share as people read it: 35.2%. */
export const percent = (share: number): string =>
  `${(Math.round(share * 1000) / 10).toFixed(1)}%`.replace('-', '−')

/** A size of files or memory as people read it: 3.4 MB, 120 MB, 1.2 GB. */
export const bytes = (n: number): string =>
  n >= 1e9 ? `${(n / 1e9).toFixed(1)} GB` : `${(n / 1e6).toFixed(n < 1e7 ? 1 : 0)} MB`
