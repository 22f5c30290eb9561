import { randomUUID } from 'node:crypto'
import { PrismaPg } from '@prisma/adapter-pg'
import {
  ColumnTypeEnum,
  type SqlDriverAdapter,
  type SqlDriverAdapterFactory,
  type SqlQuery,
  type SqlResultSet,
  type Transaction,
} from '@prisma/driver-adapter-utils'
import { Client } from 'pg'
import { Gate, tableWritten } from './adapter'

export type SerialPostgresOptions = {
  /** postgresql:// and all that leads to the shop's database. */
  url: string
  /** How many connections read at the same time (default 8). Beside them one writes and one listens. */
  readers?: number
  /** How long a write waits for those of other servers, in milliseconds (default 15 000). */
  patience?: number
  /** Told the names of the tables that this server wrote, each time after they are safe. */
  onCommit?: (tables: ReadonlySet<string>) => void
  /** Told the names of the tables that another server wrote; null where that is not known, since the line was down. */
  onElsewhere?: (tables: ReadonlySet<string> | null) => void
  /** Whether the task that asks stands in a transaction of this database: what it sends beside that could only wait for itself. */
  standsInside?: () => boolean
}

/** What the servers of a shop call each other on. */
const CHANNEL = 'shirtwright'
/** The lock that a writer holds until its transaction ends: the letters "shop". */
export const WRITE_LOCK = 0x73686f70

/**
 * PostgreSQL for Prisma with one writer at a time, however many servers work on the shop.
 *
 * The house relies on that: numbers without gaps, shelves that are never below zero and months that stay closed are looked up first and
 * written then. SQLite has one writer by its nature; here every write and every transaction takes one lock of the whole database at its
 * begin. Reading waits for nobody. Within a server, writes queue up before they ask for the lock, so that those who wait need no connection.
 */
export class SerialPostgres implements SqlDriverAdapterFactory {
  readonly provider = 'postgres' as const
  readonly adapterName = '@prisma/adapter-pg'

  constructor(private readonly options: SerialPostgresOptions) {}

  async connect(): Promise<SqlDriverAdapter> {
    const {
      url,
      readers = 8,
      patience = 15_000,
      onCommit = () => {},
      onElsewhere,
      standsInside,
    } = this.options
    const shared = { connectionString: url, keepAlive: true, connectionTimeoutMillis: 10_000 }
    const writer = await new PrismaPg({
      ...shared,
      max: 1,
      // A server that hangs in a transaction must not keep all others from writing for ever.
      options: `-c timezone=UTC -c lock_timeout=${patience} -c idle_in_transaction_session_timeout=60000`,
    }).connect()
    const reader = await new PrismaPg({
      ...shared,
      max: readers,
      options: '-c timezone=UTC -c default_transaction_read_only=on',
    }).connect()
    const self = randomUUID()
    const line = onElsewhere && new Line(url, self, onElsewhere)
    await line?.open()
    return new SerialConnection(writer, reader, self, onCommit, new Gate(standsInside), () => line?.close())
  }
}

class SerialConnection implements SqlDriverAdapter {
  readonly provider = 'postgres' as const
  readonly adapterName = '@prisma/adapter-pg'

  constructor(
    private readonly writer: SqlDriverAdapter,
    private readonly reader: SqlDriverAdapter,
    private readonly self: string,
    private readonly onCommit: (tables: ReadonlySet<string>) => void,
    private readonly gate: Gate,
    private readonly hangUp: () => Promise<void> | undefined,
  ) {}

  async queryRaw(query: SqlQuery) {
    if (/^\s*SELECT\b/i.test(query.sql)) return whole(await this.reader.queryRaw(storable(query)))
    return this.#alone(tx => tx.queryRaw(query))
  }

  executeRaw(query: SqlQuery) {
    return this.#alone(tx => tx.executeRaw(query))
  }

  executeScript(script: string) {
    return this.writer.executeScript(script)
  }

  getConnectionInfo() {
    return this.reader.getConnectionInfo?.() ?? { supportsRelationJoins: true }
  }

  async startTransaction(): Promise<SerialTransaction> {
    const leave = await this.gate.enter()
    let inner: Transaction | undefined
    try {
      inner = await this.writer.startTransaction()
      await run(inner, `SELECT pg_advisory_xact_lock(${WRITE_LOCK})`)
    } catch (error) {
      if (inner) await end(inner, 'ROLLBACK').catch(() => undefined)
      leave()
      throw error
    }
    return new SerialTransaction(inner, this.self, leave, this.onCommit)
  }

  async dispose() {
    await this.hangUp()
    await this.reader.dispose()
    await this.writer.dispose()
  }

  /** A statement outside a transaction is one of its own. */
  async #alone<T>(work: (tx: SerialTransaction) => Promise<T>): Promise<T> {
    const tx = await this.startTransaction()
    try {
      const done = await work(tx)
      await tx.commit()
      return done
    } catch (error) {
      await tx.rollback()
      throw error
    }
  }
}

class SerialTransaction implements Transaction {
  readonly provider = 'postgres' as const
  readonly adapterName = '@prisma/adapter-pg'
  /** True: Prisma leaves COMMIT and ROLLBACK to the two methods below. */
  readonly options = { usePhantomQuery: true }
  readonly #written = new Set<string>()
  #open = true
  #failed = false
  /** Ends with the statement that was sent last. */
  #last: Promise<unknown> = Promise.resolve()

  constructor(
    private readonly inner: Transaction,
    private readonly self: string,
    private readonly leave: () => void,
    private readonly onCommit: (tables: ReadonlySet<string>) => void,
  ) {}

