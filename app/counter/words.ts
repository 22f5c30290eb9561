import type { Ask, AskKind, OrderSummary } from '@/lib/orders/asks'
import { dayOf, formatDay, type Instant } from '@/lib/units/time'

/** What each kind of asking is called, what to press, and where that leads. */
export const ASK_WORDS: Record<
  AskKind,
  { heading: string; action: (order: OrderSummary) => string; href: (number: number) => string }
> = {
  change: {
    heading: 'The customer asks for a change',
    action: o => `Change ${o.number} for ${o.customer}`,
    href: n => `/counter/orders/${n}`,
  },
  handOver: {
    heading: 'Ready to hand over',
    action: o => `Hand over ${o.number} to ${o.customer}`,
    href: n => `/counter/orders/${n}`,
  },
  answer: {
    heading: 'Enquiries to answer',
    action: o => `Answer ${o.number} for ${o.customer}`,
    href: n => `/counter/orders/${n}/methods`,
  },
  expired: {
    heading: 'Offers that ended unanswered',
    action: o => `Renew the offer ${o.number} for ${o.customer}`,
    href: n => `/counter/orders/${n}`,
  },
  deposit: {
    heading: 'Deposits to take',
    action: o => `Take the deposit on ${o.number}`,
    href: n => `/counter/orders/${n}#money`,
  },
  rest: {
    heading: 'Handed over, not paid',
    action: o => `Take the rest on ${o.number}`,
    href: n => `/counter/orders/${n}#money`,
  },
  giveBack: {
    heading: 'Money to give back',
    action: o => `Give back what was paid on ${o.number}`,
    href: n => `/counter/orders/${n}#money`,
  },
}

/** "since Tue 12 May": how long somebody waits. */
export const sinceWords = (ask: Ask, now: Instant, zone: string): string =>
  dayOf(ask.since, zone) === dayOf(now, zone) ? 'since today' : `since ${formatDay(ask.since, zone)}`
