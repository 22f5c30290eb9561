import { OrderLink } from '@/app/parts/order-link'

/** The column that names an order of the month, with the way to what it earned. */
export const ORDER = {
  key: 'order',
  head: 'Order',
  rowHead: true,
  wrap: true,
  cell: (r: { number: number; customer: string }) => <OrderLink order={r} room="office" />,
}