  async queryRaw(query: SqlQuery) {
    return whole(await this.#send(query, asked => this.inner.queryRaw(asked)))
  }

  executeRaw(query: SqlQuery) {
    return this.#send(query, asked => this.inner.executeRaw(asked))
  }

  async #send<T>(query: SqlQuery, how: (query: SqlQuery) => Promise<T>): Promise<T> {
    const table = tableWritten(query.sql)
    if (table) this.#written.add(table)
    return this.#inTurn(() => how(storable(query)))
  }

  /**
   * One statement after the other on the one connection: stores, and the client itself, send several at once, and the driver is going to
   * refuse that. What comes after the end would be no part of any transaction.
   */
  #inTurn<T>(work: () => Promise<T>): Promise<T> {
    const done = this.#last.then(async () => {
      if (!this.#open) throw new Error('This transaction is over: what was sent after its end was not done.')
      try {
        return await work()
      } catch (error) {
        this.#failed = true
        throw error
      }
    })
    this.#last = done.catch(() => undefined)
    return done
  }

  async commit() {
    await this.#last
    try {
      // PostgreSQL takes back what had a failure in it, and says so to nobody who asks for a commit.
      if (this.#failed) throw new Error('A statement of this transaction failed: nothing of it was saved.')
      // Sent by PostgreSQL at the moment of the commit, and not at all without one.
      if (this.#written.size) {
        const said = JSON.stringify([this.self, ...this.#written]).replaceAll("'", "''")
        await run(this.inner, `SELECT pg_notify('${CHANNEL}', '${said}')`)
      }
      await this.#end('COMMIT')
    } catch (error) {
      await this.rollback()
      throw error
    }
    if (this.#written.size) this.onCommit(this.#written)
  }

  async rollback() {
    await this.#last
    await this.#end('ROLLBACK').catch(() => undefined)
  }

  async #end(how: 'COMMIT' | 'ROLLBACK') {
    if (!this.#open) return
    this.#open = false
    try {
      await end(this.inner, how)
    } finally {
      this.leave()
    }
  }

  createSavepoint(name: string) {
    return this.#inTurn(() => run(this.inner, `SAVEPOINT ${name}`))
  }

  rollbackToSavepoint(name: string) {
    return this.#inTurn(() => run(this.inner, `ROLLBACK TO SAVEPOINT ${name}`))
  }

  releaseSavepoint(name: string) {
    return this.#inTurn(() => run(this.inner, `RELEASE SAVEPOINT ${name}`))
  }
}

/** Hears what the other servers have written. A line that breaks is opened anew; until then anything may have changed. */
class Line {
  #client: Client | undefined
  #retry: NodeJS.Timeout | undefined
  #closed = false

  constructor(
    private readonly url: string,
    private readonly self: string,
    private readonly tell: (tables: ReadonlySet<string> | null) => void,
  ) {}

  async open(): Promise<void> {
    const client = new Client({
      connectionString: this.url,
      keepAlive: true,
      connectionTimeoutMillis: 10_000,
    })
    this.#client = client
    client.on('error', () => this.#lost(client))
    client.on('end', () => this.#lost(client))
    client.on('notification', ({ payload }) => {
      const [from, ...tables] = JSON.parse(payload ?? '[]') as string[]
      if (from !== this.self) this.tell(new Set(tables))
    })
    await client.connect()
    await client.query(`LISTEN ${CHANNEL}`)
  }

  #lost(client: Client) {
    if (this.#closed || this.#client !== client) return
    this.#client = undefined
    client.end().catch(() => undefined)
    this.#again()
  }

  #again() {
    this.tell(null)
    this.#retry = setTimeout(() => {
      // What was said between the two lines was heard by nobody.
      this.open().then(
        () => this.tell(null),
        () => {
          this.#client = undefined
          if (!this.#closed) this.#again()
        },
      )
    }, 1000)
    this.#retry.unref()
  }

  async close() {
    this.#closed = true
    clearTimeout(this.#retry)
    await this.#client?.end()
  }
}

async function run(connection: Transaction, sql: string): Promise<void> {
  await connection.executeRaw({ sql, args: [], argTypes: [] })
}

/** Ends a transaction and gives its connection back, whatever becomes of it. */
async function end(inner: Transaction, how: 'COMMIT' | 'ROLLBACK'): Promise<void> {
  try {
    await run(inner, how)
  } finally {
    // The stock adapter only gives the connection back here; a broken one is not used again.
    await inner.rollback()
  }
}

/** PostgreSQL's texts cannot hold the character 0, which nobody types: the sign for a character that cannot be shown takes its place. */
function storable(query: SqlQuery): SqlQuery {
  const holds = (arg: unknown): arg is string => typeof arg === 'string' && arg.includes('\0')
  if (!query.args.some(holds)) return query
  return { ...query, args: query.args.map(arg => (holds(arg) ? arg.replaceAll('\0', '\uFFFD') : arg)) }
}

/** A sum of whole numbers comes as PostgreSQL's own kind of number: told as the whole number that it is. No column is of that kind. */
function whole(result: SqlResultSet): SqlResultSet {
  const columnTypes = result.columnTypes.map((type, i) => {
    if (type !== ColumnTypeEnum.Numeric) return type
    return result.rows.some(row => String(row[i] ?? '').includes('.'))
      ? ColumnTypeEnum.Double
      : ColumnTypeEnum.Int64
  })
  return { ...result, columnTypes }
}
