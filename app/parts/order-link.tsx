import Link from 'next/link'

/** An order by its number and whose it is; at the counter it leads to the order, in the office to what it earned. */
export function OrderLink({
  order,
  room = 'counter',
}: {
  order: { number: number; customer: string }
  room?: 'counter' | 'office'
}) {
  return (
    <Link href={`/${room}/orders/${order.number}`}>
      {order.number} {order.customer}
    </Link>
  )
}
