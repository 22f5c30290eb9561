// Kills the server at random moments while many people write, and looks each time whether all that was acknowledged is there, and nothing by half.
import { type ChildProcess, spawn, spawnSync } from 'node:child_process'
import { randomUUID } from 'node:crypto'
import { statSync } from 'node:fs'
import { join } from 'node:path'
import { setTimeout as sleep } from 'node:timers/promises'
import Database from 'better-sqlite3'
import { freePort } from './free-port'
import { type Said, ShopClient } from './shop-client'

export type CrashPlan = {
  /** A copy of the demo shop's data folder: it is written to. */
  data: string
  kills: number
  clients: number
  /** Most answers that people get between one kill and the next (60). */
  between?: number
  /** Of the moments of the kills and of what people write. */
  seed: number
  say?: (line: string) => void
  /** Limits the size of any file of the server, in KiB: writing beyond it fails as on a full disk (Linux). */
  fileLimit?: number
}

export type CrashReport = {
  kills: number
  /** Writes that were acknowledged, by what they were. */
  acknowledged: Record<string, number>
  /** Writes that were under way when the server died: they may be there, whole, or not. */
  cut: number
  /** Writes refused in words, or failed with a code. */
  refused: number
  /** Acknowledged, and not there. */
  lost: string[]
  /** There, but not whole. */
  half: string[]
  /** What check:books said, when it found a fault. */
  books: string[]
  integrity: string
}

/** What people write; every round of `crash` waits for one kind of it. */
const KINDS = ['order', 'shelf', 'payment', 'report', 'customer'] as const

export type Written = {
  kind: (typeof KINDS)[number]
  key: string
  acknowledged: boolean
  detail: Record<string, string>
}

/** Mulberry32: small, and the same everywhere. */
export function seeded(seed: number): () => number {
  let a = seed >>> 0
  return () => {
    a = (a + 0x6d2b79f5) >>> 0
    let t = Math.imul(a ^ (a >>> 15), 1 | a)
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296
  }
}

/** The built server by itself, over a demo shop. */
export class BareServer {
  child: ChildProcess | undefined
  said = ''
  private constructor(
    readonly url: string,
    private readonly env: NodeJS.ProcessEnv,
    private readonly flags: readonly string[],
  ) {}

  /** @param flags of Node itself */
  static async of(
    data: string,
    extra: Record<string, string> = {},
    flags: readonly string[] = [],
  ): Promise<BareServer> {
    const port = await freePort()
    return new BareServer(
      `http://127.0.0.1:${port}`,
      {
        ...process.env,
        NODE_ENV: 'production',
        PORT: String(port),
        HOSTNAME: '127.0.0.1',
        SHIRTWRIGHT_DATA: data,
        SHIRTWRIGHT_DEMO: '1',
        DATABASE_URL: `file:${join(data, 'demo.db')}`,
        ...extra,
      },
      flags,
    )
  }

  /** @returns milliseconds until it answered */
  async start(fileLimit?: number): Promise<number> {
    const begun = performance.now()
    const server = [process.execPath, ...this.flags, '.next/standalone/server.js']
    const [command = '', ...args] = fileLimit
      ? // A limit that is passed is an error to the writer, not its end.
        ['bash', '-c', `trap '' XFSZ; ulimit -f ${fileLimit}; exec "$0" "$@"`, ...server]
      : server
    const child = spawn(command, args, { env: this.env, stdio: ['ignore', 'ignore', 'pipe'] })
    this.child = child
    child.stderr?.on('data', text => {
      this.said = (this.said + text).slice(-200_000)
    })
    for (;;) {
      if (child.exitCode !== null) throw new Error(`The server did not start:\n${this.said.slice(-2000)}`)
      const answer = await fetch(`${this.url}/api/health`).catch(() => undefined)
      if (answer?.ok) return performance.now() - begun
      await answer?.arrayBuffer()
      await sleep(30)
    }
  }

  async end(signal: 'SIGKILL' | 'SIGTERM'): Promise<void> {
    const child = this.child
    if (!child || child.exitCode !== null || child.signalCode !== null) return
    const gone = new Promise(done => child.once('exit', done))
    child.kill(signal)
    await gone
  }
}

/** Somebody who writes one thing after another, each of them once, every kind in its turn. */
export class Writer {
  private turn: number

  constructor(
    private readonly client: ShopClient,
    private readonly random: () => number,
    private readonly scene: Scene,
    private readonly book: Written[],
    readonly counts: { refused: number; cut: number },
    begin = 0,
  ) {
    this.turn = begin
  }

