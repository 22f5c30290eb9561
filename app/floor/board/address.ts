import type { Wanted } from '@/lib/floor/find'
import type { ShopDay } from '@/lib/units/time'

/** What an address of the board asks for. */
export type Asked = { day: ShopDay; week: boolean } & Wanted

/** The address of the board with some things changed. */
export function boardAddress(asked: Asked, change: Partial<Asked> = {}): string {
  const { day, week, find, who, station } = { ...asked, ...change }
  const query = new URLSearchParams({
    day,
    ...(week && { view: 'week' }),
    ...(find && { find }),
    ...(who && { who }),
    ...(station && { station }),
  })
  return `/floor?${query}`
}
