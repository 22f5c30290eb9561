import type { BaseUnit } from '@/lib/units/base-unit'
import type { Working } from '@/lib/units/working'
import { formatAmount } from './items'

/** Standard normal quantiles by the share of lead times that stock shall last, in per mille. Any table of the normal distribution. */
const QUANTILES: Record<number, number> = {
  500: 0,
  800: 0.841621,
  850: 1.036433,
  900: 1.281552,
  950: 1.644854,
  975: 1.959964,
  980: 2.053749,
  990: 2.326348,
  995: 2.575829,
  999: 3.090232,
}

/** Days of the stock book that an item's use is read from, and the share of lead times that its reorder point shall last. */
export const USE_DAYS = 90
export const SERVICE = 0.95

/** The service levels that a shop can choose, as shares. */
export const SERVICE_LEVELS = Object.keys(QUANTILES).map(k => Number(k) / 1_000)

/** z for a service level: how many standard deviations of safety. @throws RangeError for a level that is not offered. */
export function quantile(service: number): number {
  const z = QUANTILES[Math.round(service * 1_000)]
  if (z === undefined)
    throw new RangeError(`${service} is not a service level: use ${SERVICE_LEVELS.join(', ')}.`)
  return z
}

/** How an item is used: base units per day (mean and standard deviation of the days), days from order to shelf. */
export type Use = { perDay: number; deviation: number; leadDays: number }

/**
 * Reorder point in base units, not rounded: use per day × lead days + z × deviation per day × √lead days.
 * The textbook formula for a fixed lead time (Chase and Jacobs, Operations and Supply Chain Management, inventory chapter).
 */
export const reorderPoint = (use: Use, service: number): number =>
  use.perDay * use.leadDays + safetyStock(use, service)

/** The part of the reorder point that covers days busier than the mean. */
export const safetyStock = (use: Use, service: number): number =>
  quantile(service) * use.deviation * Math.sqrt(use.leadDays)

/** Mean and sample standard deviation of what was used each day. Days without use count as 0. Empty: 0 and 0. */
export function useFrom(days: readonly number[], leadDays: number): Use {
  const n = days.length
  const perDay = n ? days.reduce((a, b) => a + b, 0) / n : 0
  const squares = days.reduce((sum, d) => sum + (d - perDay) ** 2, 0)
  return { perDay, deviation: n > 1 ? Math.sqrt(squares / (n - 1)) : 0, leadDays }
}

/** The working of a reorder point, for the screen. */
export function reorderWorking(use: Use, service: number, unit: BaseUnit, days: number): Working {
  const show = (n: number) => formatAmount(Math.round(n * 100) / 100, unit)
  return {
    formula: 'use per day × lead days + z × deviation per day × √lead days',
    inputs: [
      {
        name: 'use per day',
        value: show(use.perDay),
        from: 'measured',
        source: `stock book, last ${days} days`,
      },
      {
        name: 'deviation per day',
        value: show(use.deviation),
        from: 'measured',
        source: `stock book, last ${days} days`,
      },
      { name: 'lead days', value: String(use.leadDays), from: 'setting', source: 'the item' },
      {
        name: 'z',
        value: quantile(service).toFixed(2),
        from: 'published',
        source: `normal distribution at ${service * 100} %`,
      },
    ],
    result: formatAmount(Math.ceil(reorderPoint(use, service)), unit),
    note: 'Textbook formula for a fixed lead time (Chase and Jacobs, inventory chapter); rounded up.',
  }
}

/**
 * What to order now, in base units: from position (free, on the way, and written to be bought) up to the level, in whole packs. 0 when
 * there is enough.
 */
export function toOrder(
  { free, onTheWay, written = 0 }: { free: number; onTheWay: number; written?: number },
  { point, upTo, pack }: { point: number; upTo: number; pack: number },
): number {
  const position = free + onTheWay + written
  if (position >= 0 && position > point) return 0
  if (position >= 0 && point === 0 && upTo === 0) return 0
  const wanted = Math.max(upTo, point, 0) - position
  const size = Math.max(1, pack)
  return Math.max(0, Math.ceil(wanted / size) * size)
}
