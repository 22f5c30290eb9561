import type { Rates } from '@/lib/shop/rates'
import type { MachineCost, Purchase, Station } from '@/lib/shop/stations'
import {
  formatMicro,
  formatMoney,
  type Micro,
  microPerMinor,
  roundToMicro,
  roundToMinor,
} from '@/lib/units/money'
import type { Working } from '@/lib/units/working'
import { loanPayment } from './loan'

/** What one productive hour of a machine costs, in micro-units, by part. Parts are exact, not rounded. */
export type HourRate = { total: number; purchase: number; upkeep: number; power: number; machines: number }

/** What a purchase costs each month, minor units, not rounded: the instalment, or straight-line depreciation. */
export const purchasePerMonth = (purchase: Purchase): number =>
  purchase.by === 'instalments'
    ? loanPayment(purchase.yearRateBp / 10_000 / 12, purchase.months, purchase.principal)
    : Math.max(0, purchase.price - purchase.salvage) / purchase.months

/** (purchase a month + upkeep a month) ÷ productive hours a month + kW × price of a kWh. */
export function machineHour(cost: MachineCost, rates: Rates, currency: string): HourRate {
  const perMinor = microPerMinor(currency)
  const purchase = (purchasePerMonth(cost.purchase) * perMinor) / cost.productiveHoursPerMonth
  const upkeep = (cost.upkeepPerMonth * perMinor) / cost.productiveHoursPerMonth
  const power = cost.kilowatts * rates.powerPerKwh
  return { total: purchase + upkeep + power, purchase, upkeep, power, machines: 1 }
}

/** Mean rate over the machines of one kind: which of two presses takes the job is the plan's matter, not the price's. */
export function kindHourRate(stations: readonly Station[], rates: Rates, currency: string): HourRate | null {
  const all = stations.flatMap(s => (s.cost ? [machineHour(s.cost, rates, currency)] : []))
  if (all.length === 0) return null
  const mean = (of: (r: HourRate) => number) => all.reduce((sum, r) => sum + of(r), 0) / stations.length
  return {
    total: mean(r => r.total),
    purchase: mean(r => r.purchase),
    upkeep: mean(r => r.upkeep),
    power: mean(r => r.power),
    machines: stations.length,
  }
}

/** How one machine's hour came about. */
export function machineHourWorking(
  station: Station,
  rates: Rates,
  show: { currency: string; locale: string },
): { value: Micro; working: Working } | null {
  const cost = station.cost
  if (!cost) return null
  const rate = machineHour(cost, rates, show.currency)
  const money = (n: number) => formatMoney(roundToMinor(n), show.currency, show.locale)
  const p = cost.purchase
  const monthly = purchasePerMonth(p)
  const set = { from: 'setting' as const, source: station.name }
  const paid: Working =
    p.by === 'instalments'
      ? {
          formula: 'loan × rate × (1 + rate)^months ÷ ((1 + rate)^months − 1), rate by the month',
          inputs: [
            { name: 'Loan', value: money(p.principal), ...set },
            { name: 'Interest a year', value: `${p.yearRateBp / 100} %`, ...set },
            { name: 'Months', value: String(p.months), ...set },
          ],
          result: money(monthly),
        }
      : {
          formula: '(price − worth at the end) ÷ months in use',
          inputs: [
            { name: 'Price', value: money(p.price), ...set },
            { name: 'Worth at the end', value: money(p.salvage), ...set },
            { name: 'Months in use', value: String(p.months), ...set },
          ],
          result: money(monthly),
        }
  const value = roundToMicro(rate.total)
  return {
    value,
    working: {
      formula: '(purchase a month + upkeep a month) ÷ productive hours a month + kW × price of a kWh',
      inputs: [
        {
          name: p.by === 'instalments' ? 'Instalment a month' : 'Depreciation a month',
          value: money(monthly),
          ...set,
          working: paid,
        },
        { name: 'Upkeep a month', value: money(cost.upkeepPerMonth), ...set },
        { name: 'Productive hours a month', value: `${cost.productiveHoursPerMonth} h`, ...set },
        { name: 'Mean draw', value: `${cost.kilowatts} kW`, ...set },
        {
          name: 'Price of a kWh',
          value: formatMicro(rates.powerPerKwh, show.currency, show.locale),
          from: 'setting',
          source: 'rates',
        },
      ],
      result: `${formatMicro(value, show.currency, show.locale)} an hour`,
      note: 'Idle hours are paid by the productive ones: fewer of them make each dearer.',
    },
  }
}
