import Database from 'better-sqlite3'
import { afterEach, beforeEach, expect, inject, test } from 'vitest'
import { paceBook } from '@/lib/costing/store'
import { priceLists } from '@/lib/methods/store'
import { sharedPlan } from '@/lib/planning/store'
import { Prisma } from '@/lib/server/client/client'
import { db } from '@/lib/server/database'
import { recipesNow, recipeVersions } from '@/lib/shop/recipes/store'
import { crew, everyStation, findShop, rateCards, styles, terms } from '@/lib/shop/store'
import { agreed, NOW, openFloor } from '../floor/shop-floor'
import { freshDatabase } from '../support/database'

/** What SQLite is asked, by whichever connection. */
const asked: string[] = []
type Asking = { source: string; all(...values: unknown[]): unknown }
const statement = Object.getPrototypeOf(new Database(':memory:').prepare('SELECT 1')) as Asking
const { all } = statement
beforeEach(async () => {
  const close = await freshDatabase()
  await agreed(await openFloor())
  statement.all = function (...values) {
    asked.push(this.source)
    return all.apply(this, values)
  }
  return close
}, 30_000)
afterEach(() => {
  statement.all = all
})

const questions = async (read: () => Promise<unknown>) => {
  asked.length = 0
  await read()
  return [...asked]
}
const tablesOf = (sql: readonly string[]) =>
  [...new Set(sql.flatMap(s => [...s.matchAll(/(?:FROM|JOIN)\s+(?:`main`\.)?[`"](\w+)[`"]/g)]))]
    .map(found => found[1] ?? '')
    .filter(name => name in Prisma.ModelName)

const readings: Record<string, () => Promise<unknown>> = {
  shop: findShop,
  'rate cards': rateCards,
  terms: () => terms('wage'),
  stations: () => everyStation(NOW),
  crew: () => crew(NOW),
  styles,
  recipes: recipesNow,
  'versions of a recipe': () => recipeVersions('screen'),
  'price lists': priceLists,
  paces: paceBook,
  'the plan': () => sharedPlan(NOW),
}

// Nothing is kept on PostgreSQL.
test.skipIf(inject('postgres'))(
  'what is kept asks nothing twice, and all anew once any table it looks at is written',
  async () => {
    const write = (table: string) => db().$executeRawUnsafe(`DELETE FROM "${table}" WHERE FALSE`)
    for (const [name, read] of Object.entries(readings)) {
      // Nobody knows what this writes: nothing is kept after it.
      await db().$executeRaw`REINDEX "Counter"`
      const tables = tablesOf(await questions(read))
      expect(tables.length, name).toBeGreaterThan(0)
      if (name === 'the plan') expect(tables.length, tables.join()).toBeGreaterThan(10)
      expect(await questions(read), name).toEqual([])
      for (const table of tables) {
        await write(table)
        expect(await questions(read), `${name}, after ${table} was written`).not.toEqual([])
      }
    }
  },
)
