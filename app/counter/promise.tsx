import { StateMark } from '@/app/parts/state-mark'
import type { OrderState } from '@/lib/orders/states'
import { dayOf, formatDay, formatTime, type Instant } from '@/lib/units/time'

const DONE: OrderState[] = ['ready', 'handedOver', 'declined', 'withdrawn']

/** A promise as a list shows it: the day, the hour when it is near, hard ones marked, missed ones late. */
export function Promised({
  at,
  hard,
  state,
  now,
  zone,
}: {
  at: Instant | null
  hard: boolean
  state: OrderState
  now: Instant
  zone: string
}) {
  if (at === null) return <>none yet</>
  const near = at - now < 48 * 3_600_000
  const words = `${dayOf(at, zone) === dayOf(now, zone) ? 'today' : formatDay(at, zone)}${near || hard ? `, ${formatTime(at, zone)}` : ''}`
  if (at < now && !DONE.includes(state)) return <StateMark state="late">{words}</StateMark>
  return (
    <>
      {words}
      {hard && <strong> hard</strong>}
    </>
  )
}
