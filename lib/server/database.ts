import 'server-only'
import { AsyncLocalStorage } from 'node:async_hooks'
import { SerialSqlite } from './adapter'
import { type Prisma, PrismaClient } from './client/client'
import { live, topicsOf } from './live'

/** The client of a whole database. */
export type Db = PrismaClient
/** What statements are sent through, inside a transaction or outside. */
export type Tx = Prisma.TransactionClient

/** Prisma's own types and raw-SQL helper, for `store.ts` files. */
export { Prisma } from './client/client'

type Shared = { client: Db | undefined; open: AsyncLocalStorage<Tx> }
const shared = globalThis as { shirtwright?: Shared }
// Kept on globalThis, since a development server loads this module anew at every change.
shared.shirtwright ??= { client: undefined, open: new AsyncLocalStorage() }
const holder = shared.shirtwright

/**
 * Opens a database.
 * @param url `file:` and the path of an existing, migrated SQLite file
 * @throws RangeError for any other kind of address
 */
export function openDatabase(url: string): Db {
  if (!url.startsWith('file:')) {
    throw new RangeError('DATABASE_URL must begin with "file:" and name the shop\'s database file.')
  }
  return new PrismaClient({
    adapter: new SerialSqlite({ url, onCommit: tables => live().publish(topicsOf(tables)) }),
    transactionOptions: { maxWait: 15_000, timeout: 15_000 },
  })
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

/** Makes `client` the one that this process works with (tests, seeds, restore). */
export function setDatabase(client: Db | undefined): void {
  holder.client = client
}

/**
 * Where a statement goes: into the transaction that the caller is in, else straight to the database.
 * Stores therefore need not hand a transaction around, and cannot write beside it by mistake.
 */
export const db = (): Tx => holder.open.getStore() ?? database()

/**
 * Runs `work` in one transaction: all of it is saved, or nothing. Inside another transaction it joins that one.
 * Keep slow work (pictures, PDFs, mail) outside: all other writers wait.
 * @param seconds longest time it may take (default 15)
 */
export async function transaction<T>(work: (tx: Tx) => Promise<T>, seconds = 15): Promise<T> {
  const outer = holder.open.getStore()
  if (outer) return work(outer)
  return database().$transaction(tx => holder.open.run(tx, () => work(tx)), { timeout: seconds * 1000 })
}

/** Closes the database; the next use opens it again. */
export async function closeDatabase(): Promise<void> {
  const client = holder.client
  holder.client = undefined
  await client?.$disconnect()
}
