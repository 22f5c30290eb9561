import { existsSync, mkdirSync, statSync } from 'node:fs'
import { join, resolve } from 'node:path'
import { parseArgs } from 'node:util'
import { closeMonth, months } from '@/lib/books/store'
import { closeDatabase, openDatabase, setDatabase } from '@/lib/server/database'
import { instant, instantOf, monthBounds, nextMonth } from '@/lib/units/time'
import { demoShop } from './support/demo-shop'
import { growShop } from './support/large-shop'

const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: {
    share: { type: 'string', default: '1' },
    seed: { type: 'string', default: '1' },
    base: { type: 'string' },
    now: { type: 'string' },
  },
})
const share = Number(values.share)
const folder = resolve(positionals[0] ?? 'data/large')
const file = join(folder, 'demo.db')
const now = values.now ? instant(Date.parse(values.now)) : instantOf(new Date())

if (!(share > 0 && share <= 1) || !Number.isSafeInteger(Number(values.seed)) || !Number.isFinite(now)) {
  console.error(
    'Say --share with a number above 0 up to 1, --seed with a whole number, --now with an instant.',
  )
  process.exitCode = 2
} else if (existsSync(file)) {
  console.error(`There is a shop in ${folder} already: name another folder, or remove it.`)
  process.exitCode = 2
} else await make()

async function make(): Promise<void> {
  const began = performance.now()
  const say = (step: string) =>
    console.log(`${((performance.now() - began) / 1000).toFixed(0).padStart(4)} s  ${step}`)
  mkdirSync(folder, { recursive: true })
  process.env.SHIRTWRIGHT_DATA = folder
  process.env.SHIRTWRIGHT_DEMO = '1'
  if (!values.base) say('Drawing the demo shop that it grows from')
  demoShop(folder, values.base)
  const grown = growShop(file, share, Number(values.seed), now, say)
  say(
    `${grown.movements.toLocaleString('en')} movements, ${grown.history.toLocaleString('en')} lines of history`,
  )
  const closed = await closeMonths(say)
  say(
    `Ready in ${folder}: ${grown.orders.toLocaleString('en')} orders of ten years, ${grown.movements.toLocaleString('en')} movements, ` +
      `${grown.purchases.toLocaleString('en')} purchases, ${grown.customers.toLocaleString('en')} customers, ${closed} closed months; ` +
      `${(statSync(file).size / 1e9).toFixed(2)} GB. Nothing in it is real.`,
  )
}

/** Closes every month but the last whole one, as a shop does, through the app's own action. */
async function closeMonths(say: (step: string) => void): Promise<number> {
  setDatabase(openDatabase(`file:${file}`))
  try {
    const open = (await months(now))
      .filter(m => m.closedAt === null)
      .reverse()
      .slice(0, -2)
    say(`Closing ${open.length} months`)
    for (const { month } of open) {
      const at = instant(monthBounds(nextMonth(month), 'Europe/Lisbon').from + 12 * 86_400_000)
      const done = await closeMonth(month, { id: null, name: 'Maren Holt' }, at)
      if (!done.ok) throw new Error(`${month}: ${done.message}`)
    }
    return open.length
  } finally {
    await closeDatabase()
  }
}
