// npm run check:books [FILE]: proves the books of a shop from its ledgers. Exit 0 when all of it follows, 1 with one line for each fault.
import { existsSync } from 'node:fs'
import { join } from 'node:path'
import { proveBooks } from '@/lib/books/proof/store'
import { dataFolder } from '@/lib/server/data-folder'
import { closeDatabase, isPostgresUrl, openDatabase, setDatabase } from '@/lib/server/database'

const [named] = process.argv.slice(2)
const server = !named && isPostgresUrl(process.env.DATABASE_URL ?? '') ? process.env.DATABASE_URL : undefined
const file = named ?? ['shop.db', 'demo.db'].map(f => join(dataFolder(), f)).find(f => existsSync(f))
if (!server && (!file || !existsSync(file))) {
  console.error(`There is no shop in ${named ?? dataFolder()}: name its database file.`)
  process.exitCode = 2
} else {
  setDatabase(openDatabase(server ?? `file:${file}`))
  try {
    const started = performance.now()
    const proofs = await proveBooks(new Date())
    for (const { what, looked, faults } of proofs) {
      console.log(`${faults.length === 0 ? 'follows' : 'WRONG  '}  ${looked.toLocaleString('en')} ${what}`)
      for (const fault of faults) console.error(`  ${fault}`)
    }
    const count = proofs.reduce((n, p) => n + p.faults.length, 0)
    console.log(
      `${count === 0 ? 'The books follow' : `${count} faults`}: ${server ? 'the database of DATABASE_URL' : file}, ${Math.round(performance.now() - started)} ms`,
    )
    if (count > 0) process.exitCode = 1
  } finally {
    await closeDatabase()
  }
}
