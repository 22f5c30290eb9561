// npm run let-in -- "NAME": gives somebody a new password from the shop's own computer, read from standard input: for the owner who
// forgot theirs, or whose authenticator is lost. All sessions of that name end, and so does its second factor.
import { join } from 'node:path'
import { text } from 'node:stream/consumers'
import { dataFolder } from '@/lib/server/data-folder'
import { closeDatabase, db, isPostgresUrl, openDatabase, setDatabase } from '@/lib/server/database'
import { signInName } from '@/lib/server/people'
import { resetPassword, setActive } from '@/lib/server/sign-ins'

const name = process.argv.slice(2).join(' ')
const named = process.env.DATABASE_URL ?? ''
const onServer = isPostgresUrl(named)
const file = onServer ? 'the database of DATABASE_URL' : join(dataFolder(), 'shop.db')
try {
  if (!name.trim()) throw new Error('Say who: npm run let-in -- "Ines Marl"')
  setDatabase(openDatabase(onServer ? named : `file:${file}`))
  const person = await db().person.findUnique({ where: { username: signInName(name) } })
  if (!person) throw new Error(`Nobody signs in as ${name} in ${file}.`)
  if (process.stdin.isTTY) console.log(`The new password of ${person.name}, then Enter and Ctrl+D:`)
  const password = (await text(process.stdin)).replace(/\r?\n$/, '')
  const by = { id: null, name: "the shop's computer" }
  const done = await resetPassword(person.id, password, by)
  if (!done.ok) throw new Error(done.message)
  if (!person.active) await setActive(person.id, true, by)
  console.log(
    `${person.name} signs in with the new password${person.twoFactorEnabled ? ', without a second factor' : ''}.`,
  )
} catch (error) {
  console.error(error instanceof Error ? error.message : error)
  process.exitCode = 1
} finally {
  await closeDatabase()
}
