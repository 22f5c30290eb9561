// Many people at work on the built server at once: how long they wait, whether anything fails or is lost, and what it takes.
import { randomUUID } from 'node:crypto'
import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { setTimeout as sleep } from 'node:timers/promises'
import Database from 'better-sqlite3'
import {
  BareServer,
  type CrashReport,
  compare,
  type Scene,
  sceneOf,
  seeded,
  Writer,
  type Written,
} from './crash'
import { memoryOf } from './fuzz'
import { ShopClient } from './shop-client'

/** What one kind of work took, milliseconds. */
export type Waits = { n: number; p50: number; p99: number; most: number }
export type LoadReport = {
  people: number
  seconds: number
  perSecond: number
  /** Processor time of the server for each answer, milliseconds; 0 where the system does not tell. */
  cpuMs: number
  all: Waits
  kinds: Record<string, Waits>
  /** Answers that were no answer: 500 and more, cut off, or a write that was neither taken nor refused in words. */
  errors: string[]
  /** Acknowledged, and not there; there, but not whole; counted twice. */
  lost: string[]
  /** MB before, every few seconds, and after a rest. */
  memory: number[]
}

/** Milliseconds of processor time that a process has taken so far, its threads included; 0 where the system does not tell (it is Linux that does). */
function cpuOf(pid: number | undefined): number {
  try {
    const [user, system] =
      readFileSync(`/proc/${pid}/stat`, 'utf8').split(') ')[1]?.split(' ').slice(11, 13) ?? []
    // In hundredths of a second.
    return (Number(user) + Number(system)) * 10
  } catch {
    return 0
  }
}

function waitsOf(times: number[]): Waits {
  const sorted = [...times].sort((a, b) => a - b)
  const at = (share: number) =>
    Math.round(sorted[Math.min(sorted.length - 1, Math.ceil(sorted.length * share) - 1)] ?? 0)
  return { n: sorted.length, p50: at(0.5), p99: at(0.99), most: at(1) }
}

/** What people look at, as often as each stands here. */
const LOOKS = [
  '/floor',
  '/floor',
  '/counter',
  '/counter/orders',
  '/stockroom',
  '/stockroom/items',
  '/artdesk',
  '/floor/stations',
] as const

/** A shop with a server over it, and people who are signed in. */
export class Crowd {
  readonly book: Written[] = []
  private constructor(
    readonly server: BareServer,
    readonly scene: Scene,
    private readonly file: string,
    readonly people: ShopClient[],
  ) {}

  /** @param profile folder for what Node writes about where its time went */
  static async of(data: string, profile?: string): Promise<Crowd> {
    const file = join(data, 'demo.db')
    const server = await BareServer.of(
      data,
      { SHIRTWRIGHT_LOG: 'error' },
      profile ? ['--cpu-prof', `--cpu-prof-dir=${profile}`] : [],
    )
    await server.start()
    return new Crowd(server, sceneOf(file), file, [])
  }

  /** Signs people in, one after another, until there are so many. */
  async grow(people: number): Promise<void> {
    while (this.people.length < people) {
      const client = new ShopClient(this.server.url)
      await client.signInToDemo(this.scene.owner)
      this.people.push(client)
    }
  }

  /**
   * Lets everybody work for a while: three looks for each thing written.
   * @param pauseMs what people take between one thing and the next, on average; 0: none
   */
  async work({
    people,
    seconds,
    pauseMs,
    seed,
  }: {
    people: number
    seconds: number
    pauseMs: number
    seed: number
  }): Promise<LoadReport> {
    await this.grow(people)
    const times: Record<string, number[]> = {}
    const errors: string[] = []
    const book: Written[] = []
    const counts = { refused: 0, cut: 0 }
    const memory = [Math.round(memoryOf(this.server.child?.pid))]
    const until = Date.now() + seconds * 1000
    const timed = async (kind: string, work: () => Promise<string | undefined>) => {
      const begun = performance.now()
      const wrong = await work().catch(error => (error instanceof Error ? error.message : String(error)))
      times[kind] ??= []
      times[kind].push(performance.now() - begun)
      if (wrong) errors.push(`${kind}: ${wrong}`)
    }
    const one = async (client: ShopClient, i: number) => {
      const random = seeded(seed * 1000 + i)
      const writer = new Writer(client, random, this.scene, book, counts, i)
      await sleep(random() * (pauseMs || 50))
      for (let turn = i; Date.now() < until; turn++) {
        if (turn % 4 === 0) {
          const kind = (['order', 'report', 'shelf', 'payment'] as const)[(turn / 4) % 4] ?? 'order'
          const doing = {
            order: () => writer.order(),
            report: () => writer.reported(),
            shelf: () => writer.received(),
            payment: () => writer.paid(),
          }
          await timed(kind, async () => {
            const said = await doing[kind]()
            return said.status >= 500 || (!said.redirect && !said.value?.message && !said.value?.ok)
              ? `answered ${said.status}`
              : undefined
          })
        } else {
          const path = LOOKS[Math.floor(random() * LOOKS.length)] ?? '/floor'
          await timed(`look at ${path}`, async () => {
            const { status } = await client.open(path)
            return status === 200 ? undefined : `answered ${status}`
          })
        }
        if (pauseMs) await sleep(pauseMs * (0.5 + random()))
      }
    }
    const begun = performance.now()
    const cpu = cpuOf(this.server.child?.pid)
    const watch = setInterval(() => memory.push(Math.round(memoryOf(this.server.child?.pid))), 10_000)
    await Promise.all(this.people.slice(0, people).map(one))
    clearInterval(watch)
    const took = (performance.now() - begun) / 1000
    const spent = cpuOf(this.server.child?.pid) - cpu
    await sleep(3000)
    memory.push(Math.round(memoryOf(this.server.child?.pid)))
    const found = { lost: [], half: [], acknowledged: {} } as unknown as CrashReport
    compare(this.file, book, found)
    this.book.push(...book)
    const all = Object.values(times).flat()
    return {
      people,
      seconds: Math.round(took),
      perSecond: all.length / took,
      cpuMs: spent / (all.length || 1),
      all: waitsOf(all),
      kinds: Object.fromEntries(Object.entries(times).map(([kind, list]) => [kind, waitsOf(list)])),
      errors,
      lost: [...found.lost, ...found.half],
      memory,
    }
  }

