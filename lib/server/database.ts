import 'server-only'
import { AsyncLocalStorage } from 'node:async_hooks'
import { SerialSqlite } from './adapter'
import { SerialPostgres } from './adapter-postgres'
import { type Prisma, PrismaClient } from './client/client'
import { PrismaClient as PostgresClient } from './client-postgres/client'
import { live, TOPICS, topicsOf } from './live'
import { TableClock } from './table-clock'

/** The client of a whole database. */
export type Db = PrismaClient
/** What statements are sent through, inside a transaction or outside. */
export type Tx = Prisma.TransactionClient

/** Prisma's own types and raw-SQL helper, for `store.ts` files. */
export { Prisma } from './client/client'

/** A transaction that somebody stands in, until it is over. */
type Open = { tx: Tx; of: Db; over: boolean }
type Shared = {
  client: Db | undefined
  open: AsyncLocalStorage<Open>
  /** Clients of shops on a PostgreSQL server, with the address of each. */
  postgres: WeakMap<object, string>
  kept: WeakMap<object, Kept>
}
/** What was read from a SQLite file, with the time of the tables that it was read from. */
type Kept = { clock: TableClock; values: Map<string, { at: number; value: Promise<unknown> }> }
const shared = globalThis as { shirtwright?: Shared }
// Kept on globalThis, since a development server loads this module anew at every change.
shared.shirtwright ??= {
  client: undefined,
  open: new AsyncLocalStorage(),
  postgres: new WeakMap(),
  kept: new WeakMap(),
}
const holder = shared.shirtwright

/** Whether an address leads to a PostgreSQL server. */
export const isPostgresUrl = (url: string): boolean => /^postgres(ql)?:\/\//.test(url)

/**
 * Opens a database.
 * @param url `file:` and the path of an existing, migrated SQLite file, or `postgresql://` and the way to a migrated database
 * @throws RangeError for any other kind of address
 */
export function openDatabase(url: string): Db {
  const transactionOptions = { maxWait: 15_000, timeout: 15_000 }
  const onCommit = (tables: ReadonlySet<string>) => live().publish(topicsOf(tables))
  let client: Db
  const standsInside = () => {
    const open = holder.open.getStore()
    return open?.of === client && !open.over
  }
  if (url.startsWith('file:')) {
    const clock = new TableClock()
    client = new PrismaClient({
      adapter: new SerialSqlite({ url, onCommit, standsInside, clock }),
      transactionOptions,
    })
    holder.kept.set(client, { clock, values: new Map() })
    return client
  }
  if (!isPostgresUrl(url))
    throw new RangeError(
      'DATABASE_URL must begin with "file:" and name the shop\'s database file, or with "postgresql://".',
    )
  const onElsewhere = (tables: ReadonlySet<string> | null) =>
    live().publish(tables ? topicsOf(tables) : [...TOPICS])
  const adapter = new SerialPostgres({ url, onCommit, onElsewhere, standsInside })
  // The same models by the same schema: what only one of the two can do is not used.
  client = new PostgresClient({ adapter, transactionOptions }) as unknown as Db
  holder.postgres.set(client, url)
  return client
}

/** Whether this process has a shop to work with. Without one, only the welcome page is served. */
export const hasDatabase = () => holder.client !== undefined || Boolean(process.env.DATABASE_URL)

/** The one client of this process, opened at first use from DATABASE_URL. For libraries that want a whole client. */
export function database(): Db {
  if (!holder.client) {
    if (!process.env.DATABASE_URL) throw new Error('No database: DATABASE_URL is not set.')
    holder.client = openDatabase(process.env.DATABASE_URL)
  }
  return holder.client
}

/** Whether the shop lies on PostgreSQL: for the few words of SQL that differ (`sql.ts`). */
export const onPostgres = (): boolean => holder.postgres.has(database())

/** Where the shop's PostgreSQL database is; undefined for a shop on SQLite. */
export const postgresAddress = (): string | undefined => holder.postgres.get(database())

/** Makes `client` the one that this process works with (tests, seeds, restore). */
export function setDatabase(client: Db | undefined): void {
  holder.client = client
}

/**
 * Where a statement goes: into the transaction that the caller is in, else straight to the database.
 * Stores therefore need not hand a transaction around, and cannot write beside it by mistake.
 */
export const db = (): Tx => holder.open.getStore()?.tx ?? database()

/**
 * A client for a library that wants a whole one: while somebody stands in a transaction, what the library sends for them joins it, as with `db()`.
 */
export const joining = (client: Db): Db =>
  new Proxy(client, {
    get(whole, name) {
      const open = holder.open.getStore()
      const at = open?.of === whole && !open.over ? open.tx : whole
      const value: unknown = Reflect.get(at, name)
      return typeof value === 'function' ? value.bind(at) : value
    },
  })

/**
 * Runs `work` in one transaction: all of it is saved, or nothing. Inside another transaction it joins that one.
 * Keep slow work (pictures, PDFs, mail) outside: all other writers wait. What is written beside it by the same task, through `database()`,
 * would wait for its end and so for itself: that is refused at once.
 * @param seconds longest time it may take (default 15)
 */
export async function transaction<T>(work: (tx: Tx) => Promise<T>, seconds = 15): Promise<T> {
  const outer = holder.open.getStore()
  if (outer) return work(outer.tx)
  const of = database()
  return of.$transaction(
    async tx => {
      const open = { tx, of, over: false }
      try {
        return await holder.open.run(open, () => work(tx))
      } finally {
        open.over = true
      }
    },
    { timeout: seconds * 1000 },
  )
}

/** Readings that are kept at the same time. */
const MOST_KEPT = 500

/**
 * Reads what changes seldom and is asked for all the time: once, until one of its tables is written, by this process or another. What is
 * kept is shared by all who ask and frozen; who wants to change it copies it. In a transaction that has written one of the tables itself
 * it is read anew. On PostgreSQL nothing is kept: what another server wrote is heard of there a moment late.
 * @param tables every table that `read` looks at
 * @param key names the reading with all that it depends on besides these tables; nothing in it may pass with time
 */
export async function kept<T>(
  tables: readonly Prisma.ModelName[],
  key: string,
  read: () => Promise<T>,
): Promise<T> {
  const store = holder.kept.get(database())
  if (!store) return read()
  const { clock, values } = store
  const inside = holder.open.getStore() !== undefined
  if (inside && clock.isOpen(tables)) return read()
  const at = clock.at(tables)
  const known = values.get(key)
  if (known?.at === at) return known.value as Promise<T>
  // What a transaction reads may be taken back with it.
  if (inside) return read()
  const value = read().then(frozen)
  values.delete(key)
  for (const oldest of values.keys()) {
    if (values.size < MOST_KEPT) break
    values.delete(oldest)
  }
  const mine = { at, value }
  values.set(key, mine)
  value.catch(() => {
    if (values.get(key) === mine) values.delete(key)
  })
  return value
}

/** The same value, with all that is in it, which nobody can change any more (maps and dates excepted). */
function frozen<T>(value: T): T {
  if (typeof value === 'object' && value !== null && !Object.isFrozen(value)) {
    const kind = Object.getPrototypeOf(value)
    if (Array.isArray(value) || kind === Object.prototype || kind === null) {
      Object.freeze(value)
      for (const inner of Object.values(value)) frozen(inner)
    }
  }
  return value
}

/** Closes the database; the next use opens it again. */
export async function closeDatabase(): Promise<void> {
  const client = holder.client
  holder.client = undefined
  await client?.$disconnect()
}
