'use client'
import { useCallback, useEffect, useRef, useState } from 'react'
import { useLive } from '@/app/parts/live'
import { liveLine } from '@/app/parts/live-line'
import { type BoardScreen, sameWhereSame } from '@/lib/floor/views/screen'
import type { Topic } from '@/lib/server/live'

/** What the board shows parts of. */
const TOPICS: readonly Topic[] = ['floor', 'plan', 'orders', 'art', 'stock', 'shop']
/** Asked anew after so long too: time alone makes promises late, ms. */
const MINUTE_MS = 60_000
/** Changes that come in a row are fetched no more often than this, ms. */
const APART_MS = 150

/**
 * The board's data on this screen: what the page came with, then what is fetched after every change in the shop. One fetch at a time: what
 * changes meanwhile costs one more, not one each. A page that nobody sees waits until it is looked at.
 * @param first what the page was drawn with
 * @param asked where the data is fetched: the query of /api/plan/board
 */
export function useScreen(first: BoardScreen, asked: string): { screen: BoardScreen; look: () => void } {
  const [held, hold] = useState({ first, asked, screen: first })
  let now = held
  if (held.first !== first || held.asked !== asked) {
    // Another day comes with its own data; the same page drawn anew counts unless something newer is here.
    const stays = held.first === first || (held.asked === asked && held.screen.made > first.made)
    now = { first, asked, screen: stays ? held.screen : first }
    hold(now)
  }
  const fetching = useRef(false)
  const due = useRef(false)
  const address = useRef(asked)

  const look = useCallback(async () => {
    if (document.visibilityState === 'hidden' || fetching.current || liveLine().line.state !== 'open') {
      due.current = true
      return
    }
    fetching.current = true
    do {
      due.current = false
      const mine = address.current
      const answer = await fetch(`/api/plan/board?${mine}`, { cache: 'no-store' }).catch(() => null)
      const fresh = answer?.ok ? ((await answer.json().catch(() => null)) as BoardScreen | null) : null
      if (fresh)
        hold(h =>
          h.asked === mine && fresh.made >= h.screen.made
            ? { ...h, screen: sameWhereSame(h.screen, fresh) }
            : h,
        )
      if (due.current) await new Promise(done => setTimeout(done, APART_MS))
    } while (due.current)
    fetching.current = false
  }, [])

  useEffect(() => {
    if (address.current === asked) return
    address.current = asked
    void look()
  }, [asked, look])
  useEffect(() => {
    const seen = () => {
      if (due.current && !fetching.current) void look()
    }
    document.addEventListener('visibilitychange', seen)
    const stop = liveLine().watch(seen)
    const timer = setInterval(() => void look(), MINUTE_MS)
    return () => {
      stop()
      document.removeEventListener('visibilitychange', seen)
      clearInterval(timer)
    }
  }, [look])
  useLive(TOPICS, () => void look())
  return { screen: now.screen, look: useCallback(() => void look(), [look]) }
}
