import { createHash } from 'node:crypto'
import { mkdirSync, writeFileSync } from 'node:fs'
import { dirname } from 'node:path'
import Database from 'better-sqlite3'
import { keptPath } from '@/lib/server/files'
import { bookLots, type Lot, lotsLeft } from '@/lib/stock/lots'
import type { Intent, MovementKind } from '@/lib/stock/movements'
import { EMPTY, type Layer, type Shelf } from '@/lib/stock/valuation'
import { micro, prorate } from '@/lib/units/money'
import { type Instant, instant } from '@/lib/units/time'
import { type Rng, rng } from '../../prisma/seed/rng'
import { EVEN_OUT } from './uneven'

/**
 * Grows the demo shop to ten years of work. Every order is a copy of one that the app itself wrote, with all that belongs to it, moved by
 * whole weeks; every item's stock book is played anew by the app's own rules, line by line, in the order of time, so that the whole of it
 * can be proven from its movements. Rows go into the file by the hundred thousand, without waiting for the disk: never for a shop in use.
 */
export type LargeShop = {
  orders: number
  movements: number
  purchases: number
  history: number
  customers: number
  artworks: number
}

type Row = Record<string, string | number | bigint | null>
type Template = {
  order: Row
  from: number
  parts: Map<string, Row[]>
  /** What the floor drew for it, newest last. */
  drawn: Row[]
}

const WEEK = 7 * 86_400_000
const WEEKS = 520
/** Tables of an order in the order in which their rows may be written. */
const PARTS = [
  'OrderLine',
  'OrderLineSize',
  'Print',
  'Offer',
  'Payment',
  'JobStep',
  'Report',
  'WorkLog',
  'Misprint',
] as const
/** Emptied before the ten years are written: the demo's own months. */
const EMPTIED = [
  'MonthReopen',
  'MonthClose',
  'Movement',
  'StockLot',
  'PurchaseTrouble',
  'PurchaseLine',
  'Purchase',
  'StockCountLine',
  'StockCount',
  'Invoice',
  'OrderCost',
]
/** Too many rows to keep their indexes up to date while they come. */
const BARE = [
  'Order',
  'OrderLine',
  'OrderLineSize',
  'Print',
  'Offer',
  'Payment',
  'JobStep',
  'Report',
  'WorkLog',
  'Misprint',
  'Movement',
  'History',
  'Customer',
  'Artwork',
  'Clearance',
  'PurchaseLine',
]

const iso = (at: number) => new Date(at).toISOString().replace('Z', '+00:00')
const isInstant = (name: string) => name === 'at' || name.endsWith('At') || name === 'validUntil'

/** Ids that sort by time, as the app's own do (UUID version 7): the same seed gives the same ids. */
function idMaker() {
  let count = 0
  return (at: number): string => {
    count++
    const time = at.toString(16).padStart(12, '0')
    const tail = count.toString(16).padStart(16, '0')
    return `${time.slice(0, 8)}-${time.slice(8)}-7${tail.slice(1, 4)}-8${tail.slice(4, 7)}-${tail.slice(4)}`
  }
}

const FIRST = [
  'Harbour',
  'Mill',
  'Orchard',
  'Station',
  'Chapel',
  'Market',
  'Bridge',
  'Hill',
  'Forest',
  'Lantern',
  'Copper',
  'Salt',
  'Willow',
  'Granite',
  'Ferry',
  'Northgate',
]
const SECOND = [
  'Rowing',
  'Choir',
  'Bakery',
  'Allotment',
  'Cycling',
  'Theatre',
  'Brewing',
  'Running',
  'Pottery',
  'Swimming',
  'Chess',
  'Climbing',
  'Scout',
  'Football',
  'Reading',
  'Market',
]
const THIRD = ['Club', 'Society', 'Company', 'Friends', 'School', 'Festival', 'Union', 'Circle']

/**
 * @param file the demo shop's database, which grows in place
 * @param share of 100,000 orders and 2,000,000 movements: 1, 0.1 or 0.01
 * @param until the last order is handed over before
 */