  /** Saves orders as fast as some people can, and nothing else. @returns orders a second */
  async saves(people: number, seconds: number): Promise<number> {
    await this.grow(people)
    const until = Date.now() + seconds * 1000
    const book: Written[] = []
    const begun = performance.now()
    await Promise.all(
      this.people.slice(0, people).map(async (client, i) => {
        const writer = new Writer(client, seeded(i), this.scene, book, { refused: 0, cut: 0 })
        while (Date.now() < until) await writer.order()
      }),
    )
    this.book.push(...book)
    return book.filter(w => w.acknowledged).length / ((performance.now() - begun) / 1000)
  }

  /**
   * Writes the rows of one saved order again and again with the bare driver, one transaction for each, as safe on the disk as the app's
   * own (WAL, synchronous FULL). The server must be stopped.
   * @returns orders a second, and rows of each
   */
  bare(seconds: number): { perSecond: number; rows: number } {
    const db = new Database(this.file)
    db.pragma('journal_mode = WAL')
    db.pragma('synchronous = FULL')
    const key = this.book.find(w => w.kind === 'order' && w.acknowledged)?.key
    const order = db.prepare('SELECT * FROM "Order" WHERE formKey = ?').get(key) as Record<string, unknown>
    const all = (sql: string, value: unknown) => db.prepare(sql).all(value) as Record<string, unknown>[]
    const lines = all('SELECT * FROM OrderLine WHERE orderId = ?', order.id)
    const rows: [string, Record<string, unknown>][] = [
      ['Customer', all('SELECT * FROM Customer WHERE id = ?', order.customerId)[0] ?? {}],
      ['Order', order],
      ...lines.map((line): [string, Record<string, unknown>] => ['OrderLine', line]),
      ...lines.flatMap(line =>
        all('SELECT * FROM OrderLineSize WHERE lineId = ?', line.id).map(
          (r): [string, Record<string, unknown>] => ['OrderLineSize', r],
        ),
      ),
      ...lines.flatMap(line =>
        all('SELECT * FROM Print WHERE lineId = ?', line.id).map((r): [string, Record<string, unknown>] => [
          'Print',
          r,
        ]),
      ),
      ...all('SELECT * FROM History WHERE ref IN (?)', order.id).map(
        (r): [string, Record<string, unknown>] => ['History', r],
      ),
    ]
    const inserts = rows.map(([table, row]) =>
      db.prepare(
        `INSERT INTO "${table}" (${Object.keys(row)
          .map(n => `"${n}"`)
          .join(', ')}) VALUES (${Object.keys(row)
          .map(() => '?')
          .join(', ')})`,
      ),
    )
    let number = db.prepare('SELECT max(number) FROM "Order"').pluck().get() as number
    const once = db.transaction(() => {
      const ids = new Map<unknown, string>()
      number++
      rows.forEach(([table, row], i) => {
        const fresh = { ...row }
        if (typeof row.id === 'string') ids.set(row.id, randomUUID())
        for (const [name, value] of Object.entries(fresh)) if (ids.has(value)) fresh[name] = ids.get(value)
        if (table === 'Order') Object.assign(fresh, { number, formKey: randomUUID() })
        inserts[i]?.run(Object.values(fresh))
      })
    })
    const until = performance.now() + seconds * 1000
    let n = 0
    while (performance.now() < until) {
      once()
      n++
    }
    db.close()
    return { perSecond: n / seconds, rows: rows.length }
  }
}
