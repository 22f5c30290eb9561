'use client'
import { useEffect, useRef } from 'react'
import { placeAt, type StripRange } from '@/app/parts/day-strip-place'
import { liveLine } from '@/app/parts/live-line'
import { formatTime, type Instant } from '@/lib/units/time'

/** How often the line of now moves, ms. */
const STEP_MS = 5000

/** Moves the strip's line of now between two drawings by the server, by the shop's clock. Draws nothing of its own. */
export function NowLine({ range, zone }: { range: StripRange; zone: string }) {
  const here = useRef<HTMLSpanElement>(null)
  useEffect(() => {
    const move = () => {
      const root = here.current?.parentElement
      const now = liveLine().now()
      if (!root || now < range.from || now > range.to) return
      const left = `${placeAt(now, range)}%`
      for (const mark of root.querySelectorAll<HTMLElement>('[data-now]')) {
        mark.style.left = left
        const time = mark.querySelector('[data-now-time]')
        if (time) time.textContent = formatTime(now as Instant, zone)
      }
    }
    move()
    const timer = setInterval(move, STEP_MS)
    return () => clearInterval(timer)
  }, [range, zone])
  return <span ref={here} hidden />
}
