import { z } from 'zod'
import { onOneLine } from '@/lib/units/form-fields'
import { type Minor, minor, parseMoney } from '@/lib/units/money'
import { type MachineCost, stationKindSchema } from './stations'

const money = (currency: string, what: string) =>
  z.string({ error: `${what} is missing.` }).transform((text, issue) => {
    const read = parseMoney(text, currency)
    if (read.ok && read.value >= 0) return read.value
    issue.addIssue({ code: 'custom', message: read.ok ? `${what} is not below 0.` : read.message })
    return z.NEVER
  })
const number = (what: string, least: number, most: number) =>
  z.string({ error: `${what} is missing.` }).transform((text, issue) => {
    const n = /^\d{1,7}([.,]\d{1,3})?$/.test(text.trim()) ? Number(text.trim().replace(',', '.')) : Number.NaN
    if (n >= least && n <= most) return n
    issue.addIssue({
      code: 'custom',
      message: `${what} is a number from ${least} to ${most.toLocaleString('en')}.`,
    })
    return z.NEVER
  })
const orNothing = <T>(of: z.ZodType<T, string>) =>
  z
    .string()
    .default('')
    .transform((text, issue): T | null => {
      if (!text.trim()) return null
      const read = of.safeParse(text)
      if (read.success) return read.data
      issue.addIssue({ code: 'custom', message: read.error.issues[0]?.message ?? 'Look at this again.' })
      return null
    })
const name = z
  .string({ error: 'Type a name.' })
  .transform(t => t.normalize('NFKC').replace(/\p{C}/gu, ' ').replace(/\s+/g, ' ').trim())
  .pipe(z.string().min(1, 'Type a name.').max(80, 'A name has at most 80 characters.'))

/** The day from which a change counts, as a date field sends it. */
export const fromDay = z.string().regex(/^\d{4}-\d{2}-\d{2}$/, 'Choose the day from which it counts.')
/** Version of what was shown, and whether it goes out of use. */
const editing = { version: z.coerce.number().int(), retired: z.string().optional().transform(Boolean) }

/** Somebody new, as typed; hours are read apart by readWeek. */
export const newMemberInput = (currency: string) =>
  z.object({
    name,
    wage: money(currency, 'The wage'),
    skills: z.array(stationKindSchema, { error: 'Choose from the list.' }),
  })
/** Somebody who works here, as typed. */
export const memberInput = (currency: string) =>
  newMemberInput(currency).extend({ from: fromDay, ...editing })

/** A station, as typed; hours are read apart by readWeek. */
export const stationInput = (currency: string) =>
  z
    .object({
      name,
      ...editing,
      from: fromDay,
      bedWidthMm: orNothing(number('The width of the bed', 10, 5000)),
      bedHeightMm: orNothing(number('The height of the bed', 10, 5000)),
      heads: orNothing(number('The number of heads', 1, 24)),
      paidBy: z.enum(['nothing', 'instalments', 'depreciation'], { error: 'Choose how it is paid for.' }),
      price: orNothing(money(currency, 'The price')),
      yearRate: orNothing(number('The interest', 0, 100)),
      salvage: orNothing(money(currency, 'What it still brings')),
      months: orNothing(number('Months', 1, 480)),
      upkeep: orNothing(money(currency, 'Upkeep')),
      kilowatts: orNothing(number('The draw', 0, 500)),
      hours: orNothing(number('Productive hours', 1, 744)),
      since: z
        .string()
        .default('')
        .transform(text => text.trim())
        .pipe(z.string().regex(/^((19|2\d)\d\d-(0[1-9]|1[0-2]))?$/, 'Type the month like 2026-03.')),
    })
    .transform((typed, issue) => {
      const { paidBy, price, yearRate, salvage, months, upkeep, kilowatts, hours, since, ...rest } = typed
      if (rest.heads !== null && !Number.isInteger(rest.heads))
        issue.addIssue({ code: 'custom', path: ['heads'], message: 'Heads are whole.' })
      if (paidBy === 'nothing') return { ...rest, cost: null }
      const lacking = (field: string, message: string) => {
        issue.addIssue({ code: 'custom', path: [field], message })
        return z.NEVER
      }
      if (price === null) return lacking('price', 'What did it cost, or how much was borrowed?')
      if (months === null || !Number.isInteger(months))
        return lacking('months', 'Over how many whole months?')
      if (hours === null) return lacking('hours', 'How many hours a month does it really work?')
      if (paidBy === 'depreciation' && (salvage ?? 0) > price)
        return lacking('salvage', 'It cannot bring more at the end than it cost.')
      const cost: MachineCost = {
        purchase:
          paidBy === 'instalments'
            ? {
                by: 'instalments',
                principal: price as Minor,
                yearRateBp: Math.round((yearRate ?? 0) * 100),
                months,
              }
            : { by: 'depreciation', price: price as Minor, salvage: (salvage ?? minor(0)) as Minor, months },
        upkeepPerMonth: (upkeep ?? minor(0)) as Minor,
        kilowatts: kilowatts ?? 0,
        productiveHoursPerMonth: hours,
        ...(since ? { since } : {}),
      }
      return { ...rest, cost }
    })

/** A closure, as typed: first and last day, both included. */
export const closureInput = z.object({
  whom: z.string().regex(/^(all|(station|crew):[0-9a-f-]{36})$/, 'Choose who or what is closed.'),
  from: fromDay,
  to: z.string().regex(/^\d{4}-\d{2}-\d{2}$/, 'Choose the last day.'),
  why: z
    .string({ error: 'Why is it closed?' })
    .transform(onOneLine)
    .pipe(
      z
        .string()
        .min(1, 'Why is it closed? “Easter” or “repair” will do.')
        .max(200, 'At most 200 characters.'),
    ),
})
