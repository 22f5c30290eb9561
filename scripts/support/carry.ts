// A shop's rows from SQLite to PostgreSQL and back, each proven to have arrived.
import { createHash } from 'node:crypto'
import Database from 'better-sqlite3'
import { Client } from 'pg'
import { WRITE_LOCK } from '@/lib/server/adapter-postgres'
import { applyMigrations, readMigrations } from '@/lib/server/migrations'

type Live = InstanceType<typeof Database>

/** How a column's values are written as text: by PostgreSQL's name of its kind. */
const KINDS = {
  text: 'text',
  integer: 'whole',
  bigint: 'whole',
  boolean: 'yes-no',
  'double precision': 'fraction',
  json: 'json',
  'timestamp without time zone': 'instant',
} as const
type Column = { name: string; type: keyof typeof KINDS }
type Table = { name: string; columns: Column[]; key: string[] }

/** A row as texts that are the same whichever database it lies in; null where there is nothing. */
type Row = (string | null)[]

/** What a table holds: rows, the sum of every column of whole numbers, and a mark of every value of every row. */
export type Held = { rows: number; sums: Record<string, string>; mark: string }

/** Rows that go in one statement. */
const AT_ONCE = 500

const q = (name: string) => `"${name.replaceAll('"', '""')}"`

/** The shop's tables of a migrated PostgreSQL database, each after those that it points to. Names that begin with _ are not the shop's. */
async function tablesOf(client: Client): Promise<Table[]> {
  const { rows: columns } = await client.query<{ t: string; name: string; type: string }>(
    `SELECT table_name AS t, column_name AS name, data_type AS type FROM information_schema.columns
      WHERE table_schema = 'public' AND table_name NOT LIKE '\\_%' ORDER BY table_name, ordinal_position`,
  )
  const { rows: keys } = await client.query<{ t: string; name: string }>(
    `SELECT c.relname AS t, a.attname AS name FROM pg_index i JOIN pg_class c ON c.oid = i.indrelid
      JOIN pg_attribute a ON a.attrelid = c.oid AND a.attnum = ANY(i.indkey)
      WHERE i.indisprimary AND c.relnamespace = 'public'::regnamespace ORDER BY a.attnum`,
  )
  const { rows: pointers } = await client.query<{ t: string; to: string }>(
    `SELECT a.relname AS t, b.relname AS to FROM pg_constraint k JOIN pg_class a ON a.oid = k.conrelid JOIN pg_class b ON b.oid = k.confrelid
      WHERE k.contype = 'f' AND k.conrelid <> k.confrelid`,
  )
  const left = new Map<string, Table>()
  for (const { t, name, type } of columns) {
    if (!(type in KINDS)) throw new Error(`${t}.${name} is of a kind that is not known here: ${type}.`)
    const table = left.get(t) ?? { name: t, columns: [], key: keys.filter(k => k.t === t).map(k => k.name) }
    table.columns.push({ name, type: type as Column['type'] })
    left.set(t, table)
  }
  const sorted: Table[] = []
  while (left.size) {
    const next = [...left.values()].find(t => !pointers.some(p => p.t === t.name && left.has(p.to)))
    if (!next) throw new Error(`These tables point to one another in a ring: ${[...left.keys()].join(', ')}.`)
    sorted.push(next)
    left.delete(next.name)
  }
  return sorted
}

/** PostgreSQL's way to write a column as text. */
function asText({ name, type }: Column): string {
  const column = q(name)
  if (type === 'boolean')
    return `CASE WHEN ${column} THEN '1' ELSE '0' END`.replace(
      'CASE',
      `CASE WHEN ${column} IS NULL THEN NULL`,
    )
  if (type === 'timestamp without time zone') return `to_char(${column}, 'YYYY-MM-DD"T"HH24:MI:SS.MS"Z"')`
  return type === 'double precision' ? column : `${column}::text`
}

async function* rowsOnServer(client: Client, table: Table): AsyncGenerator<Row[]> {
  const order = table.key.map(q).join(', ')
  await client.query(
    `DECLARE "all" NO SCROLL CURSOR FOR SELECT ${table.columns.map(asText).join(', ')} FROM ${q(table.name)} ORDER BY ${order}`,
  )
  for (;;) {
    const { rows } = await client.query<unknown[]>({ text: `FETCH ${AT_ONCE} FROM "all"`, rowMode: 'array' })
    if (rows.length === 0) break
    yield rows.map(row => row.map(value => (value === null ? null : String(value))))
  }
  await client.query('CLOSE "all"')
}

