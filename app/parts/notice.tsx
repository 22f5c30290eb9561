import type { ReactNode } from 'react'
import { classNames } from './class-names'
import styles from './notice.module.css'
import { Sign, type SignName } from './sign'

/** info: good to know; caution: the work can hurt; stop: refused until something is done; done: it worked. */
export type NoticeKind = 'info' | 'caution' | 'stop' | 'done'

const SIGN: Record<NoticeKind, SignName> = { info: 'info', caution: 'caution', stop: 'stop', done: 'done' }
const SAID: Record<NoticeKind, string> = {
  info: 'Good to know: ',
  caution: 'Caution: ',
  stop: 'Stop: ',
  done: 'Done: ',
}

/**
 * A sentence that must not be missed.
 * @param kind info | caution (hazards) | stop (refused) | done
 * @param title two or three words in bold before the sentence: "Hot platen."
 * @param action a button or link: the way on
 */
export function Notice({
  kind = 'info',
  title,
  action,
  children,
}: {
  kind?: NoticeKind
  title?: string
  action?: ReactNode
  children: ReactNode
}) {
  return (
    <div className={classNames(styles.notice, styles[kind])} data-keep-together>
      <span className={styles.sign}>
        <Sign name={SIGN[kind]} />
      </span>
      <div className={styles.words}>
        <span className="aloud">{SAID[kind]}</span>
        {title && <strong>{title} </strong>}
        {children}
      </div>
      {action && <div className={styles.action}>{action}</div>}
    </div>
  )
}
