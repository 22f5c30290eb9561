import { execFileSync, spawnSync } from 'node:child_process'
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { LIMITS, parseShop, parseShopText, planShop, toContract } from '@/lib/planning/contract'
import { openings } from '@/lib/planning/hours'
import { type CheckedPlan, type CheckedShop, check } from './checker'

const week = [1, 2, 3, 4, 5].map(weekday => ({ weekday, from: '08:00', to: '13:00' }))
const shop = (): CheckedShop => structuredClone(given)
const given: CheckedShop = {
  now: '2026-05-11T07:00:00Z',
  timeZone: 'Europe/Lisbon',
  stations: [
    {
      id: 'press',
      kind: 'press',
      hours: week,
      state: '150C',
      changeovers: [{ from: '150C', to: '205C', minutes: 12, attended: false }],
    },
    { id: 'printer', kind: 'printer', hours: week },
  ],
  crew: [{ id: 'ana', skills: ['press', 'printer'], hours: week }],
  jobs: [
    {
      id: '1041',
      release: '2026-05-11T07:00:00Z',
      due: '2026-05-11T12:00:00Z',
      weight: 1,
      hard: false,
      steps: [
        {
          id: 'print',
          on: [{ station: 'printer', setup: 5, run: 42 }],
          attended: 'setup',
          gap: { min: 30, max: 240 },
        },
        { id: 'press', on: [{ station: 'press', setup: 5, run: 20 }], state: '205C', attended: 'all' },
      ],
    },
  ],
  kept: [],
}
const planned = (file: CheckedShop) => {
  const parsed = parseShop(file)
  if (!parsed.ok) throw new Error(`${parsed.field}: ${parsed.message}`)
  return toContract(planShop(parsed.shop, { steps: 200, seed: 1 }).plan)
}

describe('a shop of the contract', () => {
  it('is planned: the changeover ends right where the work begins, before the job is there', () => {
    const plan = planned(shop())
    expect(check(shop(), plan)).toEqual([])
    // 08:00 in Lisbon in May is 07:00Z. Print 5 + 42 minutes, 30 minutes later the press, heated for 12 minutes before.
    expect(plan.runs.map(r => [r.step, r.start, r.work, r.end])).toEqual([
      ['print', '2026-05-11T07:00:00Z', '2026-05-11T07:00:00Z', '2026-05-11T07:47:00Z'],
      ['press', '2026-05-11T08:05:00Z', '2026-05-11T08:17:00Z', '2026-05-11T08:42:00Z'],
    ])
    expect(plan.objective.changeoverMinutes).toBe(12)
  })

  it('says what to act on when a step cannot be placed', () => {
    const file = shop()
    file.jobs[0]!.steps[0]!.on[0]!.run = 340
    expect(planned(file).unplaced[0]).toEqual({
      job: '1041',
      step: 'print',
      why: 'print of 1041 needs 345 unbroken minutes; the longest opening of printer is 300',
    })
  })

  it('gives no more than it knows: nobody has the skill', () => {
    const file = shop()
    file.crew = []
    expect(planned(file).unplaced[0]?.why).toContain('nobody has that skill')
  })

  it('ends a station that never opens, or a closure without end, in a reason', () => {
    const file = shop()
    file.stations[1]!.closed = [{ from: '2026-05-01T00:00:00Z', to: '2199-01-01T00:00:00Z' }]
    expect(planned(file).unplaced[0]?.why).toContain('no opening')
  })
})

describe('hours', () => {
  const local = (zone: string, from: string, hours: [string, string], length = 1440) => {
    const start = Date.parse(from) / 60_000
    return openings(
      [1, 2, 3, 4, 5, 6, 7].map(weekday => ({ weekday, from: hours[0], to: hours[1] })),
      [],
      zone,
      start,
      start + length,
    ).reduce((sum, o) => sum + o.to - o.from, 0)
  }
  // EU: clocks change at 01:00 UTC on the last Sundays of March and October (Directive 2000/84/EC).
  it('are as long as the day the clock changes makes them', () => {
    expect(local('Europe/Lisbon', '2026-03-29T00:00:00Z', ['00:30', '03:00'], 1380)).toBe(90)
    expect(local('Europe/Lisbon', '2026-10-24T23:00:00Z', ['00:30', '03:00'])).toBe(210)
    expect(local('Europe/Lisbon', '2026-05-12T23:00:00Z', ['08:00', '17:00'])).toBe(540)
  })
})

