/** The five rooms, in the shop's order. */
export const ROOMS = [
  { key: 'counter', name: 'Counter', href: '/counter' },
  { key: 'artdesk', name: 'Art desk', href: '/artdesk' },
  { key: 'floor', name: 'Floor', href: '/floor' },
  { key: 'stockroom', name: 'Stockroom', href: '/stockroom' },
  { key: 'office', name: 'Office', href: '/office' },
] as const

export type RoomKey = (typeof ROOMS)[number]['key']
