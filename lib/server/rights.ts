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

/** As what somebody is here, and the rights that the owner gave them beyond it. */
export type Holder = { role: Role; also: readonly Right[] }

/** Whether a role, or somebody with all that they may do beyond it, holds a right. */
export const mayDo = (who: Role | Holder, right: Right): boolean =>
  typeof who === 'string'
    ? (HOLDERS[right] as readonly Role[]).includes(who)
    : mayDo(who.role, right) || who.also.includes(right)

/** Rights that the owner may give somebody beyond their job: what others in the shop have too. What is the owner's alone stays so. */
export const addable = (job: Job): Right[] =>
  RIGHTS.filter(right => !mayDo(job, right) && HOLDERS[right].some(role => role !== 'owner'))

/** Rights that are of no use, or no secret, without another: whoever writes orders or purchases types their prices. */
const WITH: Partial<Record<Right, Right>> = { 'orders.change': 'prices.see', 'stock.buy': 'prices.see' }

/**
 * What somebody may do beyond their job, from what was ticked or kept: only what may be added to it, each once, in the table's order, with
 * what goes with it.
 */
export function addedTo(job: Job, asked: readonly string[]): Right[] {
  const wanted = new Set<string>(asked)
  for (const [right, other] of Object.entries(WITH)) if (wanted.has(right)) wanted.add(other)
  return addable(job).filter(right => wanted.has(right))
}

/** Who may open an address: holders of a right, anybody signed in, anybody signed in by a password (not by PIN), programs that show a key, or everybody. */
export type Door = Right | 'signed in' | 'by password' | 'by key' | 'everybody'

/**
 * Every address of the app, by its beginning; the longest that fits counts. A part in square brackets is any part. One that fits none is open to
 * nobody. A test holds each page and route to the right that stands here.
 */
const DOORS: Record<string, Door> = {
  '/': 'signed in',
  '/counter': 'orders.see',
  '/counter/new': 'orders.change',
  '/counter/invoices': 'prices.see',
  '/counter/customers/new': 'orders.change',
  '/counter/customers/import': 'orders.change',
  '/counter/customers/[id]/edit': 'orders.change',
  '/counter/orders/[number]/edit': 'orders.change',
  '/counter/orders/[number]/methods': 'prices.see',
  '/counter/orders/[number]/offer': 'prices.see',
  '/artdesk': 'artwork.see',
  '/floor': 'floor.see',
  '/stockroom': 'stock.see',
  '/stockroom/blanks/new': 'stock.buy',
  '/stockroom/blanks/import': 'stock.buy',
  '/stockroom/items/new': 'stock.buy',
  '/stockroom/items/[sku]/edit': 'stock.buy',
  '/stockroom/purchases/new': 'stock.buy',
  '/stockroom/purchases/[number]/pdf': 'stock.buy',
  '/stockroom/counts/[number]/differences': 'stock.buy',
  '/office': 'books.see',
  '/office/backups': 'shop.change',
  '/office/health': 'shop.change',
  '/office/hours': 'people.change',
  '/office/invoicing': 'shop.change',
  '/office/machines/[code]': 'rates.change',
  '/office/people/new': 'people.change',
  '/office/people/[id]': 'people.change',
  '/office/printers/[key]': 'rates.change',
  '/office/programs': 'shop.change',
  '/office/shop': 'shop.change',
  '/office/sign-ins': 'people.change',
  '/account': 'by password',
  '/wall': 'floor.see',
  '/icon.svg': 'everybody',
  '/offer': 'everybody',
  '/sign-in': 'everybody',
  '/welcome': 'everybody',
  '/parts': 'everybody',
  '/api/artwork': 'artwork.change',
  '/api/artwork/placing': 'artwork.see',
  '/api/artwork/production': 'artwork.see',
  '/api/artwork/[id]/knockout': 'artwork.see',
  // For tickets, which are read at a shared tablet too.
  '/api/artwork/[id]/picture': 'artwork.pictures',
  '/api/artwork/[id]/versions/[version]': 'artwork.see',
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

const partsOf = (path: string): string[] => path.split('/').filter(Boolean)
const isAnyPart = (part: string): boolean => part.startsWith('[') && !part.startsWith('[...')
/** Every row by its parts: the longest first, and of equally long ones that with fewer parts that may be any. */
const ROWS = Object.entries(DOORS)
  .map(([path, door]) => ({ parts: partsOf(path), door }))
  .sort(
    (a, b) =>
      b.parts.length - a.parts.length || a.parts.filter(isAnyPart).length - b.parts.filter(isAnyPart).length,
  )

/** Who may open this address; undefined if it is in no row of the table. */
export function doorOf(path: string): Door | undefined {
  const parts = partsOf(path)
  if (parts.length === 0) return DOORS['/']
  const row = ROWS.find(
    one =>
      one.parts.length > 0 &&
      one.parts.every((part, i) => part === parts[i] || (isAnyPart(part) && parts[i])),
  )
  return row?.door
}

/** Whether a person may pass a door; null is somebody who is not signed in. */
export function mayPass(who: Role | Holder | null, door: Door): boolean {
  if (door === 'everybody') return true
  // No person comes in here, whoever is signed in: lib/server/api-keys looks at the key.
  if (who === null || door === 'by key') return false
  if (door === 'signed in') return true
  if (door !== 'by password') return mayDo(who, door)
  return (typeof who === 'string' ? who : who.role) !== 'tablet'
}

/** Whether a person may open an address; one that is in no row of the table is open to nobody. */
export function mayOpen(who: Role | Holder | null, path: string): boolean {
  const door = doorOf(path)
  return door !== undefined && mayPass(who, door)
}
