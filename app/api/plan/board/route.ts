import { asDay } from '@/app/floor/asked-day'
import { sentScreen } from '@/lib/floor/views/store'
import { mayDo } from '@/lib/server/rights'
import { personWith } from '@/lib/server/session'
import { instantOf } from '@/lib/units/time'

/** All that a screen draws of the board of one day (or its week): BoardScreen of lib/floor/views. Asked for by every open board after a change. */
export async function GET(request: Request) {
  const person = await personWith('floor.see')
  if (!person.ok) return Response.json(person, { status: person.code === 'signed-out' ? 401 : 403 })
  const asked = new URL(request.url).searchParams
  const day = asDay(asked.get('day') ?? undefined)
  if (!day)
    return Response.json(
      { ok: false, code: 'day', message: 'Say which day of the board is wanted: day=2026-05-14.' },
      { status: 400 },
    )
  const text = await sentScreen(
    {
      day,
      week: asked.get('view') === 'week',
      find: (asked.get('find') ?? '').slice(0, 80),
      all: asked.get('all') === 'yes',
      plans: mayDo(person.value, 'floor.plan'),
    },
    instantOf(new Date()),
  )
  return new Response(text, {
    headers: { 'Content-Type': 'application/json; charset=utf-8', 'Cache-Control': 'no-store' },
  })
}