describe('bad input', () => {
  const wrong = (change: (file: ReturnType<typeof shop>) => unknown) => {
    const file = shop()
    const other = change(file)
    const parsed = parseShop(other && typeof other === 'object' && 'whole' in other ? other.whole : file)
    return parsed.ok ? 'accepted' : `${parsed.field}: ${parsed.message}`
  }
  const put = (target: object, key: string, value: unknown) => Object.assign(target, { [key]: value })

  it.each<[string, RegExp, (file: CheckedShop) => unknown]>([
    [
      'unknown station',
      /^jobs\[0\]\.steps\[0\]\.on\[0\]\.station: "kiln"/,
      f => put(f.jobs[0]!.steps[0]!.on[0]!, 'station', 'kiln'),
    ],
    [
      'negative minutes',
      /^jobs\[0\]\.steps\[0\]\.on\[0\]\.run: /,
      f => put(f.jobs[0]!.steps[0]!.on[0]!, 'run', -1),
    ],
    [
      'minutes in parts',
      /^jobs\[0\]\.steps\[0\]\.on\[0\]\.run: /,
      f => put(f.jobs[0]!.steps[0]!.on[0]!, 'run', 1.5),
    ],
    [
      'endless minutes',
      /^jobs\[0\]\.steps\[0\]\.on\[0\]\.setup: /,
      f => put(f.jobs[0]!.steps[0]!.on[0]!, 'setup', 1e12),
    ],
    ['two jobs of one id', /^jobs\[1\]\.id: "1041"/, f => f.jobs.push({ ...f.jobs[0]! })],
    ['two stations of one id', /^stations\[2\]\.id/, f => f.stations.push({ ...f.stations[0]! })],
    ['a time without an offset', /^now: has no offset/, f => put(f, 'now', '2026-05-11T07:00:00')],
    ['a day that is not', /^jobs\[0\]\.due: /, f => put(f.jobs[0]!, 'due', '2026-02-30T07:00:00Z')],
    ['no time zone of this world', /^timeZone: /, f => put(f, 'timeZone', 'Mars/Base')],
    [
      'a closure that ends before it begins',
      /^stations\[0\]\.closed\[0\]\.to: /,
      f => put(f.stations[0]!, 'closed', [{ from: '2026-05-12T00:00:00Z', to: '2026-05-11T00:00:00Z' }]),
    ],
    [
      'hours that end before they begin',
      /^stations\[0\]\.hours\[0\]\.to: /,
      f => put(f.stations[0]!.hours[0]!, 'to', '07:00'),
    ],
    [
      'an eighth weekday',
      /^stations\[0\]\.hours\[0\]\.weekday: /,
      f => put(f.stations[0]!.hours[0]!, 'weekday', 8),
    ],
    [
      'a gap whose most is below its least',
      /^jobs\[0\]\.steps\[0\]\.gap\.max: /,
      f => put(f.jobs[0]!.steps[0]!, 'gap', { min: 9, max: 3 }),
    ],
    [
      'a kept run of no job',
      /^kept\[0\]\.job: /,
      f => put(f, 'kept', [{ job: 'x', step: 'print', station: 'press', start: f.now }]),
    ],
    [
      'a kept run on the wrong station',
      /^kept\[0\]\.station: /,
      f => put(f, 'kept', [{ job: '1041', step: 'print', station: 'press', start: f.now }]),
    ],
    ['a job without steps', /^jobs\[0\]\.steps: /, f => put(f.jobs[0]!, 'steps', [])],
    ['not an object', /^file: /, () => ({ whole: 7 })],
    ['nothing', /^file: /, () => ({ whole: null })],
    ['a list', /^file: /, () => ({ whole: [] })],
  ])('%s', (_name, message, change) => {
    expect(wrong(change)).toMatch(message)
    expect(wrong(change)).not.toContain('\n')
  })

  it('text that is no JSON, too long or too deep', () => {
    const refusal = (text: string) => {
      const parsed = parseShopText(text)
      return parsed.ok ? 'accepted' : `${parsed.field}: ${parsed.message}`
    }
    expect(refusal('')).toMatch(/^file: /)
    expect(refusal('{"now":')).toMatch(/^file: is not JSON/)
    expect(refusal('['.repeat(200_000))).toMatch(/^file: /)
    expect(refusal('x'.repeat(LIMITS.bytes + 1))).toMatch(/^file: must be at most/)
  })
})

describe('the command', () => {
  const folder = mkdtempSync(join(tmpdir(), 'plan-'))
  afterAll(() => rmSync(folder, { recursive: true }))
  const tsx = join(process.cwd(), 'node_modules/.bin/tsx')
  const run = (...args: string[]) =>
    spawnSync(tsx, ['scripts/plan.ts', ...args], { encoding: 'utf8', timeout: 60_000 })
  const file = (name: string, text: string) => {
    const path = join(folder, name)
    writeFileSync(path, text)
    return path
  }

  it('prints one plan, and the same for the same steps and seed', { timeout: 120_000 }, () => {
    const path = file('shop.json', JSON.stringify(shop()))
    const print = () =>
      execFileSync(tsx, ['scripts/plan.ts', path, '--steps', '50', '--seed', '3'], { encoding: 'utf8' })
    const plan = JSON.parse(print()) as CheckedPlan & { seconds: number }
    expect(check(shop(), plan)).toEqual([])
    expect(plan.seconds).toBeGreaterThanOrEqual(0)
    expect(JSON.parse(print()).runs).toEqual(plan.runs)
  })

  it('ends with status 2 and one line for what it cannot read', { timeout: 120_000 }, () => {
    const nonsense = run(file('nonsense.json', 'nonsense '.repeat(1_200_000)))
    expect([nonsense.status, nonsense.stdout]).toEqual([2, ''])
    expect(nonsense.stderr).toMatch(/^file: [^\n]+\n$/)
    const missing = run(join(folder, 'none.json'))
    expect([missing.status, missing.stderr.split('\n').length]).toEqual([2, 2])
    const seconds = run(file('ok.json', JSON.stringify(shop())), '--seconds', '-1')
    expect([seconds.status, seconds.stderr]).toEqual([
      2,
      '--seconds: must be a number from 0 to 3600, not "-1"\n',
    ])
  })
})
