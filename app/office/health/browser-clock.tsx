'use client'
import { useEffect, useState } from 'react'
import { StateMark } from '@/app/parts/state-mark'

/** Further apart than this is no matter of how long the line took. */
const APART_MS = 60_000

/** How far this browser's own clock is from the server's, which stands on every answer (RFC 9110, 6.6.1). */
export function BrowserClock() {
  const [apart, setApart] = useState<number | null>(null)
  useEffect(() => {
    let here = true
    fetch('/api/health', { cache: 'no-store' })
      .then(answer => {
        const said = Date.parse(answer.headers.get('date') ?? '')
        if (here && Number.isFinite(said)) setApart(Date.now() - said)
      })
      // Without a line there is nothing to compare.
      .catch(() => {})
    return () => {
      here = false
    }
  }, [])
  if (apart === null) return null
  return Math.abs(apart) <= APART_MS ? (
    <StateMark state="done">this browser says the same</StateMark>
  ) : (
    <StateMark state="late">
      this browser is {Math.round(Math.abs(apart) / 60_000)} min {apart > 0 ? 'ahead' : 'behind'}: set the
      wrong one of the two
    </StateMark>
  )
}
