import type { OrderView } from '@/lib/orders/order'
import { type OrderState, STATE_WORDS } from '@/lib/orders/states'
import { formatDay, formatMoment, type Instant } from '@/lib/units/time'
import styles from './counter.module.css'

const WAY = ['enquiry', 'offered', 'agreed', 'making', 'ready', 'handedOver'] as const

/** How far an order has come: every state it passes, with its day. */
export function OrderWay({ order, zone }: { order: OrderView; zone: string }) {
  const dates: Partial<Record<OrderState, Instant | null>> = {
    enquiry: order.enquiredAt,
    offered: order.offeredAt,
    agreed: order.agreedAt,
    ready: order.readyAt,
    handedOver: order.handedOverAt,
  }
  const ended = order.state === 'declined' || order.state === 'withdrawn'
  const reached = ended ? WAY.findLastIndex(s => dates[s]) : WAY.indexOf(order.state as (typeof WAY)[number])
  return (
    <ol className={styles.way} aria-label="How far the order has come">
      {WAY.map((state, i) => (
        <li
          key={state}
          data-done={i <= reached || undefined}
          aria-current={!ended && state === order.state ? 'step' : undefined}
        >
          <b>
            {STATE_WORDS[state]}
            {i < reached || (state === order.state && state === 'handedOver') ? (
              <span className="aloud"> (passed)</span>
            ) : null}
          </b>
          {i <= reached && dates[state] ? <span>{formatDay(dates[state], zone)}</span> : null}
        </li>
      ))}
      {ended && (
        <li aria-current="step">
          <b>{STATE_WORDS[order.state]}</b>
          {order.endedAt && <span>{formatMoment(order.endedAt, zone)}</span>}
        </li>
      )}
    </ol>
  )
}
