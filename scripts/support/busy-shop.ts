import { randomUUID } from 'node:crypto'
import type Database from 'better-sqlite3'

/**
 * Makes a shop busier by copying orders that are there with all that belongs to them, so that every row has the shape that
 * the app itself wrote. Used by benchmarks on a copy of the demo shop, never on a shop in use.
 */
type Row = Record<string, unknown>

const OF_ORDER = ['OrderLine', 'Offer', 'Payment', 'JobStep', 'WorkLog', 'Misprint', 'Movement'] as const

/** Copies one order `times` times, moved by `shift(k)` milliseconds in time. @returns the numbers of the copies */
export function copyOrder(
  db: Database.Database,
  number: number,
  times: number,
  shift: (k: number) => number,
): number[] {
  const all = (table: string, key: string, value: unknown) =>
    db.prepare(`SELECT * FROM "${table}" WHERE "${key}" = ?`).all(value) as Row[]
  const order = all('Order', 'number', number)[0]
  if (!order) throw new Error(`There is no order ${number} to copy.`)
  const parts = Object.fromEntries(OF_ORDER.map(table => [table, all(table, 'orderId', order.id)]))
  const next = db.prepare('SELECT MAX("number") AS top FROM "Order"').get() as { top: number }
  const numbers: number[] = []
  for (let k = 0; k < times; k++) {
    const ids = new Map<unknown, string>()
    const copy = (table: string, row: Row, change: Row = {}) => {
      const fresh: Row = { ...row, ...change }
      if (typeof row.id === 'string') {
        fresh.id = randomUUID()
        ids.set(row.id, fresh.id as string)
      }
      for (const [name, value] of Object.entries(fresh)) {
        if (ids.has(value) && name !== 'id') fresh[name] = ids.get(value)
        // Prisma keeps instants as ISO text; the form's own key is used once.
        if (name.endsWith('At') || name === 'at')
          fresh[name] = typeof value === 'string' ? moved(value, shift(k)) : value
        if (name === 'formKey') fresh[name] = null
        if (name === 'token') fresh[name] = randomUUID()
      }
      insert(db, table, fresh)
    }
    const fresh = next.top + 1 + k
    copy('Order', order, { number: fresh })
    for (const table of OF_ORDER)
      for (const row of parts[table] ?? []) {
        copy(table, row, table === 'Movement' ? endOfBook(db, row) : {})
        if (table === 'OrderLine')
          for (const child of ['OrderLineSize', 'Print'])
            for (const r of all(child, 'lineId', row.id)) copy(child, r)
        if (table === 'JobStep')
          for (const child of ['PlannedRun', 'Report'])
            for (const r of all(child, 'stepId', row.id)) copy(child, r)
      }
    numbers.push(fresh)
  }
  // The next real order comes after the copies.
  db.prepare(`UPDATE "Counter" SET "next" = MAX("next", ?) WHERE "name" = 'order'`).run(next.top + times + 1)
  return numbers
}

const moved = (text: string, by: number): string =>
  new Date(Date.parse(text) + by).toISOString().replace('Z', '+00:00')

/** A movement goes to the end of its item's book, on top of what stands there. */
function endOfBook(db: Database.Database, row: Row): Row {
  const last = db
    .prepare(
      'SELECT "position", "onHand", "worthMicro" FROM "Movement" WHERE "itemId" = ? ORDER BY "position" DESC LIMIT 1',
    )
    .get(row.itemId) as { position: number; onHand: number; worthMicro: number }
  return {
    position: last.position + 1,
    onHand: last.onHand + (row.quantity as number),
    worthMicro: last.worthMicro + (row.valueMicro as number),
    counters: null,
  }
}

const inserts = new WeakMap<Database.Database, Map<string, Database.Statement>>()
function insert(db: Database.Database, table: string, row: Row): void {
  const names = Object.keys(row)
  const known = inserts.get(db) ?? new Map<string, Database.Statement>()
  inserts.set(db, known)
  let statement = known.get(table)
  if (!statement) {
    statement = db.prepare(
      `INSERT INTO "${table}" (${names.map(n => `"${n}"`).join(', ')}) VALUES (${names.map(() => '?').join(', ')})`,
    )
    known.set(table, statement)
  }
  statement.run(Object.values(row))
}
