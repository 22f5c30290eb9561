import { revalidatePath } from 'next/cache'
import { readCallNumber, readOrderIn } from '@/lib/orders/outside/order-in'
import { takeOrderIn } from '@/lib/orders/outside/store'
import { shop } from '@/lib/shop/store'
import { instantOf } from '@/lib/units/time'
import { bodyText } from '../body-text'
import { problem, programWith } from '../program'

/** Largest body of an order: sixty blanks with eight prints each are well below it. */
const MOST_BYTES = 512 * 1024

/**
 * Takes an order in from a program outside, as an enquiry. Documented at /programs, from the schemas of lib/orders/outside.
 * 201 with its number; the same Idempotency-Key again gives the same answer and makes nothing.
 */
export async function POST(request: Request) {
  const program = await programWith(request, 'orders.add')
  if (program instanceof Response) return program
  const number = readCallNumber(request.headers.get('idempotency-key'))
  if (!number)
    return problem(
      400,
      'Send an Idempotency-Key with this call, 8 to 128 letters, digits and signs: then it makes one order even if it is sent twice.',
    )
  if (!/^application\/json\b/i.test(request.headers.get('content-type') ?? ''))
    return problem(415, 'Send the order as JSON, with Content-Type: application/json.')
  const text = await bodyText(request, MOST_BYTES)
  if (text === null) return problem(413, 'The order is over 512 kB: send it in parts.')
  let json: unknown
  try {
    json = JSON.parse(text)
  } catch {
    return problem(400, 'The body is not JSON, or was cut short: send it again whole.')
  }
  const read = readOrderIn(json)
  if (!read.ok)
    return problem(
      422,
      'The body is not an order as it is described: see what is wrong, and where.',
      read.faults,
    )
  const taken = await takeOrderIn(
    { program, number, json, sent: read.value },
    await shop(),
    instantOf(new Date()),
  )
  if (!taken.ok) return problem(422, taken.message, taken.faults)
  if (!taken.again) revalidatePath('/', 'layout')
  return Response.json(taken.answer, {
    status: 201,
    headers: {
      Location: `/api/orders/${taken.answer.number}`,
      'Cache-Control': 'no-store',
      ...(taken.again ? { 'Idempotency-Replayed': 'true' } : {}),
    },
  })
}
