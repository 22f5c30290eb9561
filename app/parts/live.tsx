'use client'
import { useRouter } from 'next/navigation'
import { useEffect, useRef, useSyncExternalStore, useTransition } from 'react'
import type { Topic } from '@/lib/server/live'
import { ALL, type Heard, type Line, liveLine } from './live-line'

const NEW: Line = { state: 'joining', skew: null }
const watch = (look: () => void) => liveLine().watch(look)

/** How the line to the server stands: { state, skew }. */
export const useLine = (): Line =>
  useSyncExternalStore(
    watch,
    () => liveLine().line,
    () => NEW,
  )

/**
 * Calls `hear` when something of these topics has changed anywhere in the shop, or when nobody knows what was missed ("all").
 * @param topics what the page shows
 */
export function useLive(topics: readonly Topic[], hear: (heard: Heard) => void): void {
  const latest = useRef(hear)
  useEffect(() => {
    latest.current = hear
  })
  const wanted = topics.join()
  useEffect(
    () =>
      liveLine().listen(heard => {
        const mine = wanted.split(',')
        if (heard === ALL || heard.some(t => mine.includes(t))) latest.current(heard)
      }),
    [wanted],
  )
}

/**
 * Asks for the page anew as soon as something that it shows has changed, on whatever screen. What is typed stays. Changes that come
 * while the page is being fetched cost one more fetch, not one each; a page that nobody sees waits until it is looked at.
 * @param topics of floor, plan, orders, art, stock, shop, books
 * @param minutes asks anew after so long too, where the page shows what time alone changes
 */
export function Live({ topics, minutes }: { topics: readonly Topic[]; minutes?: number }) {
  const router = useRouter()
  const [fetching, start] = useTransition()
  const busy = useRef(false)
  const due = useRef(false)
  const look = () => {
    // Without a line the browser would leave the page for one that says so, and what is typed on it would be lost.
    if (document.visibilityState === 'hidden' || busy.current || liveLine().line.state !== 'open') {
      due.current = true
      return
    }
    due.current = false
    busy.current = true
    start(() => router.refresh())
  }
  const again = useRef(look)
  useEffect(() => {
    again.current = look
  })
  useEffect(() => {
    busy.current = fetching
    if (!fetching && due.current) again.current()
  }, [fetching])
  useEffect(() => {
    const seen = () => {
      if (document.visibilityState === 'visible' && due.current) again.current()
    }
    document.addEventListener('visibilitychange', seen)
    const stop = liveLine().watch(seen)
    const timer = minutes ? setInterval(() => again.current(), minutes * 60_000) : undefined
    return () => {
      stop()
      document.removeEventListener('visibilitychange', seen)
      clearInterval(timer)
    }
  }, [minutes])
  useLive(topics, look)
  return null
}
