import { PrismaBetterSqlite3 } from '@prisma/adapter-better-sqlite3'
import {
  isDriverAdapterError,
  type SqlDriverAdapter,
  type SqlDriverAdapterFactory,
  type SqlQuery,
  type Transaction,
} from '@prisma/driver-adapter-utils'
import type { ColumnDefinition, Database as Connection, Statement } from 'better-sqlite3'
import { ANY_TABLE, type TableClock } from './table-clock'

export type SerialSqliteOptions = {
  /** Path of the database file, with or without a leading `file:`. */
  url: string
  /** How long a write waits for another process to let go of the file, in milliseconds (default 5000). */
  patience?: number
  /** Told the names of the tables that were written, each time after they are safe on the disk. */
  onCommit?: (tables: ReadonlySet<string>) => void
  /** Whether the task that asks stands in a transaction of this database: what it sends beside that could only wait for itself. */
  standsInside?: () => boolean
  /** Is kept going: every commit, of this process or another one. */
  clock?: TableClock
}

/**
 * SQLite for Prisma with one writer at a time.
 *
 * The stock adapter shares one connection between all requests, so a statement of one request can land
 * inside the open transaction of another and vanish with its rollback. Here every write and every
 * transaction passes a gate one by one on a connection of its own; plain reads use a second, read-only
 * connection and see committed data only. Transactions take the write lock at once (BEGIN IMMEDIATE):
 * a read lock that later turns into a write lock is refused by SQLite whatever the timeout.
 */
export class SerialSqlite implements SqlDriverAdapterFactory {
  readonly provider = 'sqlite' as const
  readonly adapterName = '@prisma/adapter-better-sqlite3'

  constructor(private readonly options: SerialSqliteOptions) {}

  async connect(): Promise<SqlDriverAdapter> {
    const { url, patience = 5000, onCommit = () => {}, standsInside, clock } = this.options
    const told = (tables: ReadonlySet<string>) => {
      clock?.committed(tables)
      onCommit(tables)
    }
    // A short timeout inside SQLite, since it blocks the whole process; longer waiting is done in `patiently`.
    const writer = await new PrismaBetterSqlite3({ url, timeout: 20 }).connect()
    await writer.executeScript(
      'PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; PRAGMA foreign_keys = ON;',
    )
    const reader = await new PrismaBetterSqlite3({ url, timeout: patience, readonly: true }).connect()
    keepPrepared(connectionOf(reader))
    clock?.listen(commitsElsewhere(writer))
    return new SerialConnection(writer, reader, patience, told, new Gate(standsInside), clock)
  }
}

class SerialConnection implements SqlDriverAdapter {
  readonly provider = 'sqlite' as const
  readonly adapterName = '@prisma/adapter-better-sqlite3'
  readonly #breath = new Breath()

  constructor(
    private readonly writer: SqlDriverAdapter,
    private readonly reader: SqlDriverAdapter,
    private readonly patience: number,
    private readonly onCommit: (tables: ReadonlySet<string>) => void,
    private readonly gate: Gate,
    private readonly clock: TableClock | undefined,
  ) {}

  async queryRaw(query: SqlQuery) {
    await this.#breath.take()
    if (/^\s*SELECT\b/i.test(query.sql)) return this.reader.queryRaw(query)
    return this.#told(query, () => this.writer.queryRaw(query))
  }

  async executeRaw(query: SqlQuery) {
    await this.#breath.take()
    return this.#told(query, () => this.writer.executeRaw(query))
  }

  /** A statement outside a transaction is its own commit. */
  async #told<T>({ sql }: SqlQuery, work: () => Promise<T>): Promise<T> {
    const done = await this.#alone(work)
    this.onCommit(new Set([tableWritten(sql) ?? ANY_TABLE]))
    return done
  }

  async executeScript(script: string) {
    await this.#alone(() => this.writer.executeScript(script))
    this.onCommit(new Set([ANY_TABLE]))
  }

  async startTransaction(): Promise<Transaction> {
    const leave = await this.gate.enter()
    try {
      await patiently(this.patience, () => run(this.writer, 'BEGIN IMMEDIATE'))
    } catch (error) {
      leave()
      throw error
    }
    const written = new Set<string>()
    this.clock?.begin(written)
    return new SerialTransaction(this.writer, this.#breath, leave, this.onCommit, written)
  }

  async dispose() {
    await this.reader.dispose()
    await this.writer.dispose()
  }

  async #alone<T>(work: () => Promise<T>): Promise<T> {
    const leave = await this.gate.enter()
    try {
      return await patiently(this.patience, work)
    } finally {
      leave()
    }
  }
}

class SerialTransaction implements Transaction {
  readonly provider = 'sqlite' as const
  readonly adapterName = '@prisma/adapter-better-sqlite3'
  /** True: Prisma leaves COMMIT and ROLLBACK to the two methods below. */
  readonly options = { usePhantomQuery: true }

  constructor(
    private readonly writer: SqlDriverAdapter,
    private readonly breath: Breath,
    private readonly leave: () => void,
    private readonly onCommit: (tables: ReadonlySet<string>) => void,
    private readonly written: Set<string>,
  ) {}

  async queryRaw(query: SqlQuery) {
    await this.breath.take()
    if (!/^\s*SELECT\b/i.test(query.sql)) this.#note(query)
    return this.writer.queryRaw(query)
  }

