import { randomUUID } from 'node:crypto'
import { readdirSync, readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { dirname, join } from 'node:path'
import { fileURLToPath, pathToFileURL } from 'node:url'
import { PrismaBetterSqlite3 } from '@prisma/adapter-better-sqlite3'
import { PrismaPg } from '@prisma/adapter-pg'
import {
  bindMigrationAwareSqlAdapterFactory,
  type SqlDriverAdapter,
  type SqlMigrationAwareDriverAdapterFactory,
} from '@prisma/driver-adapter-utils'
import type {
  MigrationList,
  SchemaContainer,
  SchemaEngine,
  SchemaFilter,
  SchemasContainer,
} from '@prisma/schema-engine-wasm'
import type { QueryConfig, QueryResult } from 'pg'
import { postgresSchema } from './postgres-schema.mjs'

const home = fileURLToPath(new URL('../..', import.meta.url))
export const schemaFolder = join(home, 'prisma/schema')
export const migrationsFolder = join(home, 'prisma/migrations')
/** The same history for PostgreSQL: it begins with one that builds all that SQLite's migrations up to its name have built. */
export const postgresMigrationsFolder = join(home, 'prisma/postgres/migrations')
/** SQL that the schema language cannot say: triggers that keep what is never edited. Migrations make them. */
const guardsFile = join(home, 'prisma/guards.sql')
/** The same in PostgreSQL's words. */
export const postgresGuardsFile = join(home, 'prisma/postgres/guards.sql')

/** Every guard: its name, the table that it keeps, and its SQL. */
export function readGuards(): { name: string; table: string; sql: string }[] {
  const sql = readFileSync(guardsFile, 'utf8').replace(/^--.*\n/gm, '')
  return sql
    .split(/(?<=END;)\s*/)
    .filter(one => one.trim())
    .map(one => {
      const [, name = '', table = ''] = /^CREATE TRIGGER "(\w+)"[\s\S]*? ON "(\w+)"/.exec(one) ?? []
      return { name, table, sql: one.trim() }
    })
}

const everything: SchemaFilter = { externalTables: [], externalEnums: [] }

/** The schema's files, by name. */
export function readSchema(folder = schemaFolder): SchemaContainer[] {
  return readdirSync(folder)
    .filter(name => name.endsWith('.prisma'))
    .sort()
    .map(path => ({ path, content: readFileSync(join(folder, path), 'utf8') }))
}

/** The schema as PostgreSQL has it. */
export const readPostgresSchema = (): SchemaContainer[] =>
  readSchema().map(({ path, content }) => ({ path, content: postgresSchema(content) }))

/** What a database at an address is to be: its schema and the migrations that lead there. */
const schemaFor = (at: string) => (isServer(at) ? readPostgresSchema() : readSchema())
const migrationsFor = (at: string) =>
  readMigrations(isServer(at) ? postgresMigrationsFolder : migrationsFolder)
const isServer = (at: string): boolean => /^postgres(ql)?:/.test(at)

/** The migrations in a folder, in the order in which they are applied. */
export function readMigrations(folder = migrationsFolder): MigrationList {
  const names = readdirSync(folder, { withFileTypes: true })
    .filter(entry => entry.isDirectory())
    .map(entry => entry.name)
    .sort()
  return {
    baseDir: folder,
    lockfile: {
      path: 'migration_lock.toml',
      content: `provider = "${folder === postgresMigrationsFolder ? 'postgresql' : 'sqlite'}"\n`,
    },
    shadowDbInitScript: '',
    migrationDirectories: names.map(path => ({
      path,
      migrationFile: {
        path: 'migration.sql',
        content: { tag: 'ok', value: readFileSync(join(folder, path, 'migration.sql'), 'utf8') },
      },
    })),
  }
}

/**
 * SQL that leads from what the migrations build to what the schema says; null if they agree.
 * @param at where the migrations are tried out: in memory, or on a PostgreSQL server that may make a scratch database
 */
export async function missingSql(
  migrations?: MigrationList,
  schema?: SchemaContainer[],
  at = ':memory:',
): Promise<string | null> {
  const from = migrations ?? migrationsFor(at)
  const to = schema ?? schemaFor(at)
  return withEngine(at, to, async engine => {
    const { exitCode, stdout } = await engine.diff({
      from: from.migrationDirectories.length ? { tag: 'migrations', ...from } : { tag: 'empty' },
      to: { tag: 'schemaDatamodel', files: to },
      script: true,
      exitCode: true,
      filters: everything,
    })
    if (exitCode === 0 || stdout === null) return null
    return isServer(at) ? byteOrder(stdout) : stdout
  })
}

/** Texts are sorted and compared byte by byte, as SQLite does it, whatever language the server was set up for. */
const byteOrder = (sql: string) => sql.replace(/((?:^ +|ADD COLUMN +)"\w+" TEXT)\b/gm, '$1 COLLATE "C"')

/** The lock of a server that applies migrations: the letters "layo". */
const LAYOUT_LOCK = 0x6c61796f

/**
 * Applies the migrations that a database does not have yet, and notes them in Prisma's own table. On PostgreSQL all of them are one
 * transaction: where one fails, the database is as it was, and the version before works on. Servers do it one after the other.
 * @param at path of the SQLite file, made if it is not there; or the address of a PostgreSQL database
 * @returns names of the migrations just applied
 * @throws with the database's message if one fails; a SQLite file is then half way: take a copy first (`upgradeFile` does)
 */
export async function applyMigrations(at: string, migrations = migrationsFor(at)): Promise<string[]> {
  const apply = async (engine: SchemaEngine) => {
    const done = await engine.applyMigrations({ migrationsList: migrations, filters: everything })
    return done.appliedMigrationNames
  }
  if (!isServer(at)) return withEngine(at, schemaFor(at), apply)
  return withEngine(at, schemaFor(at), apply, {
    begin: `BEGIN; SELECT pg_advisory_xact_lock(${LAYOUT_LOCK})`,
    end: 'COMMIT',
  })
}

/** How many steps a live database is away from the schema: 0 for a migrated one. Changes nothing if 0. */
export async function stepsToSchema(at: string, schema: SchemaContainer[] = schemaFor(at)): Promise<number> {
  return withEngine(at, schema, async engine => {
    const container: SchemasContainer = { files: schema }
    const pushed = await engine.schemaPush({ force: false, schema: container, filters: everything })
    return pushed.executedSteps + pushed.unexecutable.length + pushed.warnings.length
  })
}

async function withEngine<T>(
  at: string,
  schema: SchemaContainer[],
  work: (engine: SchemaEngine) => Promise<T>,
  frame?: Frame,
): Promise<T> {
  const { SchemaEngine } = await loadEngine()
  const factory = new ClosingFactory(isServer(at) ? postgres(at) : sqlite(at), frame)
  const bound = bindMigrationAwareSqlAdapterFactory(factory)
  const datamodels = schema.map(({ path, content }): [string, string] => [path, content])
  const engine = await SchemaEngine.new({ datamodels }, () => {}, bound)
  try {
    const done = await work(engine)
    await factory.end()
    return done
  } catch (error) {
    // What comes after the first failure of a transaction is only told that it failed.
    if (factory.failed) throw factory.failed
    // The engine says only "External error id#N" for what the driver threw.
    const id = /External error id#(\d+)/.exec(String(error))?.[1]
    throw (id && bound.errorRegistry.consumeError(Number(id))?.error) || error
  } finally {
    engine.free()
    await factory.close()
  }
}

/** What is sent before all that the engine sends, and after it where all went well. */
type Frame = { begin: string; end: string }

/** A driver's adapter whose connections are mended before the engine gets them. */
type Driver = {
  stock: SqlMigrationAwareDriverAdapterFactory
  mend: (connection: SqlDriverAdapter, shadow: boolean) => void
}

const sqlite = (file: string): Driver => ({
  stock: new PrismaBetterSqlite3({ url: file }),
  mend: (connection, shadow) => {
    // Beside the real one, the engine sends a whole migration as one statement, which the driver refuses.
    if (shadow) takeScripts(connection, sql => connection.executeScript(sql))
  },
})

/**
 * The stock adapter, with a scratch database that is really another one: its own takes the address as it stands, with the name in it,
 * and would build into the shop's.
 */
function withScratchDatabase(url: string): SqlMigrationAwareDriverAdapterFactory {
  const stock = new PrismaPg({ connectionString: url, max: 1 })
  return {
    provider: stock.provider,
    adapterName: stock.adapterName,
    connect: () => stock.connect(),
    connectToShadowDb: async () => {
      const name = `scratch_${randomUUID().replaceAll('-', '')}`
      const maker = await stock.connect()
      await maker.executeScript(`CREATE DATABASE "${name}"`)
      const address = new URL(url)
      address.pathname = `/${name}`
      const scratch = await new PrismaPg({ connectionString: address.href, max: 1 }).connect()
      const dispose = scratch.dispose.bind(scratch)
      scratch.dispose = async () => {
        await dispose()
        await maker.executeScript(`DROP DATABASE "${name}"`)
        await maker.dispose()
      }
      return scratch
    },
  }
}

/** Numbers of two of PostgreSQL's kinds of column, as its catalogue pg_type has them. */
const [ONE_LETTER, TEXT] = [18, 25]

// One connection: what the engine does must not be spread over several.
const postgres = (url: string): Driver => ({
  stock: withScratchDatabase(url),
  mend: connection => {
    const pool = (connection as Awaited<ReturnType<PrismaPg['connect']>>).underlyingDriver()
    // The stock adapter cuts a script at every semicolon, also within functions; the server takes it as it is.
    const script = async (sql: string) => void (await pool.query(sql))
    connection.executeScript = script
    takeScripts(connection, script)
    // Nor does it know the one-letter kind of column of the server's own catalogue, which the engine reads: told as text.
    const query = pool.query.bind(pool) as (asked: QueryConfig) => Promise<QueryResult>
    pool.query = (async (asked: QueryConfig) => {
      const result = await query(asked)
      for (const field of result.fields ?? []) if (field.dataTypeID === ONE_LETTER) field.dataTypeID = TEXT
      return result
    }) as typeof pool.query
  },
})

/** Sends statements without values as scripts. */
function takeScripts(connection: SqlDriverAdapter, script: (sql: string) => Promise<void>) {
  const executeRaw = connection.executeRaw.bind(connection)
  connection.executeRaw = async query => {
    if (query.args.length) return executeRaw(query)
    await script(query.sql)
    return 0
  }
}

/** Remembers the connections it gave, since the engine does not close all of them and an open one locks the file. */
class ClosingFactory implements SqlMigrationAwareDriverAdapterFactory {
  readonly provider
  readonly adapterName
  readonly #given: SqlDriverAdapter[] = []

  /** The first script that failed within a frame. */
  failed: unknown

  constructor(
    private readonly driver: Driver,
    private readonly frame?: Frame,
  ) {
    this.provider = driver.stock.provider
    this.adapterName = driver.stock.adapterName
  }

  connect = async () => {
    const connection = this.#remember(await this.driver.stock.connect(), false)
    if (!this.frame) return connection
    await connection.executeScript(this.frame.begin)
    const { executeRaw } = connection
    connection.executeRaw = async query => {
      try {
        return await executeRaw(query)
      } catch (error) {
        this.failed ??= error
        throw error
      }
    }
    return connection
  }

  connectToShadowDb = async () => this.#remember(await this.driver.stock.connectToShadowDb(), true)

  async end() {
    if (this.frame) for (const connection of this.#given) await connection.executeScript(this.frame.end)
  }

  async close() {
    // A scratch database first: it is taken away through the connection that made it.
    for (const connection of this.#given.reverse()) await connection.dispose()
  }

  #remember(connection: SqlDriverAdapter, shadow: boolean) {
    this.driver.mend(connection, shadow)
    const dispose = connection.dispose.bind(connection)
    let disposed: Promise<void> | undefined
    connection.dispose = () => {
      disposed ??= dispose()
      return disposed
    }
    this.#given.push(connection)
    return connection
  }
}

let loaded: Promise<{ SchemaEngine: typeof SchemaEngine }> | undefined

/** Prisma's schema engine compiled to WebAssembly: nothing is downloaded and no other program is run. */
function loadEngine() {
  loaded ??= (async () => {
    const folder = dirname(createRequire(import.meta.url).resolve('@prisma/schema-engine-wasm'))
    const glue = await import(pathToFileURL(join(folder, 'schema_engine_bg.js')).href)
    const binary = readFileSync(join(folder, 'schema_engine_bg.wasm'))
    const { instance } = await WebAssembly.instantiate(binary, { './schema_engine_bg.js': glue })
    glue.__wbg_set_wasm(instance.exports)
    ;(instance.exports.__wbindgen_start as () => void)()
    return glue
  })()
  return loaded
}
