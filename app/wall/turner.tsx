'use client'
import { Children, type ReactNode, useEffect, useState, useSyncExternalStore } from 'react'
import { useLine } from '@/app/parts/live'
import { liveLine } from '@/app/parts/live-line'
import { RegistrationMark } from '@/app/parts/mark'
import type { Palette } from '@/app/parts/palette'
import { pageAt } from '@/lib/floor/wall-pages'
import { formatTime, type Instant } from '@/lib/units/time'
import styles from './wall.module.css'

/** Seconds that a page stays up: long enough to read four rows from across the room. */
const PAGE_SECONDS = 12

const everySecond = (look: () => void) => {
  const timer = setInterval(look, 1000)
  return () => clearInterval(timer)
}
/** The shop's time in whole seconds: one drawing a second, not more. */
const secondNow = () => Math.floor(liveLine().now() / 1000) * 1000

/** Shows one page after the other by the shop's clock. Needs no hand; the arrow keys turn by hand where somebody wants to. */
export function WallTurner({
  shop,
  zone,
  now,
  colours,
  titles,
  children,
}: {
  shop: string
  zone: string
  now: Instant
  colours: Palette | null
  titles: readonly string[]
  children: ReactNode
}) {
  const at = useSyncExternalStore(everySecond, secondNow, () => now)
  const [by, turn] = useState(0)
  const line = useLine()
  useEffect(() => {
    if (colours) document.documentElement.dataset.palette = colours
    // A screen that goes dark is no wall; over plain http the browser does not offer this, and the TV's own setting does.
    const awake = () => void navigator.wakeLock?.request('screen').catch(() => {})
    const seen = () => document.visibilityState === 'visible' && awake()
    const key = (e: KeyboardEvent) => {
      if (e.key === 'ArrowRight') turn(n => n + 1)
      if (e.key === 'ArrowLeft') turn(n => n - 1)
    }
    awake()
    document.addEventListener('visibilitychange', seen)
    window.addEventListener('keydown', key)
    return () => {
      document.removeEventListener('visibilitychange', seen)
      window.removeEventListener('keydown', key)
    }
  }, [colours])
  const pages = Children.toArray(children)
  const count = pages.length
  const up = count === 0 ? 0 : (((pageAt(at, count, PAGE_SECONDS) + by) % count) + count) % count
  return (
    <>
      <header className={styles.head}>
        <RegistrationMark size={64} />
        <h1>{titles[up] ?? shop}</h1>
        <p className={styles.turn}>{count > 1 && `${up + 1} of ${count}`}</p>
        <time className={styles.clock}>{formatTime(at as Instant, zone)}</time>
      </header>
      {count === 0 && <p className={styles.empty}>Nothing is planned, nothing is promised.</p>}
      {pages[up]}
      {(line.state === 'cut' || line.state === 'signed-out') && (
        <p role="status" className={styles.cut}>
          {line.state === 'cut'
            ? 'No line to the shop’s server: this may be old.'
            : 'Signed out: sign in on this screen.'}
        </p>
      )}
    </>
  )
}
