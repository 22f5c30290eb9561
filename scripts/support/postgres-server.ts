import { execFileSync, spawn } from 'node:child_process'
import { chownSync, mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { Client } from 'pg'
import { postgresPrograms } from './postgres-programs.mjs'

/** A PostgreSQL server of one's own, in a folder that goes with it. */
export type PostgresServer = {
  /** The address of one of its databases. */
  url: (database: string) => string
  /** Runs statements in the database that every server has. */
  run: (...statements: string[]) => Promise<void>
  stop: () => Promise<void>
}

/**
 * Starts a throw-away server that is reached through a socket in its own folder and listens to no network. It does not wait for the disk:
 * for tests, never for a shop.
 * @returns undefined where PostgreSQL is not installed
 */
export async function startPostgres(): Promise<PostgresServer | undefined> {
  const programs = postgresPrograms()
  if (!programs) return undefined
  const folder = mkdtempSync(join(tmpdir(), 'shirtwright-pg-'))
  // PostgreSQL refuses to run as root; the package brings an account of its own.
  const as = process.getuid?.() === 0 ? account('postgres') : {}
  if (as.uid !== undefined && as.gid !== undefined) chownSync(folder, as.uid, as.gid)
  const data = join(folder, 'data')
  execFileSync(
    join(programs, 'initdb'),
    ['-D', data, '-U', 'shop', '--auth=trust', '-E', 'UTF8', '--locale=C', '-N'],
    { ...as, cwd: folder, stdio: ['ignore', 'ignore', 'inherit'] },
  )
  const server = spawn(
    join(programs, 'postgres'),
    ['-D', data, '-k', folder, '-h', '', '-F', '-c', 'max_connections=300', '-c', 'full_page_writes=off'],
    { ...as, cwd: folder, stdio: ['ignore', 'ignore', 'pipe'] },
  )
  let said = ''
  server.stderr.on('data', text => {
    said = (said + text).slice(-4000)
  })
  const ended = new Promise<void>(done => server.once('exit', () => done()))
  const url = (database: string) => `postgresql://shop@localhost/${database}?host=${folder}`
  const run = async (...statements: string[]) => {
    const client = new Client({ connectionString: url('postgres') })
    await client.connect()
    try {
      for (const statement of statements) await client.query(statement)
    } finally {
      await client.end()
    }
  }
  const stop = async () => {
    // SIGINT: at once, without waiting for those who are connected.
    server.kill('SIGINT')
    await ended
    rmSync(folder, { recursive: true, force: true })
  }
  for (const until = Date.now() + 30_000; ; ) {
    try {
      await run('SELECT 1')
      return { url, run, stop }
    } catch (error) {
      if (server.exitCode === null && Date.now() < until) {
        await new Promise(done => setTimeout(done, 50))
        continue
      }
      await stop()
      throw new Error(`PostgreSQL did not start: ${said}`, { cause: error })
    }
  }
}

function account(name: string): { uid?: number; gid?: number } {
  const line = readFileSync('/etc/passwd', 'utf8')
    .split('\n')
    .find(one => one.startsWith(`${name}:`))
  const [, , uid, gid] = line?.split(':') ?? []
  if (!uid || !gid) throw new Error(`PostgreSQL cannot run as root, and there is no account “${name}”.`)
  return { uid: Number(uid), gid: Number(gid) }
}
