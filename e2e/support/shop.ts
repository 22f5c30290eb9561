import { type ChildProcess, execFileSync, spawn } from 'node:child_process'
import { randomUUID } from 'node:crypto'
import { cpSync, mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import Database from 'better-sqlite3'
import { Client } from 'pg'
import { freePort } from '../../scripts/support/free-port'

/** Which shop a test walks through: none yet (the welcome page), a new and empty one, or the demo. */
export type ShopKind = 'none' | 'own' | 'demo'

/** Where a shop of one's own is kept; the demo is always a file. */
export type Kept = 'file' | 'postgres'

export type RunningShop = {
  kind: ShopKind
  url: string
  /** Its data folder: gone after stop(). */
  data: string
  /** Address of its database, where that lies on PostgreSQL. */
  server?: string
  /** What it printed so far. */
  said: () => string
  /** Of scripts/start.mjs, the parent of the server. */
  pid: number
  stop: () => Promise<void>
}

/** The owner of the empty shop. */
export const OWNER = { name: 'Ines Marl', password: 'seven blank totes' }

const NEW_SHOP = {
  name: 'Back Yard Prints',
  currency: 'EUR',
  timeZone: 'Europe/Lisbon',
  measures: 'metric',
  owner: OWNER.name,
  password: OWNER.password,
}

/** Starts `npm start`'s own script on a free port with a throw-away data folder. */
export async function startShop(kind: ShopKind, kept: Kept = 'file'): Promise<RunningShop> {
  const ready = kind === 'none' ? undefined : readyFolder(kind)
  const port = await freePort()
  const data = mkdtempSync(join(tmpdir(), `shirtwright-e2e-${kind}-`))
  if (ready) cpSync(ready, data, { recursive: true })
  const server = kind === 'demo' || kept === 'file' ? undefined : await databaseFor(ready && data)
  const args = ['scripts/start.mjs', '--as-built', ...(kind === 'demo' ? ['--demo'] : [])]
  const child = spawn(process.execPath, args, {
    env: {
      ...process.env,
      SHIRTWRIGHT_DATA: data,
      SHIRTWRIGHT_HOST: '127.0.0.1',
      SHIRTWRIGHT_BACKUPS: 'none',
      PORT: String(port),
      ...(server && { DATABASE_URL: server }),
    },
    stdio: ['ignore', 'pipe', 'pipe'],
  })
  let said = ''
  for (const stream of [child.stdout, child.stderr])
    stream.on('data', text => {
      said += text
    })
  const stop = async () => {
    await end(child)
    rmSync(data, { recursive: true, force: true })
  }
  try {
    await until(
      () => said.includes('is open at'),
      child,
      () => said,
    )
  } catch (error) {
    await stop()
    throw error
  }
  return {
    kind,
    url: `http://localhost:${port}`,
    data,
    ...(server && { server }),
    said: () => said,
    pid: child.pid as number,
    stop,
  }
}

/** A database of its own on the run's PostgreSQL server, with the shop of a data folder moved to it. */
async function databaseFor(data: string | undefined): Promise<string> {
  if (!process.env.E2E_POSTGRES_URL) throw new Error('No PostgreSQL server was started for this run.')
  const url = new URL(process.env.E2E_POSTGRES_URL)
  const client = new Client({ connectionString: url.href })
  await client.connect()
  const name = `shop_${randomUUID().replaceAll('-', '')}`
  await client.query(`CREATE DATABASE "${name}"`).finally(() => client.end())
  url.pathname = `/${name}`
  if (data)
    execFileSync('npm', ['run', '-s', 'move-to-postgres'], {
      env: { ...process.env, SHIRTWRIGHT_DATA: data, DATABASE_URL: url.href },
    })
  return url.href
}

/**
 * Reads a shop's own database beside the running server: what pages show must be what is kept.
 * @param sql understood by SQLite and by PostgreSQL once every name with a capital letter stands in quotes, which is done here
 */
export async function ask<T>(shop: RunningShop, sql: string): Promise<T[]> {
  const quoted = sql.replace(/"[^"]*"|'[^']*'|\b(?:[a-z]+[A-Z]\w*|[A-Z]+[a-z]\w*)\b/g, word =>
    /^["']/.test(word) ? word : `"${word}"`,
  )
  if (shop.server) {
    // Sums and counts as numbers, as the other driver gives them.
    const [BIGINT, NUMERIC] = [20, 1700]
    const client = new Client({ connectionString: shop.server })
    client.setTypeParser(BIGINT, Number)
    client.setTypeParser(NUMERIC, Number)
    await client.connect()
    return client
      .query(quoted)
      .then(({ rows }) => rows as T[])
      .finally(() => client.end())
  }
  const db = new Database(`${shop.data}/shop.db`, { readonly: true })
  try {
    return db.prepare(quoted).all() as T[]
  } finally {
    db.close()
  }
}

/** The process of the server itself, whose parent `npm start` is. */
export const serverOf = (parent: number): number =>
  Number(execFileSync('pgrep', ['-P', String(parent)], { encoding: 'utf8' }).trim())

export const readyFolder = (kind: 'own' | 'demo') => join(process.env.E2E_SCRATCH ?? tmpdir(), kind)

/** Makes a data folder with such a shop, which every server of the run then copies. */
export async function makeReady(kind: 'own' | 'demo'): Promise<void> {
  const child = spawn(
    process.execPath,
    ['--conditions=react-server', '--import', 'tsx', 'scripts/prepare-shop.ts', kind],
    { env: { ...process.env, SHIRTWRIGHT_DATA: readyFolder(kind) }, stdio: ['pipe', 'ignore', 'pipe'] },
  )
  let wrong = ''
  child.stderr.on('data', text => {
    wrong += text
  })
  child.stdin.end(JSON.stringify(NEW_SHOP))
  await new Promise<void>((done, failed) => {
    child.on('close', code =>
      code === 0 ? done() : failed(new Error(`The ${kind} shop was not made: ${wrong}`)),
    )
  })
}

async function end(child: ChildProcess): Promise<void> {
  if (child.exitCode !== null || child.signalCode !== null) return
  const gone = new Promise(done => child.once('exit', done))
  child.kill('SIGTERM')
  await gone
}

async function until(ready: () => boolean, child: ChildProcess, said: () => string): Promise<void> {
  const limit = Date.now() + 60_000
  while (!ready()) {
    if (child.exitCode !== null || Date.now() > limit) throw new Error(`The shop did not open:\n${said()}`)
    await new Promise(done => setTimeout(done, 50))
  }
}
