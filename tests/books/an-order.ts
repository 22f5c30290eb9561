import type { OrderFacts } from '@/lib/books/margin'
import type { Carried, Ledgers } from '@/lib/books/month'
import { micro, minor } from '@/lib/units/money'
import { instant } from '@/lib/units/time'

/** An order of 24 screen-printed tees, handed over on 14 May 2026. */
export const anOrder = (over: Partial<OrderFacts> = {}): OrderFacts => ({
  id: 'o1',
  number: 1001,
  title: 'Allotment tees',
  customerId: 'c1',
  customer: 'Allotment club',
  method: 'screen',
  handedOverAt: instant(Date.UTC(2026, 4, 14)),
  pieces: 24,
  revenue: minor(30_000),
  blanks: micro(72_000_000),
  consumables: micro(3_204_999),
  spoilage: micro(3_000_000),
  labour: minor(4_050),
  machine: minor(1_210),
  outside: minor(0),
  freight: minor(800),
  credits: minor(0),
  labourSeconds: 5_400,
  machineSeconds: 3_600,
  ...over,
})

/** Nothing in hand at either edge of the month. */
export const NOTHING_CARRIED: Carried = {
  opening: micro(0),
  booked: micro(0),
  out: micro(0),
  closing: micro(0),
  orders: [],
}

/** Other books that hold nothing. */
export const NO_LEDGERS: Ledgers = {
  stock: micro(0),
  work: minor(0),
  outside: minor(0),
  credits: minor(0),
  tax: minor(0),
  credited: minor(0),
  paid: minor(0),
  uneven: minor(0),
}
