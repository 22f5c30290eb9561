import { readdirSync, readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { dirname, join } from 'node:path'
import { fileURLToPath, pathToFileURL } from 'node:url'
import { PrismaBetterSqlite3 } from '@prisma/adapter-better-sqlite3'
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

const home = fileURLToPath(new URL('../..', import.meta.url))
export const schemaFolder = join(home, 'prisma/schema')
export const migrationsFolder = join(home, 'prisma/migrations')
/** SQL that the schema language cannot say: triggers that keep what is never edited. Migrations make them. */
const guardsFile = join(home, 'prisma/guards.sql')

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

/** The migrations in a folder, in the order in which they are applied. */
export function readMigrations(folder = migrationsFolder): MigrationList {
  const names = readdirSync(folder, { withFileTypes: true })
    .filter(entry => entry.isDirectory())
    .map(entry => entry.name)
    .sort()
  return {
    baseDir: folder,
    lockfile: { path: 'migration_lock.toml', content: 'provider = "sqlite"\n' },
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

/** SQL that leads from what the migrations build to what the schema says; null if they agree. */
export async function missingSql(
  migrations: MigrationList = readMigrations(),
  schema: SchemaContainer[] = readSchema(),
): Promise<string | null> {
  return withEngine(':memory:', schema, async engine => {
    const { exitCode, stdout } = await engine.diff({
      from: migrations.migrationDirectories.length ? { tag: 'migrations', ...migrations } : { tag: 'empty' },
      to: { tag: 'schemaDatamodel', files: schema },
      script: true,
      exitCode: true,
      filters: everything,
    })
    return exitCode === 0 ? null : stdout
  })
}

/**
 * Applies the migrations that a database does not have yet, and notes them in Prisma's own table.
 * @param file path of the SQLite file; made if it is not there
 * @returns names of the migrations just applied
 * @throws with the engine's message if one fails; take a copy first (scripts/migrate.ts does)
 */
export async function applyMigrations(file: string, migrations = readMigrations()): Promise<string[]> {
  return withEngine(file, readSchema(), async engine => {
    const done = await engine.applyMigrations({ migrationsList: migrations, filters: everything })
    return done.appliedMigrationNames
  })
}

/** How many steps a live database is away from the schema: 0 for a migrated one. Changes nothing if 0. */
export async function stepsToSchema(file: string, schema: SchemaContainer[] = readSchema()): Promise<number> {
  return withEngine(file, schema, async engine => {
    const container: SchemasContainer = { files: schema }
    const pushed = await engine.schemaPush({ force: false, schema: container, filters: everything })
    return pushed.executedSteps + pushed.unexecutable.length + pushed.warnings.length
  })
}

async function withEngine<T>(
  file: string,
  schema: SchemaContainer[],
  work: (engine: SchemaEngine) => Promise<T>,
): Promise<T> {
  const { SchemaEngine } = await loadEngine()
  const factory = new ClosingFactory(file)
  const bound = bindMigrationAwareSqlAdapterFactory(factory)
  const datamodels = schema.map(({ path, content }): [string, string] => [path, content])
  const engine = await SchemaEngine.new({ datamodels }, () => {}, bound)
  try {
    return await work(engine)
  } catch (error) {
    // The engine says only "External error id#N" for what the driver threw.
    const id = /External error id#(\d+)/.exec(String(error))?.[1]
    throw (id && bound.errorRegistry.consumeError(Number(id))?.error) || error
  } finally {
    engine.free()
    await factory.close()
  }
}

/** Remembers the connections it gave, since the engine does not close them and an open one locks the file. */
class ClosingFactory implements SqlMigrationAwareDriverAdapterFactory {
  readonly provider = 'sqlite' as const
  readonly adapterName = '@prisma/adapter-better-sqlite3'
  readonly #stock: PrismaBetterSqlite3
  readonly #given: SqlDriverAdapter[] = []

  constructor(file: string) {
    this.#stock = new PrismaBetterSqlite3({ url: file })
  }

  connect = async () => this.#remember(await this.#stock.connect())
  connectToShadowDb = async () => {
    const shadow = this.#remember(await this.#stock.connectToShadowDb())
    const executeRaw = shadow.executeRaw.bind(shadow)
    // Here the engine sends a whole migration as one statement, which the driver refuses.
    shadow.executeRaw = async query => {
      if (query.args.length) return executeRaw(query)
      await shadow.executeScript(query.sql)
      return 0
    }
    return shadow
  }

  async close() {
    for (const connection of this.#given) await connection.dispose()
  }

  #remember(connection: SqlDriverAdapter) {
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
