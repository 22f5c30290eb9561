import { type OrderState, STATE_WORDS } from '@/lib/orders/states'
import { classNames } from './class-names'
import { Sign } from './sign'
import styles from './state-mark.module.css'

/** How an order or a run stands against its promise. */
export type Standing = 'late' | 'risk' | 'done'

const WORDS: Record<OrderState | Standing, string> = {
  ...STATE_WORDS,
  late: 'late',
  risk: 'at risk',
  done: 'done',
}

/**
 * A state as sign, word and colour.
 * @param state an order state, or late / risk / done
 * @param children says it more exactly than the plain word: "2 h late", "71% by noon"
 */
export function StateMark({ state, children }: { state: OrderState | Standing; children?: React.ReactNode }) {
  return (
    <span className={classNames(styles.mark, styles[state])}>
      <Sign name={state} />
      <span>{children ?? WORDS[state]}</span>
    </span>
  )
}
