'use client'
import { useCallback, useEffect, useRef, useState } from 'react'
import { Button } from '@/app/parts/button'
import { useLine } from '@/app/parts/live'
import { liveLine } from '@/app/parts/live-line'
import {
  dropPiece,
  endOf,
  keptPress,
  LATE_SIGNAL_S,
  nextPeel,
  openPress,
  type PressClock,
  type PressPlan,
  peeled,
  readPress,
  recount,
  touchPress,
} from '@/lib/floor/press-clock'
import type { Instant } from '@/lib/units/time'
import { bellOf, openSound } from './bell'
import { type Step, useStep } from './desk'
import { keepCount } from './press-count'
import styles from './press-timer.module.css'
import { large } from './text'

/** The shop's time: a tablet with a wrong clock counts right too. */
const shopNow = () => liveLine().now() as Instant

/** How long the page waits for the server's clock before it takes this device's, ms. */
const CLOCK_WAIT_MS = 2500

/** The press timer of a step: it goes on where what was reported so far has left it. */
export function StationTimer({ step, plan, verb }: { step: Step; plan: PressPlan; verb: string }) {
  const { open } = useStep(step)
  if (open === 0) return null
  return <PressTimer name={step.id} plan={plan} most={step.pieces} worked={step.pieces - open} verb={verb} />
}

/**
 * Counts down the dwell of every piece, one closing after the other, with a sound and a shake at the end. One touch, or the space
 * bar from anywhere on the page, goes on. The clock is kept in this browser under `name`, so a reload loses nothing.
 * @param name of what is kept: the step's id
 * @param plan closings of the press, and the rest before peeling
 * @param most pieces of this run
 * @param worked pieces that are reported already
 * @param verb how a piece is begun: "Close the press"
 */
