// Several app servers beside each other on one PostgreSQL database, and people who go from one to the other.
import { spawnSync } from 'node:child_process'
import { join } from 'node:path'
import { setTimeout as sleep } from 'node:timers/promises'
import Database from 'better-sqlite3'
import { applyMigrations } from '@/lib/server/migrations'
import { carryToFile, carryToServer } from './carry'
import { BareServer, type CrashReport, compare, sceneOf, seeded, Writer, type Written } from './crash'
import { startPostgres } from './postgres-server'
import { ShopClient } from './shop-client'

export type SeveralReport = {
  /** Writes that were acknowledged, by what they were, and by the server that took them. */
  acknowledged: Record<string, number>
  byServer: number[]
  perSecond: number
  /** Changes that each server told its open pages of, whichever server they were made at. */
  told: number[]
  /** Servers killed (kill -9) at a random moment and started again; writes that were under way then, which may be there, whole, or not. */
  kills: number
  cut: number
  /** Writes whose turn did not come within the time that a write waits: answered with a code, and not done. */
  late: number
  /** Answers that were no answer, and faults of any other kind. */
  errors: string[]
  /** Acknowledged and not there; not whole, or twice. */
  lost: string[]
  half: string[]
  /** What check:books said, when it found a fault. */
  books: string[]
}

/** What the log says of a write that waited for its turn in vain: at its own server, or for another one. */
const TOO_LATE = /Unable to start a transaction in the given time|canceling statement due to lock timeout/

/** Runs `work` with so many servers over a demo shop that lies on a PostgreSQL server of their own. */
export async function withServers<T>(
  data: string,
  count: number,
  work: (servers: BareServer[], database: string) => Promise<T>,
): Promise<T> {
  const postgres = await startPostgres()
  if (!postgres) throw new Error('PostgreSQL is not installed here (Debian: apt-get install postgresql).')
  const servers: BareServer[] = []
  try {
    await postgres.run('CREATE DATABASE shop')
    const url = postgres.url('shop')
    await applyMigrations(url)
    await carryToServer(join(data, 'demo.db'), url)
    for (let i = 0; i < count; i++)
      servers.push(await BareServer.of(data, { SHIRTWRIGHT_LOG: 'error', DATABASE_URL: url }))
    await Promise.all(servers.map(s => s.start()))
    return await work(servers, url)
  } finally {
    await Promise.all(servers.map(s => s.end('SIGKILL')))
    await postgres.stop()
  }
}

/** Counts the changes that a server tells an open page of, until `end`. */
async function listen(client: ShopClient, end: AbortSignal): Promise<() => number> {
  const answer = await client.fetch('/api/events', { signal: end })
  if (answer.status !== 200) throw new Error(`/api/events answered ${answer.status}`)
  let told = 0
  const read = async () => {
    const text = new TextDecoder()
    for await (const bytes of answer.body as unknown as AsyncIterable<Uint8Array>)
      told += text.decode(bytes).split('event: change').length - 1
  }
  read().catch(() => undefined)
  return () => told
}

/**
 * Lets people write, every one of them at one server after the other with the same session, and looks afterwards whether all is there.
 * @param data a copy of the demo shop's data folder, which all servers share
 * @param kills so many times one of the servers, at a random moment, is killed and started again while the others work on
 * @param least writes that each server takes at least and tells its pages of, however slow the machine is: it goes on up to a minute longer for them
 */