  async once(): Promise<void> {
    const kinds = {
      order: this.order,
      shelf: this.received,
      payment: this.paid,
      report: this.reported,
      customer: this.customer,
    }
    await kinds[KINDS[this.turn++ % KINDS.length] ?? 'order'].call(this)
  }

  private pick<T>(of: readonly T[]): T {
    return of[Math.floor(this.random() * of.length)] as T
  }

  private async write(
    kind: Written['kind'],
    detail: Record<string, string>,
    send: (key: string) => Promise<Said>,
  ) {
    const one: Written = { kind, key: randomUUID(), acknowledged: false, detail }
    this.book.push(one)
    try {
      const said = await send(one.key)
      one.acknowledged = said.value?.ok === true || said.redirect !== undefined
      if (!one.acknowledged) this.counts.refused++
      return said
    } catch (cause) {
      this.counts.cut++
      throw new Error(`${kind} cut off: ${cause instanceof Error ? (cause.cause ?? cause) : cause}`)
    }
  }

  order() {
    const style = this.pick(this.scene.styles)
    const pieces = String(1 + Math.floor(this.random() * 40))
    return this.write('order', { pieces }, formKey =>
      this.client.action(
        'app/counter/actions.ts',
        'newOrderAction',
        {
          formKey,
          'customer.name': `Club ${formKey}`,
          title: 'Spring shirts',
          'lines.0.style': style.id,
          'lines.0.colour': style.colour,
          'lines.0.quantity.M': pieces,
          'lines.0.prints.0.placement': 'full-front',
          'lines.0.prints.0.width': '250',
          'lines.0.prints.0.height': '300',
          'lines.0.prints.0.drop': '80',
        },
        { page: '/counter/new' },
      ),
    )
  }

  received() {
    const quantity = String(1 + Math.floor(this.random() * 9))
    const sku = this.pick(this.scene.skus)
    return this.write('shelf', { quantity }, formKey =>
      this.client.action(
        'app/stockroom/actions.ts',
        'receiveAction',
        { formKey, quantity, cost: '', why: '' },
        {
          page: `/stockroom/items/${sku}`,
          bound: [sku],
        },
      ),
    )
  }

  paid() {
    const order = this.pick(this.scene.orders)
    return this.write('payment', {}, formKey =>
      this.client.action(
        'app/counter/actions.ts',
        'paymentAction',
        {
          formKey,
          kind: 'deposit',
          amount: '0.01',
          means: 'cash',
          note: '',
        },
        { page: `/counter/orders/${order}`, bound: [order] },
      ),
    )
  }

  customer() {
    return this.write('customer', {}, formKey =>
      this.client.action(
        'app/counter/actions.ts',
        'newCustomerAction',
        {
          formKey,
          name: `Guild ${formKey}`,
          email: 'guild@example.com',
          phone: '',
          address: '',
          note: '',
          contact: '',
        },
        { page: '/counter/customers/new' },
      ),
    )
  }

  reported() {
    const step = this.pick(this.scene.steps)
    const told = this.scene.told.get(step.id) ?? 0
    this.scene.told.set(step.id, told + 1)
    const kind = (['start', 'pause', 'resume'] as const)[told % 3] ?? 'start'
    return this.write('report', {}, formKey =>
      this.client.report({ formKey, kind, stepId: step.id, stationId: step.stationId, note: 'a pause' }),
    )
  }
}

export type Scene = {
  owner: string
  styles: { id: string; colour: string }[]
  skus: string[]
  orders: number[]
  /** One of each station, begun where one is: a station works on one at a time. */
  steps: { id: string; stationId: string }[]
  /** How many reports each step has been sent. */
  told: Map<string, number>
}

export function sceneOf(file: string): Scene {
  const db = new Database(file, { readonly: true })
  try {
    return {
      owner: db.prepare("SELECT name FROM Person WHERE role = 'owner'").pluck().get() as string,
      styles: db
        .prepare('SELECT styleId AS id, colour FROM StockItem WHERE styleId IS NOT NULL AND size = ?')
        .all('M') as Scene['styles'],
      skus: db
        .prepare('SELECT sku FROM StockItem WHERE styleId IS NOT NULL LIMIT 20')
        .pluck()
        .all() as string[],
      orders: db
        .prepare(`SELECT number FROM "Order" WHERE state IN ('agreed', 'making')`)
        .pluck()
        .all() as number[],
      steps: db
        .prepare(
          `SELECT s.id, r.stationId, MIN(s.state = 'waiting') FROM JobStep s JOIN PlannedRun r ON r.stepId = s.id
           WHERE s.state <> 'done' AND NOT EXISTS (SELECT 1 FROM JobStep b WHERE b.orderId = s.orderId AND b.job = s.job
             AND b.position < s.position AND b.state <> 'done')
           GROUP BY r.stationId ORDER BY r.stationId`,
        )
        .all() as Scene['steps'],
      told: new Map(),
    }
  } finally {
    db.close()
  }
}