function PressTimer({
  name,
  plan,
  most,
  worked,
  verb,
}: {
  name: string
  plan: PressPlan
  most: number
  worked: number
  verb: string
}) {
  const [kept, setClock] = useState<PressClock>(openPress)
  const [now, setNow] = useState<Instant | null>(null)
  const [sounds, setSounds] = useState(false)
  const newest = useRef(openPress)
  const key = `press:${name}`
  const clock = kept.counted < worked ? { ...kept, counted: worked } : kept
  const { skew } = useLine()
  const known = skew !== null

  const keep = useCallback(
    (next: PressClock) => {
      setClock(next)
      setNow(shopNow())
      newest.current = next
      try {
        localStorage.setItem(key, JSON.stringify(next))
      } catch {
        // A browser that keeps nothing still counts down.
      }
    },
    [key],
  )
  useEffect(() => keepCount(name, Math.max(0, kept.counted - worked)), [name, kept.counted, worked])

  useEffect(() => {
    const tick = () => setNow(shopNow())
    const read = () => {
      newest.current = keptClock(key) ?? newest.current
      setClock(newest.current)
      tick()
    }
    let timer: ReturnType<typeof setInterval> | undefined
    const begin = () => {
      read()
      timer = setInterval(tick, 200)
    }
    // Nothing is counted by a clock that the next second may put right by an hour.
    const wait = known ? undefined : setTimeout(begin, CLOCK_WAIT_MS)
    if (known) begin()
    // The same step open in another tab of this device counts along.
    const other = (e: StorageEvent) => e.key === key && read()
    document.addEventListener('visibilitychange', tick)
    window.addEventListener('storage', other)
    return () => {
      clearTimeout(wait)
      clearInterval(timer)
      document.removeEventListener('visibilitychange', tick)
      window.removeEventListener('storage', other)
    }
  }, [key, known])

  const reading = readPress(clock, plan, now ?? (0 as Instant))
  const { phase, peelNow } = reading
  const ended = now !== null && phase === 'over' ? `${clock.counted}.${clock.stage}` : ''
  const last = useRef({ ended: '', peelNow: 0 })
  useEffect(() => {
    if (now === null) return
    const press = bellOf(key)
    const peel = bellOf(`${key}:peel`)
    const fresh = ended !== '' && ended !== last.current.ended && reading.over < LATE_SIGNAL_S
    if (fresh) press.ring()
    if (peelNow > last.current.peelNow) peel.ring()
    last.current = { ended, peelNow }
    // Looked at with every tick: the clock may have been put right, or the piece let go.
    const end = endOf(kept, plan)
    press.aim(end !== null && end > now ? end - now : null)
    const free = nextPeel(kept, now)
    peel.aim(free === null ? null : free - now)
  }, [ended, peelNow, now, reading.over, kept, plan, key])

  useEffect(() => {
    const open = () => setSounds(openSound())
    window.addEventListener('pointerdown', open)
    window.addEventListener('keydown', open)
    return () => {
      window.removeEventListener('pointerdown', open)
      window.removeEventListener('keydown', open)
    }
  }, [])
  useAwake(phase !== 'open' || clock.resting.length > 0)

  const touch = useCallback(() => {
    setSounds(openSound())
    const was = keptClock(key) ?? newest.current
    keep(touchPress({ ...was, counted: Math.max(was.counted, worked) }, plan, most, shopNow()))
  }, [keep, key, plan, most, worked])

  useEffect(() => {
    const space = (e: KeyboardEvent) => {
      const on = e.target as HTMLElement
      if (
        e.code !== 'Space' ||
        e.repeat ||
        on.closest('input, textarea, select, button, a, summary, [popover]')
      )
        return
      e.preventDefault()
      touch()
    }
    window.addEventListener('keydown', space)
    return () => window.removeEventListener('keydown', space)
  }, [touch])

  const stage = plan.stages[Math.min(clock.stage, plan.stages.length - 1)]
  const lastStage = clock.stage >= plan.stages.length - 1
  const finished = clock.counted >= most
  const then = stage?.after ?? (lastStage && plan.rest > 0 ? 'lay it aside to settle' : '')
  const step = lastStage
    ? clock.counted + 1 >= most
      ? 'last piece done'
      : 'next piece'
    : plan.stages[clock.stage + 1]?.title.toLowerCase()
  const words =
    phase === 'open'
      ? finished
        ? 'All pieces counted'
        : plan.stages.length > 1
          ? `${verb}: ${stage?.title.toLowerCase()}`
          : verb
      : phase === 'pressing'
        ? stage?.title
        : `${then ? `${large(then)}. ` : ''}Touch: ${step}`

  return (
    <div className={styles.timer} data-screen-only>
      <button
        type="button"
        className={styles.face}
        data-phase={phase}
        onClick={touch}
        disabled={now === null || (phase === 'open' && finished)}
        style={{ '--share': reading.share } as React.CSSProperties}
      >
        <span className={styles.seconds}>{phase === 'over' ? '0' : reading.left}</span>
        <span className={styles.words}>{words}</span>
        {phase === 'over' && reading.over >= 3 && (
          <span className={styles.over}>ended {agoWords(reading.over)} ago</span>
        )}
      </button>
      <p className="aloud" role="status">
        {phase === 'over' ? `${stage?.title} is over. ${words}` : ''}
        {peelNow > 0 ? `Peel ${peelNow} now.` : ''}
      </p>
      <div className={styles.foot}>
        <output className={styles.count} aria-label="Pieces counted">
          <b>{clock.counted}</b> of {most}
        </output>
        <div className={styles.tools}>
          <Button onClick={() => keep(recount(clock, -1, most))} aria-label="One piece less">
            −1
          </Button>
          <Button onClick={() => keep(recount(clock, 1, most))} aria-label="One piece more">
            +1
          </Button>
          {phase !== 'open' && <Button onClick={() => keep(dropPiece(clock))}>Not this one</Button>}
        </div>
      </div>
      {plan.rest > 0 && (reading.peelIn !== null || peelNow > 0) && (
        <div className={styles.rest}>
          {peelNow > 0 ? (
            <>
              <strong>Peel {peelNow === 1 ? 'one piece' : `${peelNow} pieces`} now.</strong>
              <Button onClick={() => keep(peeled(clock, shopNow()))}>Peeled</Button>
            </>
          ) : (
            <span>Settling: peel the next one in {reading.peelIn} s.</span>
          )}
        </div>
      )}
      {phase === 'pressing' && !sounds && (
        <p className={styles.hint}>Touch the page once: before that the browser lets nothing sound.</p>
      )}
      <p className={styles.hint}>
        Space bar or touch. {plan.stages.map(s => `${s.title} ${s.seconds} s`).join(', ')}.
      </p>
    </div>
  )
}

/** What this browser keeps of the clock; null where it keeps nothing. */
function keptClock(key: string): PressClock | null {
  try {
    const text = localStorage.getItem(key)
    return text === null ? null : keptPress(text)
  } catch {
    return null
  }
}

const agoWords = (s: number) => (s < 120 ? `${s} s` : `${Math.floor(s / 60)} min`)

/** Keeps the screen lit while something is waited for. Browsers offer that over https only: elsewhere the screen goes dark as it does. */
function useAwake(wanted: boolean) {
  useEffect(() => {
    if (!wanted || !('wakeLock' in navigator)) return
    let lock: WakeLockSentinel | null = null
    let over = false
    // A tab that was left gives the lock back.
    const ask = () => {
      if (document.visibilityState !== 'visible') return
      navigator.wakeLock.request('screen').then(
        got => {
          lock = got
          if (over) void got.release()
        },
        () => {
          // A device low on power refuses.
        },
      )
    }
    ask()
    document.addEventListener('visibilitychange', ask)
    return () => {
      over = true
      document.removeEventListener('visibilitychange', ask)
      void lock?.release()
    }
  }, [wanted])
}
