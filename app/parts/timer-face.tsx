import type { ReactNode } from 'react'
import { classNames } from './class-names'
import styles from './timer-face.module.css'

/** waiting: press open; running: press closed; settling: not yet to be peeled; over: peel, or take off; stopped: paused. */
export type TimerState = 'waiting' | 'running' | 'settling' | 'over' | 'stopped'

/**
 * The face of the press timer: only what is seen. Whoever counts passes the seconds.
 * @param state waiting | running | settling | over | stopped
 * @param seconds left, whole
 * @param total of the dwell: the edge fills as it passes
 * @param words what is happening: "press closed", "let it settle", "peel now, hot"
 * @param piece and pieces: "11 of 24"
 * @param next what comes after: "M, then 6 × L"
 */
export function TimerFace({
  state,
  seconds,
  total,
  words,
  piece,
  pieces,
  next,
}: {
  state: TimerState
  seconds: number
  total: number
  words: ReactNode
  piece?: number
  pieces?: number
  next?: ReactNode
}) {
  const passed = total > 0 ? Math.min(1, Math.max(0, 1 - seconds / total)) : 0
  const clock =
    seconds >= 100
      ? `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, '0')}`
      : String(Math.max(0, seconds))
  return (
    <div className={classNames(styles.face, styles[state])}>
      <div className={styles.passed} style={{ scale: `${passed} 1` }} />
      <div className={styles.left}>
        <span className={styles.words}>{words}</span>
        <span className={styles.count} role="timer" aria-label={`${Math.max(0, seconds)} seconds`}>
          {clock}
        </span>
      </div>
      {piece !== undefined && (
        <div className={styles.right}>
          <span>piece</span>
          <span className={styles.piece}>
            {piece}
            {pieces !== undefined && <small> of {pieces}</small>}
          </span>
          {next && <span>next: {next}</span>}
        </div>
      )}
    </div>
  )
}
