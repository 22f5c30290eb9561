import { z } from 'zod'
import { dayBounds, type Instant, type ShopDay, type ShopMonth, shopDay } from '@/lib/units/time'

const daySchema = z
  .string()
  .regex(/^\d{4}-\d{2}-\d{2}$/)
  .transform((text, issue) => {
    try {
      return shopDay(text)
    } catch {
      issue.addIssue({ code: 'custom', message: 'no such day' })
      return z.NEVER
    }
  })
  .optional()
  .catch(undefined)

/** The days that the address asks for, first and last; else the month so far. Turned round where the last is before the first. */
export function askedSpan(
  query: Record<string, unknown>,
  present: ShopMonth,
  today: ShopDay,
  zone: string,
): { first: ShopDay; last: ShopDay; from: Instant; to: Instant } {
  const asked = [
    daySchema.parse(query.from) ?? shopDay(`${present}-01`),
    daySchema.parse(query.to) ?? today,
  ].sort() as [ShopDay, ShopDay]
  const [first, last] = asked
  return { first, last, from: dayBounds(first, zone).from, to: dayBounds(last, zone).to }
}