export type TroubleReport = {
  /** What a write answered while another program held the database for a moment. */
  held: Said
  /** … and for longer than a write waits. */
  heldLong: Said
  /** What it answered when the file could grow no more. */
  full: Said
  /** Whether writing went on afterwards, each time. */
  after: boolean[]
  lost: string[]
  half: string[]
  /** Lines of the log, with the codes that people were given. */
  log: string
}

/** Another program holds the database, and the disk fills up, while somebody writes. */
export async function trouble(data: string): Promise<TroubleReport> {
  const file = join(data, 'demo.db')
  const scene = sceneOf(file)
  const book: Written[] = []
  const counts = { refused: 0, cut: 0 }
  const report = { lost: [], half: [], acknowledged: {} } as unknown as CrashReport
  const server = await BareServer.of(data, { SHIRTWRIGHT_LOG: 'error' })
  const after: boolean[] = []
  try {
    await server.start()
    const client = new ShopClient(server.url)
    await client.signInToDemo(scene.owner)
    const writer = new Writer(client, seeded(1), scene, book, counts)
    const other = new Database(file)
    const whileHeld = async (ms: number) => {
      other.exec('BEGIN IMMEDIATE')
      const said = writer.order()
      await sleep(ms)
      other.exec('ROLLBACK')
      return said
    }
    await writer.order()
    const held = await whileHeld(1500)
    after.push((await writer.order()).redirect !== undefined)
    const heldLong = await whileHeld(7000)
    after.push((await writer.order()).redirect !== undefined)
    other.close()
    await server.end('SIGTERM')
    // Room for the start and little more.
    const big = Math.ceil(statSync(file).size / 1024)
    await server.start(big + 64)
    let full: Said = { status: 0 }
    for (let i = 0; i < 400; i++) {
      full = await writer.order()
      if (!full.redirect) break
    }
    await server.end('SIGTERM')
    await server.start()
    after.push((await writer.order()).redirect !== undefined)
    await server.end('SIGTERM')
    compare(file, book, report)
    return { held, heldLong, full, after, lost: report.lost, half: report.half, log: server.said }
  } finally {
    await server.end('SIGKILL')
  }
}

/** What is in the database of what people wrote, against what they were told. */
export function compare(file: string, book: readonly Written[], report: CrashReport): void {
  const db = new Database(file, { readonly: true })
  const rows: Record<Written['kind'], (w: Written) => { there: number; whole: boolean }> = {
    order: w => {
      const o = db
        .prepare(
          `SELECT o.id, (SELECT count(*) FROM OrderLine l WHERE l.orderId = o.id) AS lines,
            (SELECT sum(z.quantity) FROM OrderLineSize z JOIN OrderLine l ON l.id = z.lineId WHERE l.orderId = o.id) AS pieces,
            (SELECT count(*) FROM Print p JOIN OrderLine l ON l.id = p.lineId WHERE l.orderId = o.id) AS prints,
            (SELECT count(*) FROM Customer c WHERE c.id = o.customerId AND c.name = ?) AS customers,
            (SELECT count(*) FROM History h WHERE h.ref IN (o.id, CAST(o.number AS TEXT))) AS told
           FROM "Order" o WHERE o.formKey = ?`,
        )
        .all(`Club ${w.key}`, w.key) as {
        lines: number
        pieces: number
        prints: number
        customers: number
        told: number
      }[]
      const [one] = o
      const whole =
        one?.lines === 1 &&
        one.pieces === Number(w.detail.pieces) &&
        one.prints === 1 &&
        one.customers === 1 &&
        one.told > 0
      return { there: o.length, whole }
    },
    shelf: w => {
      const m = db.prepare('SELECT quantity, byName FROM Movement WHERE formKey = ?').all(w.key) as {
        quantity: number
        byName: string
      }[]
      return { there: m.length, whole: m[0]?.quantity === Number(w.detail.quantity) && m[0].byName !== '' }
    },
    payment: w => {
      const p = db
        .prepare(
          `SELECT p.amountMinor, (SELECT count(*) FROM History h WHERE h.ref IN (p.orderId, (SELECT CAST(number AS TEXT) FROM "Order" o WHERE o.id = p.orderId))) AS told
           FROM Payment p WHERE formKey = ?`,
        )
        .all(w.key) as { amountMinor: number; told: number }[]
      return { there: p.length, whole: p[0]?.amountMinor === 1 && p[0].told > 0 }
    },
    customer: w => {
      const c = db
        .prepare(
          'SELECT c.email, (SELECT count(*) FROM History h WHERE h.ref = c.id) AS told FROM Customer c WHERE c.name = ?',
        )
        .all(`Guild ${w.key}`) as { email: string; told: number }[]
      return { there: c.length, whole: c[0]?.email === 'guild@example.com' && c[0].told > 0 }
    },
    report: w => {
      const r = db
        .prepare(
          'SELECT r.kind, r.byName, s.state, s.startedAt FROM Report r JOIN JobStep s ON s.id = r.stepId WHERE r.formKey = ?',
        )
        .all(w.key) as { byName: string; state: string; startedAt: string | null }[]
      return { there: r.length, whole: r[0]?.state !== 'waiting' && r[0]?.startedAt !== null }
    },
  }
  for (const w of book) {
    const { there, whole } = rows[w.kind](w)
    if (w.acknowledged) report.acknowledged[w.kind] = (report.acknowledged[w.kind] ?? 0) + 1
    if (w.acknowledged && there === 0) report.lost.push(`${w.kind} ${w.key}`)
    if (there > 1 || (there === 1 && !whole)) report.half.push(`${w.kind} ${w.key}: ${there} of it`)
  }
  // A step stands where its last report has put it.
  const adrift = db
    .prepare(
      `SELECT s.id, s.state, (SELECT r.kind FROM Report r WHERE r.stepId = s.id AND r.kind IN ('start', 'pause', 'resume', 'finish') ORDER BY r.id DESC LIMIT 1) AS last
       FROM JobStep s WHERE s.state IN ('running', 'paused')`,
    )
    .all() as { id: string; state: string; last: string | null }[]
  for (const s of adrift)
    if ((s.state === 'paused') !== (s.last === 'pause'))
      report.half.push(`step ${s.id} is ${s.state} after ${s.last}`)
  db.close()
}

