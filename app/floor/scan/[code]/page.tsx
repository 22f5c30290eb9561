import type { Metadata } from 'next'
import { redirect } from 'next/navigation'
import { ButtonLink } from '@/app/parts/button'
import { EmptyState } from '@/app/parts/empty-state'
import { RoomPage } from '@/app/parts/room-page'
import { readCode } from '@/lib/floor/scan'
import { jobView, type StepView } from '@/lib/floor/views/store'
import type { OrderState } from '@/lib/orders/states'
import { STATE_WORDS } from '@/lib/orders/states'
import { requirePerson } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import { formatMoment } from '@/lib/units/time'

export const metadata: Metadata = { title: 'Ticket' }

/** Where the code of a ticket leads: to the step that is next, at its station; else a word why there is none. */
export default async function Scan({ params }: { params: Promise<{ code: string }> }) {
  await requirePerson('floor.see')
  const code = readCode((await params).code)
  const view = code && (await jobView(code.number))
  if (!view || !code)
    return (
      <Word title="This is no ticket of this shop">
        The code names no order that is known here: look whether it is another shop’s, or type the number on
        the board.
      </Word>
    )
  const own = view.steps.filter(s => s.state !== 'dropped' && (code.job === null || s.job === code.job))
  const next = nextOf(own)
  const station = next && (next.station ?? next.planned)
  if (next && station) redirect(`/floor/stations/${station.code}?ticket=${view.job.number}#step-${next.id}`)
  const { number } = view.job
  if (next)
    return (
      <Word title={`${number} has no place on the plan yet`} number={number}>
        “{next.title}” is its next step. The board says why it cannot be placed.
      </Word>
    )
  const last = own.reduce<StepView | null>(
    (a, s) => (s.finishedAt !== null && s.finishedAt > (a?.finishedAt ?? 0) ? s : a),
    null,
  )
  const { timeZone } = await shop()
  return (
    <Word title={own.length ? `${number} is finished` : `${number} has nothing on the floor`} number={number}>
      {last?.finishedAt && last.last
        ? `“${last.title}” was its last step: ${last.last.byName} counted ${last.good} good, ${formatMoment(last.finishedAt, timeZone)}. `
        : ''}
      The order is {STATE_WORDS[view.job.state as OrderState]}. Nothing was started.
    </Word>
  )
}

const nextOf = (steps: readonly StepView[]) =>
  steps.find(s => s.state === 'running') ??
  steps.find(s => s.state === 'paused') ??
  steps.find(s => s.state === 'waiting')

function Word({ title, number, children }: { title: string; number?: number; children: React.ReactNode }) {
  return (
    <RoomPage narrow>
      <EmptyState
        title={title}
        action={
          <>
            <ButtonLink look="primary" size="floor" href="/floor/stations">
              What is next at the stations
            </ButtonLink>{' '}
            {number && (
              <ButtonLink size="floor" href={`/floor/jobs/${number}`}>
                Job {number}
              </ButtonLink>
            )}
          </>
        }
      >
        {children}
      </EmptyState>
    </RoomPage>
  )
}