export function growShop(
  file: string,
  share: number,
  seed: number,
  until: Instant,
  say: (step: string) => void,
): LargeShop {
  const db = new Database(file)
  // Out of the write-ahead log first, which cannot be left in one step: every row would be written twice.
  db.pragma('journal_mode = DELETE')
  db.pragma('journal_mode = OFF')
  db.pragma('locking_mode = EXCLUSIVE')
  db.pragma('synchronous = OFF')
  db.pragma('foreign_keys = OFF')
  db.pragma('cache_size = -400000')
  const random = rng(seed)
  const id = idMaker()
  const orders = Math.round(100_000 * share)
  const wanted = Math.round(2_000_000 * share)

  const templates = readTemplates(db)
  const dropped = db
    .prepare(
      `SELECT "type", "name", "sql" FROM sqlite_master WHERE "sql" IS NOT NULL
       AND ("type" = 'trigger' OR ("type" = 'index' AND "tbl_name" IN (${BARE.map(t => `'${t}'`).join(', ')})))`,
    )
    .all() as { type: string; name: string; sql: string }[]
  for (const d of dropped) db.exec(`DROP ${d.type} "${d.name}"`)
  db.exec('BEGIN')

  const kept = db
    .prepare(
      `SELECT m.* FROM "Movement" m JOIN "Order" o ON o."id" = m."orderId" WHERE o."state" NOT IN ('handedOver', 'declined', 'withdrawn')`,
    )
    .all() as Row[]
  clear(db)

  say('Customers and artwork')
  const customers = addCustomers(
    db,
    Math.max(20, Math.round(3_000 * share)),
    until - WEEKS * WEEK,
    random,
    id,
  )
  const artworks = addArtworks(db, Math.max(20, Math.round(20_000 * share)), until, random, id)

  say(`${orders.toLocaleString('en')} orders`)
  const draws = new Map<string, Draw[]>()
  // Reports come in parts; so many lines a draw that the movements come to what was asked.
  const lines = templates.reduce((n, t) => n + t.drawn.length, 0) / templates.length
  // What comes in by the week and the quarters' counts, as measured on shops of three sizes.
  const bought = Math.min(38_000, wanted * 0.3)
  const history = addOrders(
    db,
    {
      templates,
      orders,
      parts: Math.max(1, (wanted - bought) / orders / lines),
      customers,
      artworks,
      until,
      random,
      id,
    },
    draws,
  )
  for (const m of kept)
    push(draws, m, Date.parse(m.at as string), m.quantity as number, m.orderId, m.stepId, m.reportId)

  say('Purchases, counts and the stock book')
  const stock = addStock(db, draws, until, random, id)
  renumber(db, orders)
  db.exec(EVEN_OUT)
  db.exec('COMMIT')

  say('Indexes')
  // Triggers last: they would look at every row.
  for (const d of dropped.filter(d => d.type === 'index')) db.exec(d.sql)
  for (const d of dropped.filter(d => d.type === 'trigger')) db.exec(d.sql)
  db.exec('ANALYZE')
  db.pragma('locking_mode = NORMAL')
  db.pragma('journal_mode = WAL')
  const wrong = db.pragma('foreign_key_check') as unknown[]
  if (wrong.length > 0) throw new Error(`The rows do not belong together: ${JSON.stringify(wrong[0])}`)
  db.close()
  return { orders, ...stock, history, customers: customers.length, artworks: artworks.length }
}

