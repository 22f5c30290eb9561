import { whyRun } from '@/lib/planning/board/store'
import { untilChanged } from '@/lib/server/live'
import { personWith } from '@/lib/server/session'
import { instantOf } from '@/lib/units/time'

/** Why a run of the board starts when it does: { why: [{ kind, words, until }] }, the decisive reason first. */
export async function GET(_request: Request, { params }: { params: Promise<{ step: string }> }) {
  const person = await personWith('floor.see')
  if (!person.ok) return Response.json(person, { status: person.code === 'signed-out' ? 401 : 403 })
  const { step } = await params
  const now = new Date()
  const why = await untilChanged(`why ${step} ${Math.floor(now.getTime() / 60_000)}`, () =>
    whyRun(step, instantOf(now)),
  )
  if (!why)
    return Response.json(
      { ok: false, message: 'This run is not on the plan any more: it was finished or taken off.' },
      { status: 404 },
    )
  return Response.json({ ok: true, why }, { headers: { 'Cache-Control': 'no-store' } })
}
