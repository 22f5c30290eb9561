import type { Metadata } from 'next'
import { cookies } from 'next/headers'
import { STRIP_COOKIE, stripRem } from '@/app/parts/day-strip-place'
import type { Wanted } from '@/lib/floor/find'
import { openingDay, sharedScreen } from '@/lib/floor/views/store'
import { mayDo } from '@/lib/server/rights'
import { requirePerson } from '@/lib/server/session'
import { instantOf } from '@/lib/units/time'
import { asDay } from './asked-day'
import { Board } from './board/board'

export const metadata: Metadata = { title: 'Floor' }

type Asked = Record<'day' | 'view' | keyof Wanted, string | string[] | undefined>
type Search = { searchParams: Promise<Partial<Asked>> }
const textOf = (value: string | string[] | undefined) => (typeof value === 'string' ? value.slice(0, 80) : '')

/** The board, of today or the next day that is open, or of the day and with the filters that the address asks for. */
export default async function Floor({ searchParams }: Search) {
  const person = await requirePerson('floor.see')
  const query = await searchParams
  const now = instantOf(new Date())
  const chosen = asDay(query.day)
  const asked = {
    day: chosen ?? (await openingDay(now)),
    week: query.view === 'week',
    find: textOf(query.find),
    who: textOf(query.who),
    station: textOf(query.station),
  }
  const first = await sharedScreen({ ...asked, all: false, plans: mayDo(person, 'floor.plan') }, now)
  const rem = stripRem((await cookies()).get(STRIP_COOKIE)?.value)
  return <Board first={first} asked={asked} chosen={chosen !== null} rem={rem} />
}