function readTemplates(db: Database.Database): Template[] {
  const rows = (sql: string, ...args: unknown[]) => db.prepare(sql).all(...args) as Row[]
  const of = (table: string, orderId: unknown): Row[] =>
    table === 'OrderLineSize' || table === 'Print'
      ? rows(
          `SELECT t.* FROM "${table}" t JOIN "OrderLine" l ON l."id" = t."lineId" WHERE l."orderId" = ?`,
          orderId,
        )
      : table === 'Report'
        ? rows(
            `SELECT t.* FROM "Report" t JOIN "JobStep" s ON s."id" = t."stepId" WHERE s."orderId" = ? ORDER BY t."at"`,
            orderId,
          )
        : rows(`SELECT * FROM "${table}" WHERE "orderId" = ?`, orderId)
  return rows(
    `SELECT * FROM "Order" WHERE "state" IN ('handedOver', 'declined', 'withdrawn') ORDER BY "number"`,
  ).map(order => ({
    order,
    from: Date.parse(order.enquiredAt as string),
    parts: new Map([
      ...PARTS.map((t): [string, Row[]] => [t, of(t, order.id)]),
      [
        'History',
        rows(`SELECT * FROM "History" WHERE "entity" = 'order' AND "ref" = ? ORDER BY "at"`, order.id),
      ],
    ]),
    drawn: rows('SELECT * FROM "Movement" WHERE "orderId" = ? ORDER BY "at", "position"', order.id),
  }))
}

function clear(db: Database.Database): void {
  const gone = `(SELECT "id" FROM "Order" WHERE "state" IN ('handedOver', 'declined', 'withdrawn'))`
  db.exec(
    `DELETE FROM "OrderLineSize" WHERE "lineId" IN (SELECT "id" FROM "OrderLine" WHERE "orderId" IN ${gone})`,
  )
  db.exec(`DELETE FROM "Print" WHERE "lineId" IN (SELECT "id" FROM "OrderLine" WHERE "orderId" IN ${gone})`)
  db.exec(
    `DELETE FROM "PlannedRun" WHERE "stepId" IN (SELECT "id" FROM "JobStep" WHERE "orderId" IN ${gone})`,
  )
  db.exec(`DELETE FROM "Report" WHERE "stepId" IN (SELECT "id" FROM "JobStep" WHERE "orderId" IN ${gone})`)
  for (const t of ['WorkLog', 'Misprint', 'JobStep', 'Payment', 'Offer', 'OrderLine', 'StockPromise'])
    db.exec(`DELETE FROM "${t}" WHERE "orderId" IN ${gone}`)
  db.exec(
    `DELETE FROM "History" WHERE ("entity" = 'order' AND "ref" IN ${gone}) OR "entity" IN ('month', 'purchase')`,
  )
  db.exec(`DELETE FROM "Order" WHERE "id" IN ${gone}`)
  for (const t of EMPTIED) db.exec(`DELETE FROM "${t}"`)
}

function inserter(db: Database.Database) {
  const known = new Map<string, { names: string[]; run: Database.Statement }>()
  return (table: string, row: Row): void => {
    let at = known.get(table)
    if (!at) {
      const names = Object.keys(row)
      at = {
        names,
        run: db.prepare(
          `INSERT INTO "${table}" (${names.map(n => `"${n}"`).join(', ')}) VALUES (${names.map(() => '?').join(', ')})`,
        ),
      }
      known.set(table, at)
    }
    at.run.run(at.names.map(n => row[n] ?? null))
  }
}

function addCustomers(
  db: Database.Database,
  many: number,
  from: number,
  random: Rng,
  id: (at: number) => string,
): string[] {
  const insert = inserter(db)
  const ids = (db.prepare('SELECT "id" FROM "Customer"').all() as { id: string }[]).map(r => r.id)
  const [like] = db.prepare('SELECT * FROM "Customer" LIMIT 1').all() as [Row]
  for (let k = ids.length; k < many; k++) {
    const name = `${random.pick(FIRST)} ${random.pick(SECOND)} ${random.pick(THIRD)} ${k}`
    const at = from + Math.floor((k / many) * WEEKS) * WEEK
    const own = id(at)
    insert('Customer', {
      ...like,
      id: own,
      name,
      contact: `${random.pick(SECOND)} ${random.pick(FIRST)}`,
      email: `kit${k}@customer.example`,
      phone: `555 ${String(k).padStart(4, '0')}`,
      createdAt: iso(at),
    })
    ids.push(own)
  }
  return ids
}

