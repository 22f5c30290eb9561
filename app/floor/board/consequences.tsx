'use client'
import { useCallback, useEffect, useRef, useState } from 'react'
import { Button } from '@/app/parts/button'
import { Notice } from '@/app/parts/notice'
import { StateMark } from '@/app/parts/state-mark'
import type { Trial } from '@/lib/planning/board/store'
import type { PlanChange } from '@/lib/planning/changes'
import type { LateChange } from '@/lib/planning/what-changes'
import { dayOf, formatMinutes, formatMoment, formatTime } from '@/lib/units/time'
import { takeAction, tryAction } from './actions'
import styles from './board.module.css'

type State =
  | { is: 'none' }
  | { is: 'trying'; change: PlanChange }
  | { is: 'refused'; message: string }
  | { is: 'shown'; change: PlanChange; trial: Trial; again: boolean; taking: boolean; failed?: string }

export type TrialDesk = {
  state: State
  /** Asks what a change would mean. */
  ask: (change: PlanChange) => void
  take: () => void
  drop: () => void
  /** What was done last, for the line above the board. */
  done: string | null
}

const LOST =
  'There was no answer from the shop’s server: nothing was changed. Try again when the line is back.'

/** Tries a change, shows what it would mean, takes it or drops it. @param taken called when a plan was taken */
export function useTrial(taken: () => void): TrialDesk {
  const [state, set] = useState<State>({ is: 'none' })
  const [done, tell] = useState<string | null>(null)
  // An answer to a question that was dropped meanwhile is not shown.
  const turn = useRef(0)
  const look = useCallback(async (change: PlanChange, again: boolean) => {
    const mine = ++turn.current
    set({ is: 'trying', change })
    const answer = await tryAction(change).catch(() => null)
    if (turn.current !== mine) return
    if (!answer) set({ is: 'refused', message: LOST })
    else if (!answer.ok) set({ is: 'refused', message: answer.message })
    else set({ is: 'shown', change, trial: answer.value, again, taking: false })
  }, [])
  const ask = useCallback((change: PlanChange) => void look(change, false), [look])
  const drop = useCallback(() => {
    turn.current++
    set({ is: 'none' })
  }, [])
  const take = useCallback(async () => {
    if (state.is !== 'shown' || state.taking) return
    const { failed: _, ...shown } = state
    set({ ...shown, taking: true })
    const answer = await takeAction(state.trial.id).catch(() => null)
    if (!answer) set({ ...shown, taking: false, failed: LOST })
    else if (answer.ok) {
      tell(`${answer.value.words.charAt(0).toUpperCase()}${answer.value.words.slice(1)}.`)
      set({ is: 'none' })
      taken()
    } else if (answer.code === 'stale') void look(state.change, true)
    else set({ ...shown, taking: false, failed: answer.message })
  }, [state, look, taken])
  return { state, ask, take: () => void take(), drop, done }
}

/** The dialog before anything is changed: who becomes late, what is lost in changeovers, what else moves; then take it or drop it. */
export function Consequences({
  trial,
  zone,
  stations,
}: {
  trial: TrialDesk
  zone: string
  stations: readonly { id: string; name: string }[]
}) {
  const dialog = useRef<HTMLDialogElement>(null)
  const { state } = trial
  const open = state.is !== 'none'
  const empty = state.is === 'shown' && isNothing(state.trial, state.change)
  useEffect(() => {
    const d = dialog.current
    if (!d) return
    if (open && !d.open) d.showModal()
    if (!open && d.open) d.close()
  }, [open])
  return (
    <>
      <div role="status" className={styles.done}>
        {trial.done && <Notice kind="done">{trial.done}</Notice>}
      </div>
      {/* biome-ignore lint/a11y/useKeyWithClickEvents: the keyboard has Escape, which a dialog knows by itself */}
      <dialog
        ref={dialog}
        className={styles.dialog}
        aria-label="What this would mean"
        onClose={trial.drop}
        onClick={e => {
          if (e.target === e.currentTarget) trial.drop()
        }}
      >
        <div className={styles.dialogBody}>
          {state.is === 'trying' && (
            <p className={styles.trying} aria-live="polite">
              {state.change.kind === 'better'
                ? 'Looking for a better plan. The one on the board stays up until you take another.'
                : 'Looking at what this would mean.'}
              <progress aria-label="Planning" />
            </p>
          )}
          {state.is === 'refused' && (
            <>
              <h2>This cannot be</h2>
              <p>{state.message}</p>
            </>
          )}
          {state.is === 'shown' && <Shown state={state} zone={zone} stations={stations} />}
        </div>
        <div className={styles.dialogFoot}>
          {state.is === 'shown' && !empty && (
            <Button look="primary" size="floor" pending={state.taking} onClick={trial.take} autoFocus>
              Take it
            </Button>
          )}
          <Button size="floor" onClick={trial.drop}>
            {state.is === 'refused' || empty ? 'Close' : 'Drop it'}
          </Button>
        </div>
      </dialog>
    </>
  )
}