/** Lets `clients` people write while the server is killed `kills` times. */
export async function crash(plan: CrashPlan): Promise<CrashReport> {
  const { data, kills, clients, seed, between = 60, say = () => {}, fileLimit } = plan
  const file = join(data, 'demo.db')
  const random = seeded(seed)
  const scene = sceneOf(file)
  const server = await BareServer.of(data, { SHIRTWRIGHT_LOG: 'error' })
  const report: CrashReport = {
    kills: 0,
    acknowledged: {},
    cut: 0,
    refused: 0,
    lost: [],
    half: [],
    books: [],
    integrity: '',
  }
  await server.start(fileLimit)
  try {
    const people = Array.from({ length: clients }, () => new ShopClient(server.url))
    await Promise.all(people.map(client => client.signInToDemo(scene.owner)))
    for (let kill = 0; kill < kills; kill++) {
      const book: Written[] = []
      let open = true
      const work = people.map(async (client, i) => {
        const writer = new Writer(client, random, scene, book, report, i + kill)
        while (open)
          try {
            await writer.once()
          } catch {
            // Cut off: nobody writes on until the server is there again.
            return
          }
      })
      // In the midst of it: after so many answers, at any moment of the next ones.
      const enough = 1 + random() * between
      const late = Date.now() + 20_000
      // No kind is left to chance: one of each comes to be acknowledged in its round.
      const awaited = KINDS[kill % KINDS.length]
      const ripe = () => {
        const done = book.filter(w => w.acknowledged)
        return done.length >= enough && done.some(w => w.kind === awaited)
      }
      while (!ripe() && Date.now() < late) await sleep(5)
      await sleep(random() * 60)
      await server.end('SIGKILL')
      report.kills++
      open = false
      await Promise.all(work)
      const ms = await server.start(fileLimit)
      compare(file, book, report)
      if (kill % 10 === 9)
        say(`${kill + 1} kills; ${book.length} writes in the last round, back in ${Math.round(ms)} ms`)
    }
    await server.end('SIGTERM')
  } finally {
    await server.end('SIGKILL')
  }
  const db = new Database(file)
  report.integrity = String(db.pragma('integrity_check', { simple: true }))
  const loose = db.pragma('foreign_key_check') as unknown[]
  if (loose.length) report.half.push(`${loose.length} rows point to nothing`)
  db.close()
  const books = spawnSync(
    process.execPath,
    ['--conditions=react-server', '--import', 'tsx', 'scripts/check-books.ts', file],
    { encoding: 'utf8' },
  )
  if (books.status !== 0) report.books = books.stderr.split('\n').filter(Boolean).slice(0, 20)
  return report
}
