import { type OrderState, STATE_WORDS } from '@/lib/orders/states'
import { classNames } from './class-names'
import styles from './order-progress.module.css'
import { Sign, type SignName } from './sign'

const WAY = ['enquiry', 'offered', 'agreed', 'making', 'ready', 'handedOver'] as const

/**
 * How far an order has come, as a line with six stations. An order that ended early shows where, and that it ended.
 * @param state the order's state
 * @param times when it came into each state, as people read it
 * @param last for declined and withdrawn: the last state before
 */
export function OrderProgress({
  state,
  times = {},
  last,
}: {
  state: OrderState
  times?: Partial<Record<OrderState, string>>
  last?: (typeof WAY)[number]
}) {
  const ended = state === 'declined' || state === 'withdrawn'
  const reached = WAY.indexOf(ended ? (last ?? 'enquiry') : state)
  const steps: { key: OrderState; past: boolean; here: boolean }[] = WAY.map((key, i) => ({
    key,
    past: i < reached || (ended && i === reached),
    here: !ended && i === reached,
  }))
  if (ended) steps.splice(reached + 1, steps.length, { key: state, past: false, here: true })
  return (
    <ol className={styles.way} aria-label="Progress of the order">
      {steps.map(s => (
        <li
          key={s.key}
          className={classNames(s.past && styles.past, s.here && styles.here)}
          aria-current={s.here ? 'step' : undefined}
        >
          <span className={styles.knot}>
            <Sign name={s.past ? 'done' : (s.key satisfies SignName)} />
          </span>
          <span className={styles.word}>{STATE_WORDS[s.key]}</span>
          {times[s.key] && <span className={styles.time}>{times[s.key]}</span>}
        </li>
      ))}
    </ol>
  )
}