export function several({
  data,
  servers: count,
  people,
  seconds,
  seed,
  kills = 0,
  least = 0,
}: {
  data: string
  servers: number
  people: number
  seconds: number
  seed: number
  kills?: number
  least?: number
}): Promise<SeveralReport> {
  const scene = sceneOf(join(data, 'demo.db'))
  return withServers(data, count, async (servers, database) => {
    const book: Written[] = []
    const errors: string[] = []
    const counts = { refused: 0, cut: 0 }
    const clients: ShopClient[][] = []
    // One after another: tries of one name at the same moment count as guesses.
    for (let i = 0; i < people; i++) {
      const first = new ShopClient(servers[0]?.url ?? '')
      await first.signInToDemo(scene.owner)
      clients.push(servers.map(s => first.at(s.url)))
    }
    const end = new AbortController()
    const told = await Promise.all((clients[0] ?? []).map(c => listen(c, end.signal)))
    const byServer = servers.map(() => 0)
    const until = Date.now() + seconds * 1000
    const last = until + 60_000
    let killing = kills
    const lacking = () => [...byServer, ...told.map(n => n())].some(n => n < least)
    const goesOn = () => Date.now() < until || killing > 0 || (lacking() && Date.now() < last)
    const begun = performance.now()
    const down = new Set<BareServer>()
    const deaths = servers.map(() => 0)
    const killer = async () => {
      const random = seeded(seed)
      for (; killing > 0; killing--) {
        const which = Math.floor(random() * servers.length)
        const victim = servers[which] as BareServer
        await sleep(200 + random() * 2_000)
        down.add(victim)
        deaths[which] = (deaths[which] ?? 0) + 1
        await victim.end('SIGKILL')
        await victim.start()
        down.delete(victim)
      }
    }
    await Promise.all([
      killer(),
      ...clients.map(async (at, i) => {
        const random = seeded(seed * 1000 + i)
        const writers = at.map(client => new Writer(client, random, scene, book, counts, i))
        for (let turn = i; goesOn(); turn++) {
          const here = turn % writers.length
          if (down.has(servers[here] as BareServer)) {
            await sleep(20)
            continue
          }
          const before = book.length
          const died = deaths[here]
          try {
            await writers[here]?.once()
          } catch (error) {
            // The one that was killed in the midst of it gave no answer; any other one has to.
            if (deaths[here] === died) errors.push(error instanceof Error ? error.message : String(error))
          }
          if (book.slice(before).some(w => w.acknowledged)) byServer[here] = (byServer[here] ?? 0) + 1
        }
      }),
    ])
    const took = (performance.now() - begun) / 1000
    await sleep(500)
    end.abort()
    const faults = servers.flatMap((s, i) =>
      s.said
        .split('\n')
        .filter(line => line.includes('"fault"'))
        .map(line => `server ${i + 1} logged: ${line}`),
    )
    const late = faults.filter(line => TOO_LATE.test(line)).length
    errors.push(...faults.filter(line => !TOO_LATE.test(line)))
    const file = join(data, 'after.db')
    await applyMigrations(file)
    await carryToFile(database, file)
    const found = { lost: [], half: [], acknowledged: {} } as unknown as CrashReport
    compare(file, book, found)
    const books = spawnSync(
      process.execPath,
      ['--conditions=react-server', '--import', 'tsx', 'scripts/check-books.ts'],
      { encoding: 'utf8', env: { ...process.env, DATABASE_URL: database } },
    )
    return {
      acknowledged: found.acknowledged,
      kills,
      cut: counts.cut,
      late,
      byServer,
      perSecond: book.filter(w => w.acknowledged).length / took,
      told: told.map(n => n()),
      errors,
      lost: found.lost,
      half: [...found.half, ...numbersTwice(file)],
      books: books.status === 0 ? [] : books.stderr.split('\n').filter(Boolean).slice(0, 20),
    }
  })
}

/** Running numbers that are missing or stand twice, and shelves whose book jumps. */
function numbersTwice(file: string): string[] {
  const db = new Database(file, { readonly: true })
  try {
    const orders = db
      .prepare(
        'SELECT COUNT(*) AS n, COUNT(DISTINCT "number") AS different, MAX("number") - MIN("number") + 1 AS span FROM "Order"',
      )
      .get() as { n: number; different: number; span: number }
    const books = db
      .prepare(
        `SELECT "itemId", COUNT(*) AS n, MAX("position") AS last, SUM("quantity") AS sum,
          (SELECT m."onHand" FROM "Movement" m WHERE m."itemId" = a."itemId" ORDER BY m."position" DESC LIMIT 1) AS "onHand"
         FROM "Movement" a GROUP BY "itemId" HAVING n <> last OR sum <> "onHand"`,
      )
      .all() as { itemId: string }[]
    return [
      ...(orders.n !== orders.different || orders.n !== orders.span
        ? [`numbers of orders: ${JSON.stringify(orders)}`]
        : []),
      ...books.map(b => `the book of item ${b.itemId} jumps`),
    ]
  } finally {
    db.close()
  }
}
