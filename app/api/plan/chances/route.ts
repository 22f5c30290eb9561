import { chancesNow } from '@/lib/floor/sure/store'
import { personWith } from '@/lib/server/session'
import { instantOf } from '@/lib/units/time'

/** How sure the promises of the plan are: { orders: { id: { onTime, nineInTen } }, runs }. Takes a moment after a new plan. */
export async function GET() {
  const person = await personWith('floor.see')
  if (!person.ok) return Response.json(person, { status: person.code === 'signed-out' ? 401 : 403 })
  return Response.json(await chancesNow(instantOf(new Date())), {
    headers: { 'Cache-Control': 'no-store' },
  })
}
