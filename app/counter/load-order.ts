import { notFound } from 'next/navigation'
import { cache } from 'react'
import { readNumber } from '@/app/number-in-address'
import type { OrderView } from '@/lib/orders/order'
import { getOrder } from '@/lib/orders/store'

export type OrderAddress = { params: Promise<{ number: string }> }

const byNumber = cache(getOrder)

/** The order of an address; the page that says there is none otherwise. Read once a request. */
export async function loadOrder(params: OrderAddress['params']): Promise<OrderView> {
  const number = readNumber((await params).number)
  const order = number === null ? null : await byNumber(number)
  if (!order) notFound()
  return order
}

/** For the title of a page, which must not fail. */
export async function orderName(params: OrderAddress['params']): Promise<string> {
  const number = readNumber((await params).number)
  const order = number === null ? null : await byNumber(number)
  return order ? `${order.number} ${order.customer.name}` : 'No such order'
}
