import { cpSync, mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { crash, trouble } from '../scripts/support/crash'
import { readyFolder } from './support/shop'
import { expect, test } from './support/test'

let data: string
test.beforeEach(() => {
  data = mkdtempSync(join(tmpdir(), 'shirtwright-e2e-crash-'))
  cpSync(readyFolder('demo'), data, { recursive: true })
})
test.afterEach(() => rmSync(data, { recursive: true, force: true }))

test('ten times killed while twenty people write: all that was acknowledged is there, nothing by half, and the books follow', async () => {
  test.setTimeout(400_000)
  const report = await crash({ data, kills: 10, clients: 20, seed: 7, between: 6 })
  expect(report).toMatchObject({ kills: 10, lost: [], half: [], books: [], integrity: 'ok' })
  expect(Object.keys(report.acknowledged).sort()).toEqual(['customer', 'order', 'payment', 'report', 'shelf'])
  expect(report.cut, 'the kills came in the midst of writing').toBeGreaterThan(50)
})

test('a database that another program holds, and a full disk: told with a code that the log has too, nothing by half, and then it goes on', async () => {
  test.setTimeout(240_000)
  const told = await trouble(data)
  expect(told.held.redirect, 'a moment is waited for').toMatch(/^\/counter\/orders\/\d+$/)
  expect(told.heldLong).toMatchObject({ status: 500 })
  expect(told.full).toMatchObject({ status: 500 })
  expect(told.after).toEqual([true, true, true])
  expect(told.lost).toEqual([])
  expect(told.half).toEqual([])
  const faults = told.log
    .split('\n')
    .filter(line => line.startsWith('{'))
    .map(line => JSON.parse(line) as { level: string; msg: string; code?: string; doing?: string })
    .filter(line => line.msg === 'fault')
  expect(faults.length).toBeGreaterThanOrEqual(2)
  for (const fault of faults) expect(fault.code).toMatch(/^\d+$/)
  // Nobody's name stands there.
  expect(told.log).not.toContain('Club ')
})