/** Runs named one by one; beyond these they are counted. */
const MOST_MOVED = 4

/** Whether a better plan was looked for in vain. */
const isNothing = (
  { changes }: Extract<State, { is: 'shown' }>['trial'],
  change: Extract<State, { is: 'shown' }>['change'],
): boolean =>
  change.kind === 'better' &&
  changes.later.length + changes.sooner.length + changes.moved.length === 0 &&
  changes.changeoverMinutes === 0

function Shown({
  state: { trial, again, failed, change },
  zone,
  stations,
}: {
  state: Extract<State, { is: 'shown' }>
  zone: string
  stations: readonly { id: string; name: string }[]
}) {
  const { later, sooner, homeless, changeoverMinutes, moved } = trial.changes
  const station = (id: string) => stations.find(s => s.id === id)?.name ?? 'another station'
  const nothing = isNothing(trial, change)
  return (
    <>
      <h2 className={styles.asked}>{askedWords(trial.words)}</h2>
      {again && (
        <Notice>The shop has changed while you looked. This is what it would mean as it stands now.</Notice>
      )}
      {failed && <Notice kind="stop">{failed}</Notice>}
      {trial.note && <Notice kind="caution">{trial.note}</Notice>}
      {nothing && <p>No better plan was found: the one on the board stays good.</p>}
      <ul className={styles.meaning}>
        {homeless.map(h => (
          <li key={h.orderId}>
            <StateMark state="late">{h.number} finds no place</StateMark> {h.why}
          </li>
        ))}
        {later.map(l => (
          <li key={l.orderId}>
            <StateMark state="late">{l.number}</StateMark> {lateWords(l)}
            {l.hard && <b> Hard promise.</b>}
          </li>
        ))}
        {later.length + homeless.length === 0 && !nothing && (
          <li>
            <StateMark state="done">No order becomes late</StateMark>
          </li>
        )}
        {sooner.map(l => (
          <li key={l.orderId}>
            <StateMark state="done">{l.number}</StateMark> {lateWords(l)}
          </li>
        ))}
        {changeoverMinutes !== 0 && (
          <li>
            Changeovers: {formatMinutes(Math.abs(changeoverMinutes))}{' '}
            {changeoverMinutes > 0 ? 'more' : 'less'}.
          </li>
        )}
        {moved.slice(0, MOST_MOVED).map(m => (
          <li key={m.stepId}>
            {m.number} {m.title}: {formatMoment(m.from.at, zone)} →{' '}
            {dayOf(m.from.at, zone) === dayOf(m.to.at, zone)
              ? formatTime(m.to.at, zone)
              : formatMoment(m.to.at, zone)}
            {m.from.stationId !== m.to.stationId && `, on ${station(m.to.stationId)}`}.
          </li>
        ))}
        {moved.length > MOST_MOVED && (
          <li>
            {moved.length - MOST_MOVED === 1
              ? '1 more run moves.'
              : `${moved.length - MOST_MOVED} more runs move.`}
          </li>
        )}
        {moved.length === 0 && !nothing && <li>No other run moves.</li>}
      </ul>
    </>
  )
}

const ASKED: Record<string, string> = {
  moved: 'Move',
  pinned: 'Pin',
  let: 'Let',
  took: 'Take',
  rushed: 'Rush',
  split: 'Split',
  sent: 'Send',
}
/** What was asked, before it is done: "Move “Press” of 1042 to …". */
const askedWords = (words: string) => words.replace(/^\w+/, verb => ASKED[verb] ?? verb)

function lateWords({ before, after }: LateChange): string {
  if (after === 0) return `in time again, was ${formatMinutes(before)} late.`
  if (before === 0) return `becomes ${formatMinutes(after)} late.`
  return `${formatMinutes(after)} late instead of ${formatMinutes(before)}.`
}