/** Plain coloured squares, each its own file. */
function addArtworks(
  db: Database.Database,
  many: number,
  until: number,
  random: Rng,
  id: (at: number) => string,
): string[] {
  const insert = inserter(db)
  const ids = (db.prepare('SELECT "id" FROM "Artwork"').all() as { id: string }[]).map(r => r.id)
  for (let k = ids.length; k < many; k++) {
    const colour = `#${Math.floor(random.between(0, 0xffffff)).toString(16).padStart(6, '0')}`
    const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="600" height="600"><circle cx="300" cy="300" r="${100 + (k % 150)}" fill="${colour}"/><title>${k}</title></svg>`
    const sha256 = createHash('sha256').update(svg).digest('hex')
    const file = keptPath(sha256)
    mkdirSync(dirname(file), { recursive: true })
    writeFileSync(file, svg)
    const at = until - WEEKS * WEEK + Math.floor((k / many) * WEEKS) * WEEK
    const own = id(at)
    insert('Artwork', {
      id: own,
      sha256,
      name: `${random.pick(FIRST)} ${random.pick(SECOND)} ${k}.svg`,
      mime: 'image/svg+xml',
      bytes: svg.length,
      widthPx: 600,
      heightPx: 600,
      alpha: 1,
      declaredPpi: null,
      likeness: '',
      createdAt: iso(at),
      byName: 'Pia Lund',
    })
    insert('Clearance', {
      id: id(at),
      artworkId: own,
      basis: 'customerDeclaration',
      evidence: 'Declared with an offer.',
      byName: 'Pia Lund',
      at: iso(at),
    })
    ids.push(own)
  }
  return ids
}

/** What is taken of an item at an instant. */
type Draw = {
  at: number
  quantity: number
  kind: MovementKind
  orderId: string | null
  stepId: string | null
  reportId: string | null
}

function push(
  draws: Map<string, Draw[]>,
  m: Row,
  at: number,
  quantity: number,
  orderId: unknown,
  stepId: unknown,
  reportId: unknown,
): void {
  const list = draws.get(m.itemId as string) ?? []
  if (list.length === 0) draws.set(m.itemId as string, list)
  list.push({
    at,
    quantity: Math.abs(quantity),
    kind: m.kind as MovementKind,
    orderId: orderId as string | null,
    stepId: stepId as string | null,
    reportId: reportId as string | null,
  })
}

type OrderPlan = {
  templates: readonly Template[]
  orders: number
  /** Lines of the stock book that one draw of a template becomes, on average. */
  parts: number
  customers: readonly string[]
  artworks: readonly string[]
  until: number
  random: Rng
  id: (at: number) => string
}

function addOrders(db: Database.Database, plan: OrderPlan, draws: Map<string, Draw[]>): number {
  const { templates, orders, parts, customers, artworks, until, random, id } = plan
  const insert = inserter(db)
  // What was never paid is rare: a shop of ten years does not wait for thousands of payments.
  const made = templates.filter(t => t.order.state === 'handedOver' && isPaid(t))
  const ended = templates.filter(t => t.order.state !== 'handedOver')
  // Orders come by weeks, three times as many at the end as in the beginning.
  const weight = (week: number) => 1 + (2 * week) / WEEKS
  const sum = Array.from({ length: WEEKS }, (_, w) => weight(w)).reduce((a, b) => a + b, 0)
  let number = 1_000
  let history = 0
  let owed = 0
  for (let week = 0; week < WEEKS; week++) {
    owed += (orders * weight(week)) / sum
    for (; number - 1_000 < Math.round(owed); ) {
      number++
      const template = ended.length > 0 && random.chance(0.1) ? random.pick(ended) : random.pick(made)
      const weeks = Math.ceil((lastOf(template) - until) / WEEK) + (WEEKS - week)
      const shift = weeks * WEEK
      const at = template.from - shift
      const ids = new Map<unknown, string>()
      const copy = (table: string, row: Row, change: Row = {}): void => {
        const fresh: Row = {}
        for (const name in row) {
          const value = row[name] as Row[string]
          if (name === 'id') {
            fresh.id = id(at)
            ids.set(value, fresh.id)
          } else if (value !== null && isInstant(name)) fresh[name] = iso(Date.parse(value as string) - shift)
          else if (name === 'formKey') fresh[name] = null
          else if (name === 'token') fresh[name] = `${number}-${row.version}-${id(at)}`
          else
            fresh[name] = typeof value === 'string' && value.length === 36 ? (ids.get(value) ?? value) : value
        }
        insert(table, Object.assign(fresh, change))
      }
      copy('Order', template.order, { number, customerId: random.pick(customers) })
      const art = random.pick(artworks)
      for (const table of PARTS)
        for (const row of template.parts.get(table) ?? [])
          copy(table, row, table === 'Print' && row.artworkId !== null ? { artworkId: art } : {})
      for (const row of template.parts.get('History') ?? []) {
        copy('History', row)
        history++
      }
      for (const m of template.drawn) {
        const when = Date.parse(m.at as string) - shift
        const quantity = Math.abs(m.quantity as number)
        const count = Math.min(quantity, Math.floor(parts) + (random.chance(parts % 1) ? 1 : 0))
        for (let k = 0; k < count; k++) {
          const part = Math.floor(((k + 1) * quantity) / count) - Math.floor((k * quantity) / count)
          push(
            draws,
            m,
            when + k * 60_000,
            part,
            ids.get(m.orderId),
            ids.get(m.stepId) ?? null,
            ids.get(m.reportId) ?? null,
          )
        }
      }
    }
  }
  db.prepare('UPDATE "Counter" SET "next" = ? WHERE "name" = \'order\'').run(number + 1)
  return history
}

const isPaid = ({ order, parts }: Template): boolean =>
  (parts.get('Payment') ?? []).reduce((sum, p) => sum + (p.amountMinor as number), 0) === order.grossMinor

/** The last instant that an order knows of. */
function lastOf(t: Template): number {
  const ends = [t.order.handedOverAt, t.order.endedAt, t.order.enquiredAt].flatMap(v =>
    v === null ? [] : [Date.parse(v as string)],
  )
  const paid = (t.parts.get('Payment') ?? []).map(p => Date.parse(p.at as string))
  return Math.max(...ends, ...paid, ...t.drawn.map(m => Date.parse(m.at as string)))
}

type Item = {
  id: string
  sku: string
  name: string
  kind: string
  unit: string
  supplier: string
  leadDays: number
  priceMicro: number
  pricePer: number
}
type Event = {
  at: number
  intent: Intent
  draw?: Draw
  purchase?: string
  came?: { lot: string; goodUntil: Instant }
}
const LOTS = new Set(['ink', 'pretreat'])

/** Plays every item's book: what came in each week, what the floor drew, counts each quarter. */
function addStock(
  db: Database.Database,
  draws: ReadonlyMap<string, Draw[]>,
  until: number,
  random: Rng,
  id: (at: number) => string,
): { movements: number; purchases: number } {
  const insert = inserter(db)
  const items = db.prepare('SELECT * FROM "StockItem" ORDER BY "sku"').all() as Item[]
  const valuation = (db.prepare('SELECT "valuation" FROM "Shop"').get() as { valuation: 'fifo' | 'average' })
    .valuation
  const start =
    Math.min(...[...draws.values()].map(l => l.reduce((m, d) => Math.min(m, d.at), until))) - 3 * 86_400_000
  const weeks = Math.ceil((until - start) / WEEK) + 2
  const suppliers = [...new Set(items.map(i => i.supplier))]
  // A purchase of each supplier for each week, which comes in on its Monday; used only where something is bought.
  const purchases = new Map<string, { id: string; at: number; lines: number }>()
  const purchaseOf = (supplier: string, week: number) => {
    const key = `${supplier} ${week}`
    const at = start + week * WEEK
    const known = purchases.get(key) ?? { id: id(at), at, lines: 0 }
    purchases.set(key, known)
    known.lines++
    return known
  }
  let movements = 0
  for (const item of items) {
    const list = [...(draws.get(item.id) ?? [])].sort((a, b) => a.at - b.at)
    const need = new Array<number>(weeks).fill(0)
    for (const d of list) {
      const week = Math.max(0, Math.min(weeks - 1, Math.floor((d.at - start) / WEEK)))
      need[week] = (need[week] ?? 0) + d.quantity
    }
    const events: Event[] = list.map(draw => ({
      at: draw.at,
      draw,
      intent: { kind: draw.kind === 'spoiled' ? 'spoiled' : 'issued', quantity: draw.quantity },
    }))
    // Bought ahead for the week and a little more, in whole packs, at prices that move; one in five comes in two parts.
    let ahead = 0
    const pack = item.kind === 'blank' ? 6 : Number(item.pricePer)
    for (let week = 0; week < weeks; week++) {
      const short = (need[week] ?? 0) * 1.1 + (week === 0 ? pack * 2 : 0) - ahead
      ahead -= need[week] ?? 0
      if (short <= 0) continue
      const quantity = Math.ceil(short / pack) * pack
      ahead += quantity
      const bought = purchaseOf(item.supplier, week)
      const value = Math.round(
        (Number(item.priceMicro) * quantity * random.between(0.9, 1.1)) / Number(item.pricePer),
      )
      insert('PurchaseLine', {
        id: id(bought.at),
        purchaseId: bought.id,
        itemId: item.id,
        quantity,
        received: quantity,
        givenUp: 0,
        valueMicro: value,
      })
      const first = random.chance(0.2) ? Math.max(1, Math.floor(quantity / 2)) : quantity
      const came = LOTS.has(item.kind)
        ? { lot: `${item.sku.slice(0, 3)}${week}`, goodUntil: instant(bought.at + 500 * 86_400_000) }
        : undefined
      const parts = [first, quantity - first].filter(n => n > 0)
      let done = 0
      for (const [k, part] of parts.entries()) {
        const worth = prorate(value, done + part, quantity) - prorate(value, done, quantity)
        done += part
        events.push({
          at: bought.at + k * 3_600_000,
          purchase: bought.id,
          intent: { kind: 'received', quantity: part, value: micro(worth), why: '' },
          ...(came ? { came } : {}),
        })
      }
    }
    for (let at = start + 13 * WEEK; at < until; at += 13 * WEEK)
      events.push({
        at: at + 17 * 3_600_000,
        intent: { kind: 'counted', found: random.whole(0, 100), why: 'Quarter count' },
      })
    events.sort((a, b) => a.at - b.at)
    movements += playBook(insert, item, events, valuation, id)
  }
  for (const [k, p] of [...purchases.entries()].sort(([, a], [, b]) => a.at - b.at).entries()) {
    const [key, { id: own, at }] = p
    insert('Purchase', {
      id: own,
      number: k + 1,
      supplier: suppliers.find(s => key.startsWith(`${s} `)) ?? '',
      state: 'received',
      dueAt: iso(at),
      note: '',
      createdAt: iso(at - 3 * 86_400_000),
      byName: 'Maren Holt',
      sentAt: iso(at - 3 * 86_400_000),
      formKey: null,
      version: 2,
    })
  }
  db.prepare('UPDATE "Counter" SET "next" = ? WHERE "name" = \'purchase\'').run(purchases.size + 1)
  return { movements, purchases: purchases.size }
}

function playBook(
  insert: (table: string, row: Row) => void,
  item: Item,
  events: readonly Event[],
  valuation: 'fifo' | 'average',
  id: (at: number) => string,
): number {
  const rules = { name: item.name, unit: item.unit as 'piece', valuation, belowZero: true }
  const day = (at: Instant) => new Date(at).toISOString().slice(0, 10)
  let shelf: Shelf = EMPTY
  let lots: (Lot & { goodUntil: Instant | null })[] = []
  const ended: typeof lots = []
  let position = 0
  for (const { at, intent, draw, purchase, came } of events) {
    // A count finds a little less than the book says, as counts do.
    const meant: Intent =
      intent.kind === 'counted'
        ? { ...intent, found: Math.max(0, Math.round(shelf.onHand * (1 - intent.found / 10_000))) }
        : intent
    const done = bookLots(shelf, meant, rules, { lots, now: instant(at), day }, came ? { came } : {})
    if (!done.ok) throw new Error(done.message)
    shelf = { ...done.value.shelf, layers: newest(done.value.shelf) }
    for (const e of done.value.entries) {
      position++
      insert('Movement', {
        id: id(at),
        itemId: item.id,
        position,
        kind: e.kind,
        quantity: e.quantity,
        valueMicro: e.value,
        onHand: e.onHand,
        worthMicro: e.worth,
        orderId: draw?.orderId ?? null,
        stepId: draw?.stepId ?? null,
        purchaseId: purchase ?? null,
        counters: null,
        why: e.why ?? '',
        at: iso(at),
        byName: purchase ? 'Pia Lund' : draw ? 'Idris Vale' : 'Maren Holt',
        reportId: draw?.reportId ?? null,
        lot: e.lot,
        expiresAt: e.lot && e.goodUntil !== null ? iso(e.goodUntil) : null,
        formKey: null,
      })
      if (!e.lot) continue
      const known = lots.find(l => l.lot === e.lot)
      if (known) known.left += e.quantity
      else lots.push({ lot: e.lot, left: e.quantity, goodUntil: e.goodUntil, firstAt: instant(at) })
    }
    // A lot that is used up and of which no more can come is off the shelf.
    if (lots.length > 12) {
      const live = new Set(lotsLeft(lots, shelf.onHand, instant(at)).map(l => l.lot))
      const gone = lots.filter(l => !live.has(l.lot) && l.left === 0 && l.firstAt < at - WEEK)
      ended.push(...gone)
      lots = lots.filter(l => !gone.includes(l))
    }
  }
  for (const l of [...ended, ...lots])
    insert('StockLot', {
      id: id(l.firstAt),
      itemId: item.id,
      lot: l.lot,
      expiresAt: l.goodUntil === null ? null : iso(l.goodUntil),
      extendedTo: null,
      extendedWhy: '',
      extendedBy: '',
      firstAt: iso(l.firstAt),
      onHand: l.left,
    })
  return position
}

/** The newest layers that cover what is on hand: older ones have been used up. The newest one stays, for what is used below 0. */
function newest({ layers, onHand }: Shelf): readonly Layer[] {
  if (layers.length < 24) return layers
  let covered = 0
  let at = layers.length - 1
  for (; at > 0 && covered + (layers[at]?.quantity ?? 0) < onHand; at--) covered += layers[at]?.quantity ?? 0
  return layers.slice(Math.max(0, at))
}

/** The demo's open orders come after those of ten years. */
function renumber(db: Database.Database, orders: number): void {
  const open = db
    .prepare(
      `SELECT "id", "number" FROM "Order" WHERE "state" NOT IN ('handedOver', 'declined', 'withdrawn') ORDER BY "number"`,
    )
    .all() as { id: string; number: number }[]
  const set = db.prepare('UPDATE "Order" SET "number" = ? WHERE "id" = ?')
  // By way of numbers that nobody has: they are unique at every moment.
  for (const o of open) set.run(10_000_000 + o.number, o.id)
  open.forEach((o, k) => {
    set.run(1_000 + orders + 1 + k, o.id)
  })
  db.prepare('UPDATE "Counter" SET "next" = ? WHERE "name" = \'order\'').run(1_000 + orders + 1 + open.length)
}