function* rowsOfFile(db: Live, table: Table): Generator<Row[]> {
  const all = db
    .prepare(
      `SELECT ${table.columns.map(c => q(c.name)).join(', ')} FROM ${q(table.name)} ORDER BY ${table.key.map(q).join(', ')}`,
    )
    .safeIntegers()
    .raw()
    .iterate() as IterableIterator<(string | number | bigint | null)[]>
  let some: Row[] = []
  for (const row of all) {
    some.push(row.map((value, i) => (value === null ? null : fromSqlite(value, table.columns[i] as Column))))
    if (some.length < AT_ONCE) continue
    yield some
    some = []
  }
  if (some.length) yield some
}

function fromSqlite(value: string | number | bigint, { type }: Column): string {
  const kind = KINDS[type]
  if (kind === 'fraction') return String(Number(value))
  if (kind === 'instant') {
    if (typeof value !== 'string') return new Date(Number(value)).toISOString()
    // SQLite's own clock writes no zone: it is UTC.
    return new Date(/(Z|[+-]\d\d:\d\d)$/.test(value) ? value : `${value.replace(' ', 'T')}Z`).toISOString()
  }
  // As lib/server/adapter-postgres does it for what comes in later.
  return String(value).replaceAll('\0', '\uFFFD')
}

function toSqlite(text: string | null, { type }: Column): string | number | bigint | null {
  if (text === null) return null
  const kind = KINDS[type]
  if (kind === 'whole' || kind === 'yes-no') return BigInt(text)
  if (kind === 'fraction') return Number(text)
  return kind === 'instant' ? text.replace('Z', '+00:00') : text
}

const wholes = (table: Table) => table.columns.filter(c => KINDS[c.type] === 'whole')

/** Sums by the database's own reckoning; a mark over the rows in the order of their keys. */
async function held(
  table: Table,
  rows: AsyncIterable<Row[]> | Iterable<Row[]>,
  sum: (sql: string) => Promise<Record<string, unknown>>,
): Promise<Held> {
  const hash = createHash('sha256')
  let count = 0
  for await (const some of rows) {
    for (const row of some) hash.update(JSON.stringify(row))
    count += some.length
  }
  const columns = wholes(table)
  const found = columns.length
    ? await sum(
        `SELECT ${columns.map((c, i) => `COALESCE(SUM(${q(c.name)}), 0) AS s${i}`).join(', ')} FROM ${q(table.name)}`,
      )
    : {}
  const sums = Object.fromEntries(columns.map((c, i) => [c.name, String(found[`s${i}`])]))
  return { rows: count, sums, mark: hash.digest('hex') }
}

const heldByFile = (db: Live, table: Table) =>
  held(
    table,
    rowsOfFile(db, table),
    async sql => db.prepare(sql).safeIntegers().get() as Record<string, unknown>,
  )
const heldByServer = (client: Client, table: Table) =>
  held(table, rowsOnServer(client, table), async sql => (await client.query(sql)).rows[0])

/** Both sides must know the same tables and columns. */
function compareColumns(db: Live, tables: readonly Table[]): void {
  const names = db
    .prepare(
      "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%' AND name <> '_prisma_migrations' ORDER BY name",
    )
    .pluck()
    .all() as string[]
  if (String(names) !== String(tables.map(t => t.name).sort()))
    throw new Error('The two databases have different tables: they are of different versions of Shirtwright.')
  for (const table of tables) {
    const columns = db.prepare('SELECT name FROM pragma_table_info(?) ORDER BY name').pluck().all(table.name)
    if (String(columns) !== String(table.columns.map(c => c.name).sort()))
      throw new Error(`The table ${table.name} has other columns on the other side: the versions differ.`)
  }
}

/** Compares what both hold. @throws naming the first table that differs, and in what */
async function prove(db: Live, client: Client, tables: readonly Table[]): Promise<Record<string, Held>> {
  const all: Record<string, Held> = {}
  for (const table of tables) {
    const here = await heldByFile(db, table)
    const there = await heldByServer(client, table)
    const wrong =
      here.rows !== there.rows
        ? `${here.rows} rows in the file, ${there.rows} on the server`
        : (wholes(table)
            .map(c => c.name)
            .filter(c => here.sums[c] !== there.sums[c])
            .map(c => `the sum of ${c} is ${here.sums[c]} in the file, ${there.sums[c]} on the server`)[0] ??
          (here.mark !== there.mark ? 'a value is not the same' : null))
    if (wrong)
      throw new Error(`The table ${table.name} did not arrive as it was: ${wrong}. Nothing was kept.`)
    all[table.name] = here
  }
  return all
}

