import { type Refusal, refuse } from '@/lib/units/result'

/** The states of an order, in the order in which a good one passes them. */
export const ORDER_STATES = [
  'enquiry',
  'offered',
  'agreed',
  'making',
  'ready',
  'handedOver',
  'declined',
  'withdrawn',
] as const
export type OrderState = (typeof ORDER_STATES)[number]

/** What people read for a state. */
export const STATE_WORDS: Record<OrderState, string> = {
  enquiry: 'enquiry',
  offered: 'offered',
  agreed: 'agreed',
  making: 'making',
  ready: 'ready',
  handedOver: 'handed over',
  declined: 'declined',
  withdrawn: 'withdrawn',
}

/**
 * The one table of moves: guards, buttons, documents and tests read it; any other change is refused.
 * An offered order goes back to enquiry when the customer asks a change. A ready one goes back to making when a piece is
 * found spoiled before it is handed over. Work that has begun cannot be withdrawn: it is finished or settled by payment.
 */
export const MOVES = {
  enquiry: ['offered', 'withdrawn'],
  offered: ['agreed', 'declined', 'withdrawn', 'enquiry'],
  agreed: ['making', 'withdrawn'],
  making: ['ready'],
  ready: ['handedOver', 'making'],
  handedOver: [],
  declined: [],
  withdrawn: [],
} as const satisfies Record<OrderState, readonly OrderState[]>

/** Whether a text is one of the states. */
export const isOrderState = (text: string): text is OrderState =>
  (ORDER_STATES as readonly string[]).includes(text)

/** Whether the table allows a change. */
export const canMove = (from: OrderState, to: OrderState): boolean =>
  (MOVES[from] as readonly OrderState[]).includes(to)

/** Null when an order may change so, else why not and what it could become instead. */
export function refuseMove(number: number, from: OrderState, to: OrderState): Refusal | null {
  if (canMove(from, to)) return null
  const next = MOVES[from].map(s => STATE_WORDS[s])
  return refuse(
    'state',
    `Order ${number} is ${STATE_WORDS[from]} and cannot become ${STATE_WORDS[to]}: ${
      next.length ? `from here it can become ${next.join(' or ')}.` : 'it has ended.'
    }`,
  )
}

/** States in which an order still asks something of the shop. */
export const OPEN_STATES = ['enquiry', 'offered', 'agreed', 'making', 'ready'] as const satisfies OrderState[]
