import { z } from 'zod'
import { type Minor, minor, minorToMicro, parseMoney } from '@/lib/units/money'
import type { Purchase } from './equipment'

const number = (what: string, least: number, most: number) =>
  z.string({ error: `${what} is missing.` }).transform((t, issue): number => {
    const n = Number(t.trim().replace('%', '').replace(',', '.'))
    if (t.trim() !== '' && Number.isFinite(n) && n >= least && n <= most) return n
    issue.addIssue({
      code: 'custom',
      message: `${what} is a number from ${least} to ${most.toLocaleString('en')}${t.trim() ? `, not “${t.trim().slice(0, 20)}”` : ''}.`,
    })
    return z.NEVER
  })
const whole = (what: string, least: number, most: number) =>
  number(what, least, most).refine(Number.isInteger, `${what} is a whole number.`)
const money = (what: string, currency: string) =>
  z.string({ error: `${what} is missing.` }).transform((t, issue): Minor => {
    const read = t.trim() === '' ? { ok: true as const, value: minor(0) } : parseMoney(t, currency)
    if (read.ok && read.value >= 0) return read.value
    issue.addIssue({ code: 'custom', message: read.ok ? `${what} is not below 0.` : read.message })
    return z.NEVER
  })

/** The form of a machine that the shop thinks of buying, read into what is worked out. Amounts as typed in the currency. */
export const purchaseInput = (currency: string) =>
  z
    .object({
      name: z.string().trim().max(60).default(''),
      by: z.enum(['instalments', 'depreciation']).default('instalments'),
      price: money('The price', currency).refine(v => v > 0, 'What does it cost? Type the price.'),
      interest: number('The interest', 0, 100).default(0),
      months: whole('The time', 1, 480),
      salvage: money('What it still brings', currency).default(minor(0)),
      upkeep: money('The upkeep', currency).default(minor(0)),
      kilowatts: number('The draw', 0, 500).default(0),
      seconds: number('The time on the machine', 0, 86_400),
      here: money('One piece made here', currency),
      away: money('One piece sent out', currency),
      pieces: whole('The pieces a month', 0, 100_000),
    })
    .refine(p => p.salvage <= p.price, {
      path: ['salvage'],
      message: 'It cannot bring more at the end than it costs.',
    })
    .transform(
      (p): Purchase => ({
        name: p.name || 'The machine',
        cost: {
          purchase:
            p.by === 'instalments'
              ? {
                  by: 'instalments',
                  principal: p.price,
                  yearRateBp: Math.round(p.interest * 100),
                  months: p.months,
                }
              : { by: 'depreciation', price: p.price, salvage: p.salvage, months: p.months },
          upkeepPerMonth: p.upkeep,
          kilowatts: p.kilowatts,
        },
        secondsEach: p.seconds,
        hereEach: minorToMicro(p.here, currency),
        awayEach: minorToMicro(p.away, currency),
        piecesPerMonth: p.pieces,
      }),
    )

/** Cost of a month either way at a number of pieces, minor units, not rounded: with the machine, and sent out. */
export function monthEitherWay(
  verdict: { fixedPerMonth: Minor; savedEach: number },
  asked: Pick<Purchase, 'awayEach'>,
  pieces: number,
  perMinor: number,
): { bought: number; away: number } {
  const away = (asked.awayEach * pieces) / perMinor
  return { bought: verdict.fixedPerMonth + away - (verdict.savedEach * pieces) / perMinor, away }
}