  async executeRaw(query: SqlQuery) {
    await this.breath.take()
    this.#note(query)
    return this.writer.executeRaw(query)
  }

  #note({ sql }: SqlQuery) {
    this.written.add(tableWritten(sql) ?? ANY_TABLE)
  }

  async commit() {
    try {
      await run(this.writer, 'COMMIT')
    } catch (error) {
      // A failed COMMIT leaves the transaction open; the next one could never begin.
      await run(this.writer, 'ROLLBACK').catch(() => undefined)
      throw error
    } finally {
      this.leave()
    }
    if (this.written.size) this.onCommit(this.written)
  }

  async rollback() {
    // SQLite has already rolled back by itself after some errors (disk full); that is no second error.
    await run(this.writer, 'ROLLBACK').catch(() => undefined)
    this.leave()
  }

  createSavepoint(name: string) {
    return run(this.writer, `SAVEPOINT ${name}`)
  }

  rollbackToSavepoint(name: string) {
    return run(this.writer, `ROLLBACK TO ${name}`)
  }

  releaseSavepoint(name: string) {
    return run(this.writer, `RELEASE ${name}`)
  }
}

/**
 * A number that is another one after each commit of any other connection, another program's too, and stays as it is after those of
 * `writer` (SQLite's PRAGMA data_version).
 */
function commitsElsewhere(writer: SqlDriverAdapter): () => number {
  const version = connectionOf(writer).prepare('PRAGMA data_version').pluck()
  return () => version.get() as number
}

/** The connection inside the stock adapter: that answers by promises alone, and this at once. */
function connectionOf(adapter: SqlDriverAdapter): Connection {
  const { client } = adapter as unknown as { client?: Connection }
  if (!client) throw new Error('The adapter of SQLite keeps its connection elsewhere in this version.')
  return client
}

/** Questions whose way through the tables is remembered: about as many as the shop has. */
const MOST_PREPARED = 500

/**
 * Lets a connection that only reads prepare each question once. The stock adapter prepares it anew each time, which takes as long as
 * answering a short one.
 */
function keepPrepared(connection: Connection): void {
  const known = new Map<string, Question>()
  const prepare = connection.prepare.bind(connection)
  connection.prepare = ((sql: string) => {
    const question = known.get(sql) ?? new Question(prepare(sql))
    // The one that was asked last is forgotten last.
    known.delete(sql)
    known.set(sql, question)
    for (const oldest of known.keys()) {
      if (known.size <= MOST_PREPARED) break
      known.delete(oldest)
    }
    return question
  }) as unknown as Connection['prepare']
}

/** A prepared question as the stock adapter asks it: bound and answered in one go, so that the next one may bind it anew. */
class Question {
  readonly reader = true
  #columns: ColumnDefinition[] | undefined
  #values: unknown[] = []

  constructor(private readonly statement: Statement) {
    statement.raw()
  }

  bind(values: unknown[]) {
    this.#values = values
    return this
  }

  columns() {
    this.#columns ??= this.statement.columns()
    return this.#columns
  }

  raw() {
    return this
  }

  all() {
    return this.statement.all(this.#values)
  }
}

/** The table that a statement writes, undefined where it writes none: INSERT INTO `main`.`Order` … is Order. */
export function tableWritten(sql: string): string | undefined {
  return /^\s*(?:INSERT(?:\s+OR\s+\w+)?\s+INTO|REPLACE\s+INTO|UPDATE(?:\s+OR\s+\w+)?|DELETE\s+FROM)\s+(?:[`"]?(?:main|public)[`"]?\.)?[`"]?(\w+)/i.exec(
    sql,
  )?.[1]
}

/** Lets one pass at a time, in order of arrival. */
export class Gate {
  #last: Promise<void> = Promise.resolve()

  /** @param standsInside whether who asks stands behind the gate already, and would wait for itself */
  constructor(private readonly standsInside: () => boolean = () => false) {}

  /**
   * Waits for its turn. The caller must call the function it gets, or nobody passes after it.
   * @throws at once, where it would wait for itself
   */
  async enter(): Promise<() => void> {
    if (this.standsInside())
      throw new Error(
        'A transaction is open here, and this was sent beside it: it would wait for its end, and so for itself. Send it through db().',
      )
    const before = this.#last
    let leave = () => {}
    this.#last = new Promise(resolve => {
      leave = resolve
    })
    return before.then(() => leave)
  }
}

/**
 * better-sqlite3 answers at once, so a loop of awaited queries would starve timers and sockets for its
 * whole length: every 8 ms it lets the event loop have a turn.
 */
class Breath {
  #last = performance.now()

  async take() {
    if (performance.now() - this.#last < 8) return
    await new Promise(resolve => setImmediate(resolve))
    this.#last = performance.now()
  }
}

async function run(connection: SqlDriverAdapter, sql: string): Promise<void> {
  await connection.executeRaw({ sql, args: [], argTypes: [] })
}

/** Tries again while another process holds the file; other errors, and the last refusal, are thrown. */
async function patiently<T>(milliseconds: number, work: () => Promise<T>): Promise<T> {
  const until = performance.now() + milliseconds
  for (;;) {
    try {
      return await work()
    } catch (error) {
      const busy = isDriverAdapterError(error) && error.cause.kind === 'SocketTimeout'
      if (!busy || performance.now() > until) throw error
      await new Promise(resolve => setTimeout(resolve, 2 + Math.random() * 10))
    }
  }
}
