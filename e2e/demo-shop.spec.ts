import Database from 'better-sqlite3'
import { ORDER_STATES } from '@/lib/orders/states'
import { expect, test } from './support/test'

test.use({ kind: 'demo' })

test('the demo shop holds what a visitor should find', ({ shop }) => {
  const db = new Database(`${shop.data}/demo.db`, { readonly: true })
  const all = <T>(sql: string) => db.prepare(sql).all() as T[]
  const count = (sql: string) => all<{ n: number }>(sql)[0]?.n ?? 0

  // Orders in every state, two closed months and an open one with something in it.
  const states = all<{ state: string }>('SELECT DISTINCT state FROM "Order"').map(r => r.state)
  expect([...states].sort()).toEqual([...ORDER_STATES].sort())
  const closed = all<{ month: string }>('SELECT month FROM MonthClose ORDER BY month').map(r => r.month)
  expect(closed).toHaveLength(2)
  for (const month of closed)
    expect(
      count(`SELECT COUNT(*) AS n FROM "Order" WHERE handedOverAt LIKE '${month}%'`),
      month,
    ).toBeGreaterThan(3)
  expect(
    count(`SELECT COUNT(*) AS n FROM "Order" WHERE handedOverAt > '${closed[1]}-31T23:59'`),
  ).toBeGreaterThan(0)

  // The machines, the people, the shelves, the pictures.
  const kinds = all<{ kind: string; n: number }>('SELECT kind, COUNT(*) AS n FROM Station GROUP BY kind')
  expect(Object.fromEntries(kinds.map(k => [k.kind, k.n]))).toEqual({
    'heat-press': 2,
    'sublimation-printer': 1,
    'dtg-printer': 1,
    'pretreat-booth': 1,
    'screen-press': 1,
    dryer: 1,
    bench: 1,
  })
  expect(count('SELECT COUNT(*) AS n FROM CrewMember')).toBe(3)
  expect(count(`SELECT COUNT(*) AS n FROM StockItem WHERE kind = 'blank'`)).toBe(47)
  expect(count('SELECT COUNT(*) AS n FROM Artwork WHERE alpha = 1')).toBeGreaterThan(8)
  expect(count('SELECT COUNT(*) AS n FROM PlannedRun')).toBeGreaterThan(10)

  // The books tie: on hand is the sum of movements, and nothing was agreed without a basis for its artwork.
  const wrong = all(
    `SELECT m.itemId FROM Movement m GROUP BY m.itemId
     HAVING SUM(m.quantity) <> (SELECT x.onHand FROM Movement x WHERE x.itemId = m.itemId ORDER BY x.position DESC LIMIT 1)`,
  )
  expect(wrong).toEqual([])
  const bare = all(
    `SELECT o.number FROM "Order" o JOIN OrderLine l ON l.orderId = o.id JOIN Print p ON p.lineId = l.id
     WHERE o.state IN ('agreed', 'making', 'ready', 'handedOver')
       AND NOT EXISTS (SELECT 1 FROM Clearance c WHERE c.artworkId = p.artworkId)`,
  )
  expect(bare).toEqual([])
  db.close()
})