/** Runs `work` in one transaction on a server, and hands its connection back. */
async function inTransaction<T>(
  url: string,
  begin: string,
  work: (client: Client) => Promise<T>,
): Promise<T> {
  const client = new Client({ connectionString: url, options: '-c timezone=UTC -c extra_float_digits=3' })
  await client.connect()
  try {
    await client.query(begin)
    const done = await work(client)
    await client.query('COMMIT')
    return done
  } finally {
    // Without a COMMIT all of it is taken back.
    await client.end()
  }
}

/**
 * Carries every row of a shop's file to an empty, migrated PostgreSQL database: all of it, proven, or nothing. The file is only read.
 * @param file of the version that this is
 * @returns what each table holds, on both sides alike
 */
export function carryToServer(file: string, url: string): Promise<Record<string, Held>> {
  const db = new Database(file, { readonly: true, fileMustExist: true })
  return inTransaction(url, 'BEGIN', async client => {
    await client.query(`SELECT pg_advisory_xact_lock(${WRITE_LOCK})`)
    const tables = await tablesOf(client)
    compareColumns(db, tables)
    for (const { name } of tables)
      if ((await client.query(`SELECT 1 FROM ${q(name)} LIMIT 1`)).rowCount)
        throw new Error(`There is something in the table ${name} already: name an empty database.`)
    // One state of the file from the first row to the last proof.
    db.exec('BEGIN')
    // Guards watch over changes; this only writes again what was allowed once.
    for (const { name } of tables) await client.query(`ALTER TABLE ${q(name)} DISABLE TRIGGER USER`)
    for (const table of tables) {
      const { columns } = table
      const insert = `INSERT INTO ${q(table.name)} (${columns.map(c => q(c.name)).join(', ')})
        SELECT ${columns.map((c, i) => `CAST(x.c${i} AS ${c.type})`).join(', ')}
        FROM unnest(${columns.map((_, i) => `$${i + 1}::text[]`).join(', ')}) AS x(${columns.map((_, i) => `c${i}`).join(', ')})`
      for (const rows of rowsOfFile(db, table))
        await client.query(
          insert,
          columns.map((_, i) => rows.map(row => row[i])),
        )
    }
    for (const { name } of tables) await client.query(`ALTER TABLE ${q(name)} ENABLE TRIGGER USER`)
    return prove(db, client, tables)
  }).finally(() => db.close())
}

/**
 * Writes every row of a shop on PostgreSQL into an empty, migrated file, as it stands at one moment while people go on working.
 * @returns what each table holds, on both sides alike
 */
export function carryToFile(url: string, file: string): Promise<Record<string, Held>> {
  const db = new Database(file, { fileMustExist: true })
  return inTransaction(url, 'BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY', async client => {
    const tables = await tablesOf(client)
    compareColumns(db, tables)
    db.pragma('foreign_keys = OFF')
    const triggers = db.prepare("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").all() as {
      name: string
      sql: string
    }[]
    db.exec('BEGIN')
    for (const { name } of triggers) db.exec(`DROP TRIGGER ${q(name)}`)
    for (const table of tables) {
      const insert = db.prepare(
        `INSERT INTO ${q(table.name)} (${table.columns.map(c => q(c.name)).join(', ')}) VALUES (${table.columns.map(() => '?').join(', ')})`,
      )
      for await (const rows of rowsOnServer(client, table))
        for (const row of rows) insert.run(row.map((text, i) => toSqlite(text, table.columns[i] as Column)))
    }
    for (const { sql } of triggers) db.exec(sql)
    const broken = db.pragma('foreign_key_check') as unknown[]
    if (broken.length) throw new Error(`${broken.length} rows would point to nothing.`)
    const proven = await prove(db, client, tables)
    db.exec('COMMIT')
    return proven
  }).finally(() => db.close())
}

/**
 * Writes a shop on PostgreSQL into a new file, laid out as the version did that used it last: before an upgrade, too.
 * @throws when the database knows migrations that this version does not
 */
export async function copyOfServer(url: string, file: string): Promise<Record<string, Held>> {
  const client = new Client({ connectionString: url })
  await client.connect()
  let last: string | undefined
  try {
    const { rows } = await client.query<{ name: string }>(
      'SELECT migration_name AS name FROM _prisma_migrations WHERE finished_at IS NOT NULL AND rolled_back_at IS NULL',
    )
    last = rows
      .map(r => r.name)
      .sort()
      .at(-1)
  } finally {
    await client.end()
  }
  const all = readMigrations()
  const known = all.migrationDirectories.findIndex(m => m.path === last)
  if (known < 0)
    throw new Error('The database of DATABASE_URL is of a newer version of Shirtwright: install that one.')
  await applyMigrations(file, {
    ...all,
    migrationDirectories: all.migrationDirectories.slice(0, known + 1),
  })
  return carryToFile(url, file)
}
