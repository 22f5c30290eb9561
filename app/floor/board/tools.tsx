'use client'
import { useId, useRef, useState } from 'react'
import { Button } from '@/app/parts/button'
import { Notice } from '@/app/parts/notice'
import type { BoardScreen } from '@/lib/floor/views/screen'
import { atTime, formatTime, type Instant, type ShopDay, shopDay } from '@/lib/units/time'
import { undoAction } from './actions'
import styles from './board.module.css'
import { Consequences, useTrial } from './consequences'

/** What is done with the plan as a whole: undo, a station out for repair, a better plan. */
export function PlanTools({
  last,
  stations,
  zone,
  day,
  now,
  onDone,
}: {
  last: NonNullable<BoardScreen['desk']>['last']
  stations: readonly { id: string; name: string }[]
  zone: string
  day: ShopDay
  now: Instant
  /** Called when the plan was changed. */
  onDone: () => void
}) {
  const trial = useTrial(onDone)
  const [told, tell] = useState<{ ok: boolean; words: string } | null>(null)
  const [busy, setBusy] = useState(false)
  const dialog = useRef<HTMLDialogElement>(null)
  const [wrong, setWrong] = useState<{ field: string; message: string } | null>(null)
  const id = useId()

  const undo = async () => {
    if (!last || busy) return
    setBusy(true)
    const answer = await undoAction(last.id).catch(() => null)
    setBusy(false)
    tell(
      answer?.ok
        ? { ok: true, words: `Taken back: ${answer.value.words}.` }
        : { ok: false, words: answer?.message ?? 'There was no answer: nothing was changed.' },
    )
    onDone()
  }
  const out = (form: FormData) => {
    const text = (name: string) => String(form.get(name) ?? '')
    const at = (name: string): Instant | null => {
      try {
        return atTime(shopDay(text(`${name}Day`)), text(`${name}Time`), zone)
      } catch {
        setWrong({ field: name, message: 'Choose a day and a time.' })
        return null
      }
    }
    setWrong(null)
    const from = at('from')
    const to = from !== null ? at('to') : null
    if (from === null || to === null) return
    if (to <= from)
      return setWrong({ field: 'to', message: 'It is back before it goes out: choose a later time.' })
    const why = text('why').trim()
    if (!why) return setWrong({ field: 'why', message: 'Say why: a word is enough.' })
    dialog.current?.close()
    trial.ask({ kind: 'out', station: text('station'), from, to, why })
  }
  const sentence = (field: string) =>
    wrong?.field === field && (
      <p className={styles.wrong} role="alert">
        {wrong.message}
      </p>
    )
  return (
    <div className={styles.tools}>
      <Button
        size="small"
        look="quiet"
        pending={busy}
        disabled={!last}
        onClick={() => void undo()}
        title={last ? `${last.byName} ${last.words}` : 'Nothing of the last day is left to undo.'}
      >
        Undo{last ? `: ${shorter(last.words)}` : ''}
      </Button>
      <Button size="small" look="quiet" onClick={() => dialog.current?.showModal()}>
        Station out …
      </Button>
      <Button size="small" look="quiet" onClick={() => trial.ask({ kind: 'better' })}>
        Look for a better plan
      </Button>
      <div role="status">{told && <Notice kind={told.ok ? 'done' : 'stop'}>{told.words}</Notice>}</div>
      {/* biome-ignore lint/a11y/useKeyWithClickEvents: the keyboard has Escape, which a dialog knows by itself */}
      <dialog
        ref={dialog}
        className={styles.dialog}
        aria-labelledby={`${id}-title`}
        onClick={e => {
          if (e.target === e.currentTarget) e.currentTarget.close()
        }}
      >
        <form
          onSubmit={e => {
            e.preventDefault()
            out(new FormData(e.currentTarget))
          }}
        >
          <div className={styles.dialogBody}>
            <h2 id={`${id}-title`}>Take a station out</h2>
            <p>For repair, cleaning, a loan: its runs go elsewhere or wait. You see what that means first.</p>
            <label className={styles.field}>
              Station
              <select name="station">
                {stations.map(s => (
                  <option key={s.id} value={s.id}>
                    {s.name}
                  </option>
                ))}
              </select>
            </label>
            <fieldset className={styles.span}>
              <legend>From</legend>
              <input type="date" name="fromDay" defaultValue={day} aria-label="From, day" />
              <input
                type="time"
                name="fromTime"
                defaultValue={formatTime(now, zone)}
                aria-label="From, time"
              />
            </fieldset>
            {sentence('from')}
            <fieldset className={styles.span}>
              <legend>Back</legend>
              <input type="date" name="toDay" defaultValue={day} aria-label="Back, day" />
              <input type="time" name="toTime" defaultValue="17:00" aria-label="Back, time" />
            </fieldset>
            {sentence('to')}
            <label className={styles.field}>
              Why
              <input name="why" maxLength={200} placeholder="new heating element" />
            </label>
            {sentence('why')}
          </div>
          <div className={styles.dialogFoot}>
            <Button look="primary" size="floor" type="submit">
              See what it means
            </Button>
            <Button size="floor" onClick={() => dialog.current?.close()}>
              Close
            </Button>
          </div>
        </form>
      </dialog>
      <Consequences trial={trial} zone={zone} stations={stations} />
    </div>
  )
}

const shorter = (words: string) => (words.length > 44 ? `${words.slice(0, 42).trimEnd()} …` : words)
