import { classNames } from './class-names'
import { Sign } from './sign'
import styles from './state-mark.module.css'

/** The states of an order. */
export type OrderStateName =
  | 'enquiry'
  | 'offered'
  | 'agreed'
  | 'making'
  | 'ready'
  | 'handedOver'
  | 'declined'
  | 'withdrawn'
/** How an order or a run stands against its promise. */
export type Standing = 'late' | 'risk' | 'done'

const WORDS: Record<OrderStateName | Standing, string> = {
  enquiry: 'enquiry',
  offered: 'offered',
  agreed: 'agreed',
  making: 'making',
  ready: 'ready',
  handedOver: 'handed over',
  declined: 'declined',
  withdrawn: 'withdrawn',
  late: 'late',
  risk: 'at risk',
  done: 'done',
}

/**
 * A state as sign, word and colour.
 * @param state an order state, or late / risk / done
 * @param children says it more exactly than the plain word: "2 h late", "71% by noon"
 */
export function StateMark({
  state,
  children,
}: {
  state: OrderStateName | Standing
  children?: React.ReactNode
}) {
  return (
    <span className={classNames(styles.mark, styles[state])}>
      <Sign name={state} />
      <span>{children ?? WORDS[state]}</span>
    </span>
  )
}
