'use client'
import Link from 'next/link'
import { useEffect, useId, useRef, useState } from 'react'
import { Button, ButtonLink } from '@/app/parts/button'
import { StateMark } from '@/app/parts/state-mark'
import type { ScreenRun } from '@/lib/floor/views/screen'
import type { PlanChange } from '@/lib/planning/changes'
import type { WhyLine } from '@/lib/planning/why-words'
import { formatTime } from '@/lib/units/time'
import styles from './board.module.css'
import { ChanceOf } from './chances'

/** One run: why it starts when it does, how sure its promise is, and what can be done with it. */
export function RunSheet({
  run,
  station,
  zone,
  plans,
  lists,
  onAsk,
  onClose,
}: {
  run: ScreenRun
  station: { code: string; name: string }
  zone: string
  plans: boolean
  lists: readonly { key: string; name: string }[]
  onAsk: (change: PlanChange) => void
  onClose: () => void
}) {
  const dialog = useRef<HTMLDialogElement>(null)
  const title = useId()
  const { id: step, number, orderId, customer, pieces, crew, late, words, pinned = false, rush = false } = run
  const open = run.state !== 'done'
  const waits = run.can !== undefined
  const why = useWhy(open ? step : null)
  useEffect(() => {
    if (!dialog.current?.open) dialog.current?.showModal()
  }, [])
  return (
    // biome-ignore lint/a11y/useKeyWithClickEvents: the keyboard has Escape, which a dialog knows by itself
    <dialog
      ref={dialog}
      className={styles.dialog}
      aria-labelledby={title}
      onClose={onClose}
      onClick={e => {
        if (e.target === e.currentTarget) e.currentTarget.close()
      }}
    >
      <div className={styles.dialogBody}>
        <h2 id={title} className={styles.asked}>
          {number} {run.title}
        </h2>
        <p>
          {customer} · {pieces === 1 ? '1 piece' : `${pieces} pieces`} · {station.name}{' '}
          {formatTime(run.work, zone)} to {formatTime(run.end, zone)}
          {crew && ` · ${crew}`}
        </p>
        <p className={styles.marks}>
          {late && (late === 'plain' ? <span>{words}</span> : <StateMark state={late}>{words}</StateMark>)}
          {rush && <b>Rush</b>}
          {pinned && <b>Pinned here</b>}
          <ChanceOf order={orderId} />
        </p>
        {open && (
          <section aria-label="Why it starts then" aria-busy={why === null}>
            <h3>Why it starts then</h3>
            {why === null ? (
              <p className={styles.quiet}>Looking …</p>
            ) : typeof why === 'string' ? (
              <p>{why}</p>
            ) : (
              <ol className={styles.why}>
                {why.map((w, i) => (
                  <li key={w.words}>{i === 0 ? <b>{w.words}</b> : w.words}</li>
                ))}
              </ol>
            )}
          </section>
        )}
        {plans && open && (
          <section aria-label="Change the plan" className={styles.ways}>
            {waits && (
              <Button onClick={() => onAsk({ kind: pinned ? 'unpin' : 'pin', step })}>
                {pinned ? 'Let it move again' : 'Pin it here'}
              </Button>
            )}
            <Button onClick={() => onAsk({ kind: 'rush', order: orderId, on: !rush })}>
              {rush ? 'Take the rush off' : `Rush ${number}`}
            </Button>
            {waits && <Button onClick={() => onAsk({ kind: 'split', step })}>Split in two</Button>}
            {waits && lists.length > 0 && (
              <SendOut lists={lists} onAsk={list => onAsk({ kind: 'sendOut', order: orderId, list })} />
            )}
          </section>
        )}
      </div>
      <div className={styles.dialogFoot}>
        <ButtonLink look="primary" href={`/floor/jobs/${number}#step-${step}`}>
          Open the job
        </ButtonLink>
        {open && <Link href={`/floor/stations/${station.code}?ticket=${number}`}>At {station.name}</Link>}
        <Button onClick={() => dialog.current?.close()}>Close</Button>
      </div>
    </dialog>
  )
}

function SendOut({
  lists,
  onAsk,
}: {
  lists: readonly { key: string; name: string }[]
  onAsk: (list: string) => void
}) {
  const [list, choose] = useState(lists[0]?.key ?? '')
  const id = useId()
  return (
    <span className={styles.sendOut}>
      <label htmlFor={id} className="aloud">
        Printer
      </label>
      <select id={id} value={list} onChange={e => choose(e.target.value)}>
        {lists.map(l => (
          <option key={l.key} value={l.key}>
            {l.name}
          </option>
        ))}
      </select>
      <Button onClick={() => onAsk(list)}>Send the printing out</Button>
    </span>
  )
}

/** Asks why a run starts when it does; null while it is being looked up, a sentence where it cannot be told. */
function useWhy(step: string | null): WhyLine[] | string | null {
  const [why, set] = useState<WhyLine[] | string | null>(null)
  useEffect(() => {
    if (!step) return
    const stop = new AbortController()
    fetch(`/api/plan/runs/${encodeURIComponent(step)}`, { cache: 'no-store', signal: stop.signal })
      .then(r => r.json())
      .then((a: { ok: true; why: WhyLine[] } | { ok: false; message: string }) =>
        set(a.ok ? a.why : a.message),
      )
      .catch(() => {
        if (!stop.signal.aborted) set('There was no answer from the shop’s server.')
      })
    return () => stop.abort()
  }, [step])
  return why
}
