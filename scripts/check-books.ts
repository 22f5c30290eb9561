// npm run check:books [FILE]: proves the books of a shop from its ledgers. Exit 0 when all of it follows, 1 with one line for each fault.
import { existsSync } from 'node:fs'
import { join } from 'node:path'
import { proofsOfBooks } from '@/lib/books/proof/store'
import { dataFolder } from '@/lib/server/data-folder'
import { closeDatabase, isPostgresUrl, openDatabase, setDatabase } from '@/lib/server/database'

const [named] = process.argv.slice(2)
const seconds = (since: number) => `${((performance.now() - since) / 1000).toFixed(1)} s`
const cpu = () => {
  const { user, system } = process.cpuUsage()
  return `${((user + system) / 1e6).toFixed(1)} s`
}
const server = !named && isPostgresUrl(process.env.DATABASE_URL ?? '') ? process.env.DATABASE_URL : undefined
const file = named ?? ['shop.db', 'demo.db'].map(f => join(dataFolder(), f)).find(f => existsSync(f))
if (!server && (!file || !existsSync(file))) {
  console.error(`There is no shop in ${named ?? dataFolder()}: name its database file.`)
  process.exitCode = 2
} else {
  setDatabase(openDatabase(server ?? `file:${file}`))
  try {
    const started = performance.now()
    let count = 0
    let before = started
    // Each part is said as it ends: the books of ten years take minutes.
    for await (const { what, looked, faults } of proofsOfBooks(new Date())) {
      console.log(
        `${faults.length === 0 ? 'follows' : 'WRONG  '}  ${looked.toLocaleString('en')} ${what}, ${seconds(before)}`,
      )
      for (const fault of faults) console.error(`  ${fault}`)
      count += faults.length
      before = performance.now()
    }
    console.log(
      `${count === 0 ? 'The books follow' : `${count} faults`}: ${server ? 'the database of DATABASE_URL' : file}, ${seconds(started)}, ${cpu()} of processor time`,
    )
    if (count > 0) process.exitCode = 1
  } finally {
    await closeDatabase()
  }
}
