'use client'
import { createContext, type ReactNode, useContext, useEffect, useState, useSyncExternalStore } from 'react'
import { Button } from '@/app/parts/button'
import { useLine } from '@/app/parts/live'
import { Notice } from '@/app/parts/notice'
import { Section } from '@/app/parts/section'
import { type Kept, standsHere } from '@/lib/floor/kept'
import type { StepState } from '@/lib/floor/reports'
import { formatTime, type Instant } from '@/lib/units/time'
import styles from './desk.module.css'
import { keptReports } from './kept-reports'

type Person = { id: string; name: string }
/** A step as the server last said that it stands. */
export type Step = {
  id: string
  state: StepState
  pieces: number
  /** Pieces still open. */
  open: number
  left: { itemId: string; size: string; quantity: number }[]
  /** Form keys of the reports that are counted in. */
  heard: readonly string[]
  /** "1044, Press". */
  name: string
}
type Answer = { message?: string; caution?: string }
const Told = createContext<{ tell: (answer: Answer | null) => void; person: Person }>({
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
export function Desk({
  person,
  zone,
  children,
}: {
  person: Person
  /** The shop's time zone. */
  zone: string
  children: ReactNode
}) {
  const [told, tell] = useState<Answer | null>(null)
  const kept = useKept()
  const line = useLine()
  useEffect(() => keptReports().begin(person.id), [person.id])
  const refused = kept.filter(k => k.refused)
  const waiting = kept.filter(k => !k.refused && !k.sent)
  const unread = kept.filter(k => k.caution)
  const off = line.skew ?? 0
  return (
    <Told value={{ tell, person }}>
      <div role="status" className={styles.told}>
        {told?.message && <Notice kind={told.caution ? 'caution' : 'done'}>{told.message}</Notice>}
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
        {refused.length + unread.length > 0 && (
          <p className="aloud">
            {refused.length > 0 && `Not counted: ${refused.map(k => k.words).join('; ')}. `}
            {unread.map(k => `Counted: ${k.words}. ${k.caution}`).join(' ')}
          </p>
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
          <h2>Not sent yet: {waiting.length === 1 ? '1 report' : `${waiting.length} reports`}</h2>
          <ol>
            {waiting.map(k => (
              <li key={k.formKey}>
                {k.words} <small>{formatTime(k.at as Instant, zone)}</small>
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
      {unread.map(k => (
        <section key={k.formKey} className={styles.refused} aria-label={`Counted: ${k.words}`}>
          <Notice kind="caution" title={`Counted: ${k.words}, ${formatTime(k.at as Instant, zone)}.`}>
            {k.caution}
          </Notice>
          <div className={styles.ways}>
            <Button size="floor" look="plain" onClick={() => void keptReports().letGo(k.formKey)}>
              I have read it
            </Button>
          </div>
        </section>
      ))}
      {refused.map(k => (
        <section key={k.formKey} className={styles.refused} aria-label={`Not counted: ${k.words}`}>
          <Notice kind="stop" title={`Not counted: ${k.words}, ${formatTime(k.at as Instant, zone)}.`}>
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

/** The server's clock is ahead by so many ms: then this one is behind. */
function clockWords(off: number): string {
  const minutes = Math.round(Math.abs(off) / 60_000)
  const long = minutes < 120 ? `${minutes} min` : `${Math.round(minutes / 60)} h`
  return `${long} ${off > 0 ? 'behind' : 'ahead'}`
}

/** A piece of work on the deck, in each of the ways in which it can stand there. */
export type DeckTask = {
  step: Step
  /** While it lies half done. */
  paused: ReactNode
  resume: ReactNode
  desk: ReactNode
  /** While something else is worked. */
  row: ReactNode
}

/**
 * The pieces of work of a station: what lies half done, what is on the desk, and what comes. What is kept here counts in, so that the
 * next can be begun before the line is back.
 */
export function Deck({ tasks, empty }: { tasks: DeckTask[]; empty: ReactNode }) {
  const kept = useKept()
  const all = tasks.map(t => ({ ...t, state: standsHere(t.step, kept).state }))
  const running = all.find(t => t.state === 'running')
  const paused = all.filter(t => t.state === 'paused')
  const waiting = all.filter(t => t.state === 'waiting')
  const shown = running ?? waiting[0]
  const after = waiting.filter(t => t !== shown)
  return (
    <>
      {paused.map(t => (
        <section key={t.step.id} className={styles.paused} aria-label={`Paused: ${t.step.name}`}>
          {t.paused}
          {!running && t.resume}
        </section>
      ))}
      {shown ? (
        <div key={shown.step.id}>{shown.desk || <Notice>Load the page again to see this one.</Notice>}</div>
      ) : (
        paused.length === 0 && empty
      )}
      {after.length > 0 && (
        <Section title={running ? 'Next' : 'After that'}>
          <ol className={styles.after}>
            {after.map((t, i) => (
              <li key={t.step.id} data-first={(running && i === 0) || undefined}>
                {t.row}
              </li>
            ))}
          </ol>
        </Section>
      )}
    </>
  )
}

/** The sheet of a step: people and screen readers know it as what is done now, or next. */
export function StepSheet({
  step,
  className,
  children,
}: {
  step: Step
  className?: string | undefined
  children: ReactNode
}) {
  const { state } = useStep(step)
  return (
    <article className={className} aria-label={state === 'running' ? 'Now' : 'Next'}>
      {children}
    </article>
  )
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
