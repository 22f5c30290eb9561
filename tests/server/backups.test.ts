import { spawnSync } from 'node:child_process'
import { copyFileSync, existsSync, mkdirSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { beforeEach, expect, inject, test } from 'vitest'
import { USUAL_PLAN } from '@/lib/server/backup-plan'
import { backUpNow, backups, changeBackupPlan, checkOne } from '@/lib/server/backups'
import { closeDatabase, db, openDatabase, setDatabase } from '@/lib/server/database'
import { instant } from '@/lib/units/time'
import { freshFile } from '../support/database'

const by = { id: null, name: 'Ines' }
const NOW = instant(Date.parse('2026-03-02T10:00Z'))
const USUAL = JSON.stringify(USUAL_PLAN)
let data: string

beforeEach(async () => {
  data = mkdtempSync(join(inject('scratch'), 'data-'))
  copyFileSync(await freshFile(), join(data, 'shop.db'))
  process.env.SHIRTWRIGHT_DATA = data
  delete process.env.SHIRTWRIGHT_BACKUPS
  setDatabase(openDatabase(`file:${join(data, 'shop.db')}`))
  await db().shop.create({
    data: { id: 1, name: 'A shop', currency: 'EUR', timeZone: 'Europe/Lisbon', measures: 'metric' },
  })
  return closeDatabase
})

test('a plan is changed with a line of history, before and after', async () => {
  const folder = join(data, 'elsewhere', 'backups')
  const plan = { ...USUAL_PLAN, every: 'hour' as const, folder }
  expect(await changeBackupPlan(plan, USUAL, by)).toMatchObject({ ok: true })
  expect((await backups(NOW)).plan).toEqual(plan)
  expect(readdirSync(folder)).toEqual([])
  const [line, ...more] = await db().history.findMany()
  expect(more).toEqual([])
  expect(line).toMatchObject({ byName: 'Ines', before: USUAL_PLAN, after: plan })
})

test('of two who change it, the second is told', async () => {
  await changeBackupPlan({ ...USUAL_PLAN, every: 'hour' }, USUAL, by)
  expect(await changeBackupPlan({ ...USUAL_PLAN, every: 'never' }, USUAL, by)).toMatchObject({
    code: 'changed',
  })
  expect((await backups(NOW)).plan.every).toBe('hour')
})

test('a folder that cannot take backups is refused in words, and nothing is changed', async () => {
  writeFileSync(join(data, 'a-file'), '')
  const bad = [
    'backups',
    '../up',
    '/proc/no',
    '/a\0b',
    join(data, 'a-file', 'x'),
    join(data, 'files'),
    join(data, 'files', 'kept'),
  ]
  for (const folder of bad)
    expect(await changeBackupPlan({ ...USUAL_PLAN, folder }, USUAL, by), folder).toMatchObject({
      ok: false,
      field: 'folder',
    })
  expect(await db().history.count()).toBe(0)
  expect((await backups(NOW)).plan).toEqual(USUAL_PLAN)
})

test("what the computer's own settings say goes before the plan", async () => {
  process.env.SHIRTWRIGHT_BACKUPS = '/mnt/usb'
  expect(await backups(NOW)).toMatchObject({ computer: 'folder', folder: '/mnt/usb', next: NOW })
  process.env.SHIRTWRIGHT_BACKUPS = 'none'
  expect(await backups(NOW)).toMatchObject({ computer: 'none', folder: join(data, 'backups'), next: null })
})

test('the command makes one when it is due, says what it found broken, and the office sees both', async () => {
  const keep = (...args: string[]) =>
    spawnSync(
      process.execPath,
      ['--conditions=react-server', '--import', 'tsx', 'scripts/keep.ts', ...args],
      {
        env: { ...process.env, SHIRTWRIGHT_DATA: data },
        encoding: 'utf8',
      },
    )
  const folder = join(data, 'usb')
  await changeBackupPlan({ ...USUAL_PLAN, folder }, USUAL, by)
  expect(keep('backup', '--if-due').stdout).toContain('and checked')
  expect(keep('backup', '--if-due').stdout).toBe('')
  const [made, ...more] = (await backups(NOW)).list
  expect(more).toEqual([])
  expect(made).toMatchObject({ files: 0, check: null, stays: ['last day', 'day', 'week', 'month'] })
  expect((await backups(NOW)).last).toMatchObject({ ok: true })

  writeFileSync(join(made?.path ?? '', 'shop.db'), 'no database')
  const looked = keep('backup', '--check', made?.path ?? '')
  expect(looked.status).toBe(1)
  expect(looked.stderr).toContain('its database is damaged')
  expect((await backups(NOW)).list[0]?.check).toMatchObject({ ok: false })

  // A folder that is gone: told, and remembered.
  rmSync(folder, { recursive: true })
  mkdirSync(join(data, 'files'))
  writeFileSync(folder, 'a file stands where the disk was')
  expect(keep('backup').status).toBe(1)
  expect((await backups(NOW)).last).toMatchObject({ ok: false })
  expect(existsSync(join(data, 'backup-state.json.part'))).toBe(false)
})

test('only a backup that is there is looked at, and only npm start can be asked', async () => {
  expect(await checkOne('../../etc')).toMatchObject({ code: 'gone' })
  // Under a test there is no parent that would do it; vitest's own is not asked.
  if (!process.send) expect(await backUpNow()).toMatchObject({ code: 'no-parent' })
})
