import { spawnSync } from 'node:child_process'
import { copyFileSync, mkdtempSync } from 'node:fs'
import { join } from 'node:path'
import { expect, inject, test } from 'vitest'
import { closeDatabase, db, openDatabase, setDatabase } from '@/lib/server/database'
import { addPerson } from '@/lib/server/people'
import { signIn } from '@/lib/server/sign-in'
import { freshFile } from '../support/database'

test("somebody is let in again from the shop's own computer, and the history says so", async () => {
  const data = mkdtempSync(join(inject('scratch'), 'let-in-'))
  copyFileSync(await freshFile(), join(data, 'shop.db'))
  process.env.SHIRTWRIGHT_DATA = data
  const open = () => setDatabase(openDatabase(`file:${join(data, 'shop.db')}`))
  open()
  await addPerson({ name: 'Ines Marl', password: 'the forgotten one', role: 'owner' })
  await closeDatabase()
  const letIn = (name: string, password: string) =>
    spawnSync(process.execPath, ['--conditions=react-server', '--import', 'tsx', 'scripts/let-in.ts', name], {
      env: { ...process.env, SHIRTWRIGHT_DATA: data },
      input: `${password}\n`,
      encoding: 'utf8',
    })
  expect(letIn('Nobody', 'seven blank totes').stderr).toContain('Nobody signs in as Nobody')
  expect(letIn('Ines Marl', 'short').stderr).toContain('at least 12 characters')
  const done = letIn('ines  marl', 'seven blank totes')
  expect(done.stderr).toBe('')
  expect(done.stdout).toContain('Ines Marl signs in with the new password.')
  open()
  expect(await signIn('Ines Marl', 'seven blank totes', new Headers())).toMatchObject({ ok: true })
  expect(await db().history.findFirst()).toMatchObject({ byName: "the shop's computer", entity: 'sign-in' })
  await closeDatabase()
}, 60_000)
