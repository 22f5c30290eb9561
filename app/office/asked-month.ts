import { z } from 'zod'
import { months } from '@/lib/books/store'
import { type Instant, instantOf, type ShopMonth, shopMonth } from '@/lib/units/time'

const monthSchema = z
  .string()
  .regex(/^(19|2\d)\d\d-(0[1-9]|1[0-2])$/)
  .transform(shopMonth)
  .optional()
  .catch(undefined)

/** The month that the address asks for, if the shop has books of it; else the present one. */
export async function askedMonth(asked: unknown, now: Instant) {
  const all = await months(now)
  const wish = monthSchema.parse(asked)
  const present = (all[0] as (typeof all)[number]).month
  const month: ShopMonth = wish && all.some(m => m.month === wish) ? wish : present
  return { month, all, unknown: wish !== undefined && wish !== month, present }
}

/** The month that a file is asked of; or, where the shop has no books of it, the answer that says so. */
export async function monthForFile(request: Request, page: string): Promise<ShopMonth | Response> {
  const { month, unknown } = await askedMonth(
    new URL(request.url).searchParams.get('month'),
    instantOf(new Date()),
  )
  if (!unknown) return month
  return new Response(`The shop has no books of this month: choose one on the ${page} page.\n`, {
    status: 404,
  })
}
