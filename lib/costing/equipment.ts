import type { Rates } from '@/lib/shop/rates'
import type { MachineCost } from '@/lib/shop/stations'
import {
  formatMicro,
  formatMoney,
  type Micro,
  type Minor,
  microPerMinor,
  minor,
  roundToMicro,
  roundToMinor,
} from '@/lib/units/money'
import type { Working } from '@/lib/units/working'
import { breakEvenPieces } from './break-even'
import { instalmentPlan } from './loan'
import { purchasePerMonth } from './machine-hour'

/** A machine that the shop thinks of buying, and what it would do with it. */
export type Purchase = {
  name: string
  cost: Pick<MachineCost, 'purchase' | 'upkeepPerMonth' | 'kilowatts'>
  /** Seconds on the machine for one piece. */
  secondsEach: number
  /** What one piece costs beside the machine when made here: material, labour, overhead; micro-units. */
  hereEach: Micro
  /** What one piece costs when sent out, or earns when that work cannot be had otherwise; micro-units. */
  awayEach: Micro
  piecesPerMonth: number
}

/** What buying would bring. Amounts a month are minor units; they may be negative. */
export type Verdict = {
  /** Instalment or depreciation, and upkeep. */
  fixedPerMonth: Minor
  /** Saved on each piece after material, labour and power; micro-units, may be negative. */
  savedEach: Micro
  /** Least pieces a month from which it pays; null: never. */
  breakEven: number | null
  /** Saved a month at the expected pieces, all paid. */
  resultPerMonth: Minor
  /** Months until what it saves, upkeep paid, has paid the price, interest included where it is bought by instalments; null: never. */
  payBackMonths: number | null
  /** Interest over the whole loan. */
  interest: Minor
  pays: boolean
  working: Working
}

/** Whether to buy a machine or go on sending the work out. */
export function shouldWeBuy(
  asked: Purchase,
  rates: Rates,
  show: { currency: string; locale: string },
): Verdict {
  const { purchase } = asked.cost
  const perMinor = microPerMinor(show.currency)
  const power = (asked.secondsEach / 3600) * asked.cost.kilowatts * rates.powerPerKwh
  const savedEach = roundToMicro(asked.awayEach - asked.hereEach - power)
  const fixed = purchasePerMonth(purchase) + asked.cost.upkeepPerMonth
  const breakEven = breakEvenPieces(fixed * perMinor, savedEach, 0)
  const plan =
    purchase.by === 'instalments'
      ? instalmentPlan(purchase.principal, purchase.yearRateBp, purchase.months)
      : []
  const interest = minor(plan.reduce((sum, p) => sum + p.interest, 0))
  const price = purchase.by === 'instalments' ? purchase.principal + interest : purchase.price
  const saved = (savedEach * asked.piecesPerMonth) / perMinor
  const free = saved - asked.cost.upkeepPerMonth
  const resultPerMonth = roundToMinor(saved - fixed)
  const money = (n: number) => formatMoney(roundToMinor(n), show.currency, show.locale)
  const small = (n: Micro) => formatMicro(n, show.currency, show.locale)
  const pays = breakEven !== null && asked.piecesPerMonth >= breakEven
  return {
    fixedPerMonth: roundToMinor(fixed),
    savedEach,
    breakEven,
    resultPerMonth,
    payBackMonths: price <= 0 ? 0 : free > 0 ? Math.ceil(price / free - 1e-9) : null,
    interest,
    pays,
    working: {
      formula: 'pieces a month × (sent out − made here − power) − (purchase + upkeep a month)',
      inputs: [
        { name: 'Pieces a month', value: String(asked.piecesPerMonth), from: 'agreed' },
        { name: 'One piece sent out', value: small(asked.awayEach), from: 'agreed' },
        {
          name: 'One piece made here, without the machine',
          value: small(asked.hereEach),
          from: 'worked',
          source: 'its costing',
        },
        { name: 'Power for one', value: small(roundToMicro(power)), from: 'setting', source: 'rates' },
        {
          name: purchase.by === 'instalments' ? 'Instalment a month' : 'Depreciation a month',
          value: money(purchasePerMonth(purchase)),
          from: 'agreed',
        },
        { name: 'Upkeep a month', value: money(asked.cost.upkeepPerMonth), from: 'agreed' },
        ...(interest > 0
          ? [{ name: 'Interest over the loan', value: money(interest), from: 'worked' as const }]
          : []),
      ],
      result: `${money(resultPerMonth)} a month`,
      note:
        breakEven === null
          ? 'A piece made here costs as much as one sent out: it never pays.'
          : `It pays from ${breakEven} pieces a month.`,
    },
  }
}
