/** What somebody can be in the shop. */
export const JOBS = ['owner', 'counter', 'press'] as const
export type Job = (typeof JOBS)[number]

/** As whom one is here: by one's job, or at a tablet that several people share, by a PIN, which opens the floor alone. */
export const ROLES = [...JOBS, 'tablet'] as const
export type Role = (typeof ROLES)[number]

/**
 * The one table of rights: what is not listed for a role, it may not do.
 * Wages and margins are the owner's alone (`books.see`).
 */
const HOLDERS = {
  'orders.see': ['owner', 'counter', 'press'],
  'orders.change': ['owner', 'counter'],
  'prices.see': ['owner', 'counter'],
  'artwork.see': ['owner', 'counter', 'press'],
  'artwork.pictures': ['owner', 'counter', 'press', 'tablet'],
  'artwork.change': ['owner', 'counter'],
  'artwork.clear': ['owner', 'counter'],
  'floor.see': ['owner', 'counter', 'press', 'tablet'],
  'floor.report': ['owner', 'counter', 'press', 'tablet'],
  'floor.plan': ['owner', 'counter'],
  'stock.see': ['owner', 'counter', 'press'],
  'stock.move': ['owner', 'counter', 'press'],
  'stock.buy': ['owner', 'counter'],
  'books.see': ['owner'],
  'books.close': ['owner'],
  'rates.change': ['owner'],
  'people.change': ['owner'],
  'shop.change': ['owner'],
} as const satisfies Record<string, readonly Role[]>

export type Right = keyof typeof HOLDERS
export const RIGHTS = Object.keys(HOLDERS) as Right[]

/** What a right lets one do, in words that follow "You need the right to". */
export const RIGHT_WORDS: Record<Right, string> = {
  'orders.see': 'see orders',
  'orders.change': 'change orders and customers',
  'prices.see': 'see prices',
  'artwork.see': 'see artwork',
  'artwork.pictures': 'see pictures of artwork',
  'artwork.change': 'change artwork',
  'artwork.clear': 'record why artwork may be sold',
  'floor.see': 'see the floor',
  'floor.report': 'report work at a station',
  'floor.plan': 'change the plan',
  'stock.see': 'see the stock',
  'stock.move': 'book stock in and out',
  'stock.buy': 'buy stock',
  'books.see': 'see wages, costs and margins',
  'books.close': 'close a month',
  'rates.change': 'change rates',
  'people.change': 'change people and their rights',
  'shop.change': "change the shop's settings",
}

/** Whether a role holds a right. */
export const mayDo = (role: Role, right: Right): boolean => (HOLDERS[right] as readonly Role[]).includes(role)

/** Who may open an address: holders of a right, anybody signed in, anybody signed in by a password (not by PIN), programs that show a key, or everybody. */
export type Door = Right | 'signed in' | 'by password' | 'by key' | 'everybody'

/** Every address of the app, by its beginning; the longest that fits counts. One that fits none is open to nobody. */
const DOORS: Record<string, Door> = {
  '/': 'signed in',
  '/counter': 'orders.see',
  '/counter/invoices': 'prices.see',
  '/artdesk': 'artwork.see',
  '/floor': 'floor.see',
  '/stockroom': 'stock.see',
  '/office': 'books.see',
  '/account': 'by password',
  '/wall': 'floor.see',
  '/icon.svg': 'everybody',
  '/offer': 'everybody',
  '/sign-in': 'everybody',
  '/welcome': 'everybody',
  '/parts': 'everybody',
  // Pictures for tickets; what else lies there asks for more.
  '/api/artwork': 'artwork.pictures',
  '/api/counts': 'stock.move',
  '/api/events': 'floor.see',
  '/api/misprints': 'floor.see',
  '/api/orders': 'by key',
  '/api/catalogue': 'by key',
  '/api/openapi.json': 'everybody',
  '/programs': 'everybody',
  '/api/plan': 'floor.see',
  '/api/reports': 'floor.report',
  '/api/health': 'everybody',
  // Says that there is nothing there.
  '/api/[...path]': 'everybody',
}

/** Who may open this address; undefined if it is in no row of the table. */
export function doorOf(path: string): Door | undefined {
  const parts = path.split('/').filter(Boolean)
  for (let length = parts.length; length > 0; length--) {
    const door = DOORS[`/${parts.slice(0, length).join('/')}`]
    if (door) return door
  }
  return parts.length === 0 ? DOORS['/'] : undefined
}

/** Whether a person may pass a door; null is somebody who is not signed in. */
export function mayPass(role: Role | null, door: Door): boolean {
  if (door === 'everybody') return true
  // No person comes in here, whoever is signed in: lib/server/api-keys looks at the key.
  if (role === null || door === 'by key') return false
  if (door === 'signed in') return true
  return door === 'by password' ? role !== 'tablet' : mayDo(role, door)
}

/** Whether a person may open an address; one that is in no row of the table is open to nobody. */
export function mayOpen(role: Role | null, path: string): boolean {
  const door = doorOf(path)
  return door !== undefined && mayPass(role, door)
}
