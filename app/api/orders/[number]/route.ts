import { readNumber } from '@/app/number-in-address'
import type { OrderStatus } from '@/lib/orders/outside/order-in'
import { orderFromOutside } from '@/lib/orders/outside/store'
import { problem, programWith } from '../../program'

/** What became of an order that came in from a program: its state, and when it is promised. */
export async function GET(request: Request, { params }: { params: Promise<{ number: string }> }) {
  const program = await programWith(request, 'orders.read')
  if (program instanceof Response) return program
  const number = readNumber((await params).number)
  const order = number === null ? null : await orderFromOutside(number)
  if (!order) return problem(404, 'There is no order of this number that came in this way.')
  const answer: OrderStatus = {
    number: order.number,
    state: order.state,
    promise: order.promise === null ? null : new Date(order.promise).toISOString(),
  }
  return Response.json(answer, { headers: { 'Cache-Control': 'no-store' } })
}
