import 'server-only'
import { createHash } from 'node:crypto'
import { uuidv7 } from 'uuidv7'
import { db, transaction } from '@/lib/server/database'
import { containing } from '@/lib/server/sql'
import { type ShopFacts, styles } from '@/lib/shop/store'
import type { Instant } from '@/lib/units/time'
import type { OrderState } from '../states'
import { addOrder, getOrder } from '../store'
import {
  asOrderInput,
  canonical,
  type Fault,
  type OrderAnswer,
  type OrderIn,
  orderAnswer,
  pointerOf,
} from './order-in'

/** What became of a call. `again`: it was answered before, and is answered the same. */
export type Taken =
  | { ok: true; answer: OrderAnswer; again: boolean }
  | { ok: false; code: 'other-body' | 'faults'; message: string; faults: Fault[] }

/**
 * Takes an order from outside in. The same call number makes one order, however often and however near to one another it comes; with
 * another body it is refused. What is refused leaves nothing, so the call can be sent again once it is mended.
 * @param json as sent, from which `sent` was read
 */
export function takeOrderIn(
  call: { program: { id: string; name: string }; number: string; json: unknown; sent: OrderIn },
  shop: Pick<ShopFacts, 'currency' | 'timeZone'>,
  now: Instant,
): Promise<Taken> {
  const bodyHash = createHash('sha256').update(canonical(call.json)).digest('hex')
  return transaction(async tx => {
    const known = await tx.apiCall.findUnique({
      where: { keyId_number: { keyId: call.program.id, number: call.number } },
    })
    if (known)
      return known.bodyHash === bodyHash
        ? { ok: true, answer: orderAnswer.parse(known.answer), again: true }
        : {
            ok: false,
            code: 'other-body',
            message:
              'This Idempotency-Key came with another body before: use a new key for another order, or send the same body.',
            faults: [],
          }
    const customerId = await knownCustomer(call.sent.customer)
    const read = asOrderInput(call.sent, await styles(), customerId, uuidv7(), {
      currency: shop.currency,
      zone: shop.timeZone,
      now,
    })
    if (!read.ok) return wrong(read.faults)
    const added = await addOrder(read.value, { id: null, name: `${call.program.name} (program)` }, now)
    if (!added.ok)
      return wrong([{ pointer: added.field ? pointerOf(added.field) : '', detail: added.message }])
    const order = await getOrder(added.value.number)
    if (!order) throw new Error('An order that was just written is not there.')
    const answer: OrderAnswer = { number: order.number, state: 'enquiry' }
    await tx.apiCall.create({
      data: {
        keyId: call.program.id,
        number: call.number,
        bodyHash,
        answer,
        orderId: order.id,
        createdAt: new Date(now),
      },
    })
    return { ok: true, answer, again: false }
  })
}

const wrong = (faults: Fault[]): Taken => ({
  ok: false,
  code: 'faults',
  message:
    faults.length === 1
      ? (faults[0]?.detail ?? '')
      : `${faults.length} things must be mended before this can be an order.`,
  faults,
})

/** The customer with this e-mail address; where two have it, the one of this name. */
async function knownCustomer({ email, name }: OrderIn['customer']): Promise<string | null> {
  if (!email) return null
  const same = (a: string, b: string) => a.trim().toLowerCase() === b.trim().toLowerCase()
  const rows = (
    await db().customer.findMany({
      where: { email: containing(email) },
      select: { id: true, email: true, name: true },
    })
  ).filter(c => same(c.email, email))
  if (rows.length < 2) return rows[0]?.id ?? null
  const named = rows.filter(c => same(c.name, name))
  return named.length === 1 ? (named[0]?.id ?? null) : null
}

/** What became of an order that came from outside; null where there is none of this number, or it came another way. */
export async function orderFromOutside(
  number: number,
): Promise<{ number: number; state: OrderState; promise: Instant | null } | null> {
  const order = await getOrder(number)
  if (!order || !(await db().apiCall.findUnique({ where: { orderId: order.id } }))) return null
  return { number: order.number, state: order.state, promise: order.promiseAt }
}
