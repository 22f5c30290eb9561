import { mkdtempSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { beforeEach, describe, expect, inject, test } from 'vitest'
import { faults, rememberFault } from '@/lib/server/fault-book'
import { type Facts, healthChecks } from '@/lib/server/health-checks'
import { instant } from '@/lib/units/time'

const NOW = instant(Date.parse('2026-05-14T10:00:00Z'))
const ago = (hours: number) => instant(NOW - hours * 3_600_000)
const outcome = (ok: boolean) => ({ at: '2026-05-14T02:00:00.000Z', ok, message: 'the disk was away.' })

const WELL: Facts = {
  demo: false,
  backup: { last: ago(8), check: null, tried: outcome(true), every: 'day', sameDisk: false },
  database: 20e6,
  free: 90e9,
  mail: { server: 'smtp.example.com', passwordLost: false, sent: ago(3), failed: null },
  latest: ago(0),
  faults: [],
}
const backup = (more: Partial<NonNullable<Facts['backup']>>): Partial<Facts> => ({
  backup: { ...(WELL.backup as NonNullable<Facts['backup']>), ...more },
})
const states = (more: Partial<Facts>) =>
  Object.fromEntries(healthChecks({ ...WELL, ...more }, NOW).map(c => [c.about, c.state]))

test('where all is well, everything that was looked at says so', () => {
  expect(states({})).toEqual({ Backup: 'done', Disk: 'done', Mail: 'done', Clock: 'done', Faults: 'done' })
})

describe('each thing that goes wrong is named, and nothing else with it', () => {
  test.each<[string, Partial<Facts>, string, string]>([
    ['no backup yet', backup({ last: null }), 'Backup', 'late'],
    ['the last try failed', backup({ tried: outcome(false) }), 'Backup', 'late'],
    ['the newest is broken', backup({ check: outcome(false) }), 'Backup', 'late'],
    ['none for more than two days', backup({ last: ago(49) }), 'Backup', 'late'],
    ['none for three hours, of one an hour', backup({ last: ago(3), every: 'hour' }), 'Backup', 'late'],
    ['by hand, eight days ago', backup({ last: ago(8 * 24), every: 'never' }), 'Backup', 'late'],
    ['from tomorrow', backup({ last: ago(-20) }), 'Backup', 'late'],
    ['on the same disk', backup({ sameDisk: true }), 'Backup', 'risk'],
    ['less than a gigabyte', { free: 0.9e9 }, 'Disk', 'late'],
    ['less than three times a large database', { free: 20e9, database: 7e9 }, 'Disk', 'late'],
    ['three gigabytes', { free: 3e9 }, 'Disk', 'risk'],
    ['nobody knows', { free: null }, 'Disk', 'risk'],
    ['password sealed elsewhere', { mail: { ...WELL.mail, passwordLost: true } }, 'Mail', 'late'],
    ['the last mail failed', { mail: { ...WELL.mail, failed: ago(2) } }, 'Mail', 'risk'],
    ['the clock was set back', { latest: ago(-3) }, 'Clock', 'late'],
    ['a fault this morning', { faults: [ago(2), ago(90)] }, 'Faults', 'risk'],
  ])('%s', (_, more, about, state) => {
    expect(states(more)).toEqual({ ...states({}), [about]: state })
  })

  test('and every sentence ends, and says what to do where there is something to do', () => {
    for (const c of healthChecks({ ...WELL, ...backup({ last: ago(49) }), free: 0.5e9 }, NOW))
      expect(c.say).toMatch(/^[A-Z].{8,}\.$/)
  })
})

test('an offer that failed before one that went out is no matter any more; none set is no fault', () => {
  expect(states({ mail: { ...WELL.mail, failed: ago(9) } }).Mail).toBe('done')
  expect(states({ mail: { server: null, passwordLost: false, sent: null, failed: null } }).Mail).toBe('done')
})

describe('the book of faults', () => {
  beforeEach(() => {
    process.env.SHIRTWRIGHT_DATA = mkdtempSync(join(inject('scratch'), 'faults-'))
  })
  const one = (n: number) => ({ code: `E${n}`, doing: 'GET /counter', text: 'x'.repeat(100) })

  test('tells the latest first, outlives a restart, and a line half written is left out', () => {
    rememberFault(one(1), new Date('2026-05-14T10:00:00Z'))
    const file = join(process.env.SHIRTWRIGHT_DATA as string, 'faults.jsonl')
    writeFileSync(file, `${readFileSync(file, 'utf8')}\n{"at":"2026-05-`)
    rememberFault(one(2), new Date('2026-05-14T11:00:00Z'))
    expect(faults(9).map(f => f.code)).toEqual(['E2', 'E1'])
    expect(faults(1)).toHaveLength(1)
  })

  test('never grows beyond its size, and keeps the latest', () => {
    for (let n = 0; n < 1200; n++) rememberFault(one(n))
    const file = join(process.env.SHIRTWRIGHT_DATA as string, 'faults.jsonl')
    expect(readFileSync(file).length).toBeLessThan(64_500)
    expect(faults(1)[0]?.code).toBe('E1199')
  })

  test('a folder that is gone is no fault of its own', () => {
    process.env.SHIRTWRIGHT_DATA = '/nowhere/at/all'
    expect(() => rememberFault(one(1))).not.toThrow()
    expect(faults(9)).toEqual([])
  })
})
