'use client'
import { createContext, type ReactNode, useContext, useEffect, useState, useSyncExternalStore } from 'react'
import { Button } from '@/app/parts/button'
import { useLine } from '@/app/parts/live'
import { Notice } from '@/app/parts/notice'
import { type Kept, standsHere } from '@/lib/floor/kept'
import type { StepState } from '@/lib/floor/reports'
import styles from './desk.module.css'
import { keptReports } from './kept-reports'

type Person = { id: string; name: string }
type Step = { id: string; state: StepState; open: number; left: { itemId: string; size: string; quantity: number }[] }
const Told = createContext<{ tell: (message: string | null) => void; person: Person }>({
  tell: () => {},
  person: { id: '', name: '' },
})
export const useDesk = () => useContext(Told)

const NONE: readonly Kept[] = []
const watch = (look: () => void) => keptReports().watch(look)
const useKept = () =>
  useSyncExternalStore(
    watch,
    () => keptReports().list,
    () => NONE,
  )

/** How a step stands with what this browser keeps unsent. */
export const useStep = (step: Step) => standsHere(step, useKept())

/** A clock that is off by more than this is named, ms. */
const OFF_MS = 60_000

/**
 * Everything that reports from a station stands on a desk: it says what the last report was answered, and what is kept here and not
 * sent yet; a report that the server would not have waits on it for a person.
 */
export function Desk({ person, children }: { person: Person; children: ReactNode }) {
  const [told, tell] = useState<string | null>(null)
  const kept = useKept()
  const line = useLine()
  useEffect(() => keptReports().begin(person.id), [person.id])
  const refused = kept.filter(k => k.refused)
  const waiting = kept.filter(k => !k.refused)
  const off = line.skew ?? 0
  return (
    <Told value={{ tell, person }}>
      <div role="status" className={styles.told}>
        {told && <Notice kind="done">{told}</Notice>}
        {line.state === 'cut' && waiting.length === 0 && (
          <Notice title="No line to the shop’s server.">
            Go on: what you report is kept here and sent when the line is back.
          </Notice>
        )}
        {line.state === 'signed-out' && (
          <Notice kind="stop" action={<a href="/sign-in">Sign in</a>}>
            You are no longer signed in here. What is kept stays until you are.
          </Notice>
        )}
        {Math.abs(off) > OFF_MS && (
          <Notice kind="caution" title="This device’s clock is wrong.">
            It is {clockWords(off)}. Reports are booked by the server’s time; set the clock when there is a
            minute.
          </Notice>
        )}
      </div>
      {waiting.length > 0 && (
        <section className={styles.kept} aria-label="Not sent yet">
          <h2>
            Not sent yet: {waiting.length === 1 ? '1 report' : `${waiting.length} reports`}
          </h2>
          <ol>
            {waiting.map(k => (
              <li key={k.formKey}>
                {k.words} <small>{timeOf(k.at)}</small>
                {k.by.id !== person.id && (
                  <span>
                    {' '}
                    by {k.by.name}: {k.by.name} has to sign in here to send it.{' '}
                    <Button look="quiet" onClick={() => void keptReports().letGo(k.formKey)}>
                      Let it go
                    </Button>
                  </span>
                )}
              </li>
            ))}
          </ol>
          <p>Kept on this device, and sent in this order when the line is back.</p>
        </section>
      )}
      {refused.map(k => (
        <section key={k.formKey} className={styles.refused} aria-label={`Not counted: ${k.words}`}>
          <Notice kind="stop" title={`Not counted: ${k.words}, ${timeOf(k.at)}.`}>
            {k.refused}
          </Notice>
          <div className={styles.ways}>
            <Button size="floor" look="plain" onClick={() => void keptReports().tryAgain(k.formKey)}>
              Send it again
            </Button>
            <Button size="floor" look="plain" onClick={() => void keptReports().letGo(k.formKey)}>
              Let it go
            </Button>
          </div>
        </section>
      ))}
      {children}
    </Told>
  )
}

const timeOf = (at: number) =>
  new Date(at).toLocaleTimeString([], { hour: '2-digit', minute: '2-digit', hour12: false })

/** The server's clock is ahead by so many ms: then this one is behind. */
function clockWords(off: number): string {
  const minutes = Math.round(Math.abs(off) / 60_000)
  const long = minutes < 120 ? `${minutes} min` : `${Math.round(minutes / 60)} h`
  return `${long} ${off > 0 ? 'behind' : 'ahead'}`
}

/**
 * The pieces of work of a station, one after the other: the first that is not ended is on the desk, counting in what is kept here. So
 * the next can be begun before the line is back.
 */
export function Deck({ tasks, empty }: { tasks: { step: Step; desk: ReactNode }[]; empty: ReactNode }) {
  const kept = useKept()
  const shown = tasks.find(t => !['done', 'dropped'].includes(standsHere(t.step, kept).state))
  return <>{shown ? <div key={shown.step.id}>{shown.desk}</div> : empty}</>
}

/** One of two: what stands here while a step runs, and while it does not. */
export function WhileRunning({
  step,
  running,
  otherwise,
}: {
  step: Step
  running: ReactNode
  otherwise: ReactNode
}) {
  const { state } = useStep(step)
  return <>{state === 'running' ? running : otherwise}</>
}
