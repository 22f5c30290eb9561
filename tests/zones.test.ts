/**
 * Plans, promises and months over the change of the clock, a leap day and the year's end. What the wall clock shows is asked of the
 * platform's own zone data (Intl), which shares nothing with what is tested; the changes themselves are those of the IANA time zone
 * database, named beside each zone.
 */
import { describe, expect, test } from 'vitest'
import { landing, refuseClose } from '@/lib/books/close'
import { dueOn } from '@/lib/books/invoices/invoice'
import { newOrderInput } from '@/lib/orders/input'
import { parseShop, planShop, toContract } from '@/lib/planning/contract'
import { openingsOf } from '@/lib/planning/openings'
import { safePromise, standingOf } from '@/lib/planning/standing'
import { postDue } from '@/lib/planning/trial'
import { type Instant, instant, monthBounds, shopMonth } from '@/lib/units/time'
import { type CheckedShop, check } from './planning/checker'

const t = (iso: string): Instant => instant(Date.parse(iso))
const MINUTE = 60_000

/** Zone, and what happens there in its own time. */
const CHANGES: [zone: string, day: string, what: string][] = [
  ['Europe/Lisbon', '2026-03-29', '01:00 becomes 02:00'],
  ['Europe/Lisbon', '2026-10-25', '02:00 becomes 01:00'],
  ['Europe/Berlin', '2028-03-26', '02:00 becomes 03:00'],
  ['America/New_York', '2026-03-08', '02:00 becomes 03:00'],
  ['America/New_York', '2026-11-01', '02:00 becomes 01:00'],
  ['America/St_Johns', '2026-03-08', 'half an hour off the others'],
  ['America/Santiago', '2026-09-06', 'midnight becomes 01:00: the day begins at one'],
  ['America/Havana', '2026-11-01', '01:00 becomes midnight: midnight comes twice'],
  ['Australia/Lord_Howe', '2026-04-05', '02:00 becomes 01:30: half an hour alone'],
  ['Australia/Lord_Howe', '2026-10-04', '02:00 becomes 02:30'],
  ['Pacific/Chatham', '2026-09-27', '02:45 becomes 03:45'],
  ['Pacific/Kiritimati', '2026-12-31', 'fourteen hours ahead; year’s end'],
  ['Asia/Kolkata', '2028-02-29', 'five and a half hours ahead; leap day'],
  ['UTC', '2028-02-29', 'leap day'],
]

const clocks = new Map<string, Intl.DateTimeFormat>()
/** Weekday, day and time that a clock on a wall in the zone shows. */
function wall(zone: string, at: number): { weekday: number; day: string; time: string } {
  let clock = clocks.get(zone)
  if (!clock) {
    clock = new Intl.DateTimeFormat('en-GB', {
      timeZone: zone,
      hourCycle: 'h23',
      weekday: 'short',
      year: 'numeric',
      month: '2-digit',
      day: '2-digit',
      hour: '2-digit',
      minute: '2-digit',
    })
    clocks.set(zone, clock)
  }
  const p = Object.fromEntries(clock.formatToParts(at).map(x => [x.type, x.value]))
  return {
    weekday: ['Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat', 'Sun'].indexOf(p.weekday ?? '') + 1,
    day: `${p.year}-${p.month}-${p.day}`,
    time: `${p.hour}:${p.minute}`,
  }
}

/** A shop that works through the night, when clocks are changed. */
const NIGHTS = [1, 2, 3, 4, 5, 6, 7].flatMap(weekday => [
  { weekday, from: '00:15', to: '02:20' },
  { weekday, from: '02:50', to: '06:00' },
  { weekday, from: '21:30', to: '24:00' },
])
const open = ({ weekday, time }: { weekday: number; time: string }) =>
  NIGHTS.some(h => h.weekday === weekday && h.from <= time && time < h.to)

describe.each(CHANGES)('%s on %s (%s)', (zone, day) => {
  const noon = t(`${day}T12:00:00Z`)
  const [from, to] = [instant(noon - 36 * 60 * MINUTE), instant(noon + 36 * 60 * MINUTE)]

  test('a minute is open when the clock on the wall says so, and only then', () => {
    const spans = openingsOf(NIGHTS, [], zone, from, to)
    const wrong: string[] = []
    for (let at = from as number; at < to; at += 5 * MINUTE) {
      const is = spans.some(s => s.from * MINUTE <= at && at < s.to * MINUTE)
      if (is !== open(wall(zone, at))) wrong.push(`${new Date(at).toISOString()} ${wall(zone, at).time}`)
    }
    expect(wrong).toEqual([])
  })

  test('a plan through that night keeps the contract, by a checker that asks the wall clock', () => {
    const shop: CheckedShop = {
      now: new Date(from).toISOString().replace('.000', ''),
      timeZone: zone,
      stations: [
        {
          id: 'press',
          kind: 'press',
          hours: NIGHTS,
          state: 'cold',
          changeovers: [{ from: 'cold', to: 'hot', minutes: 12 }],
        },
      ],
      crew: [{ id: 'ana', skills: ['press'], hours: NIGHTS }],
      jobs: [1, 2, 3, 4].map(n => ({
        id: `job-${n}`,
        due: new Date(to).toISOString().replace('.000', ''),
        steps: [
          {
            id: 'print',
            on: [{ station: 'press', setup: 5, run: 70 }],
            state: 'hot',
            attended: 'all' as const,
            gap: { min: 30, max: 600 },
          },
          {
            id: 'again',
            on: [{ station: 'press', setup: 5, run: 25 }],
            state: 'hot',
            attended: 'setup' as const,
          },
        ],
      })),
    }
    const parsed = parseShop(shop)
    if (!parsed.ok) throw new Error(parsed.message)
    const plan = toContract(planShop(parsed.shop, { steps: 100, seed: 1 }).plan)
    expect(plan.unplaced).toEqual([])
    expect(check(shop, plan)).toEqual([])
  })

  test('a promise is the time that was typed; one that the clock skips is the first that it shows after it', () => {
    const context = {
      measures: 'metric',
      currency: 'EUR',
      zone,
      now: instant(from - 30 * 24 * 60 * MINUTE),
    } as const
    for (const typed of ['00:10', '01:30', '02:15', '02:45', '03:10', '12:00', '17:00', '23:59']) {
      const fields = {
        customerId: '018f0000-0000-7000-8000-000000000002',
        title: 'Shirts',
        'lines.0.style': '018f0000-0000-7000-8000-000000000011',
        'lines.0.colour': 'Black',
        'lines.0.quantity.M': '8',
        'lines.0.prints.0.placement': 'full-front',
        'lines.0.prints.0.width': '305',
        'lines.0.prints.0.height': '300',
        'lines.0.prints.0.drop': '57',
        promiseDay: day,
        promiseTime: typed,
      }
      const read = newOrderInput(context).safeParse({
        ...fields,
        formKey: '018f0000-0000-7000-8000-000000000099',
      })
      const at = read.data?.promise?.at as Instant | undefined
      expect(at, JSON.stringify(read.error?.issues)).toBeDefined()
      const shown = wall(zone, at as number)
      if (shown.time === typed) {
        expect(shown.day).toBe(day)
        // One that is repeated is the first of the two.
        for (const before of [30, 60])
          expect(wall(zone, (at as number) - before * MINUTE).time).not.toBe(typed)
      } else {
        // Nowhere that day does the clock show it; what was taken instead is later, by no more than the clock jumped.
        for (let m = from as number; m < to; m += MINUTE)
          expect(wall(zone, m).day === day && wall(zone, m).time === typed).toBe(false)
        expect(shown.day).toBe(day)
        expect(shown.time > typed).toBe(true)
        expect(
          Number(shown.time.slice(0, 2)) * 60 +
            Number(shown.time.slice(3)) -
            Number(typed.slice(0, 2)) * 60 -
            Number(typed.slice(3)),
        ).toBeLessThanOrEqual(60)
      }
    }
  })

  test('an invoice is due at the end of its day; post is there at noon of a working day; a safe promise is an evening', () => {
    const due = dueOn(from, 2, zone)
    expect(wall(zone, due).time).toBe('23:59')
    const days = (Date.parse(wall(zone, due).day) - Date.parse(wall(zone, from).day)) / 86_400_000
    expect(days).toBe(2)
    const post = wall(zone, postDue(from, 2, zone))
    expect(post.time).toBe('12:00')
    expect(post.weekday).toBeLessThanOrEqual(5)
    const week = [1, 2, 3, 4, 5, 6, 7].map(weekday => ({ weekday, from: '08:00', to: '17:00' }))
    const promise = safePromise(from, zone, [{ hours: week, closed: [] }])
    expect(wall(zone, promise as number).time).toBe('17:00')
    expect(standingOf({ promiseAt: promise, readyAt: from }, zone).standing).toBe('on-time')
  })

  test('a month begins and ends at the first moment of a day in the shop, and what is handed over then counts in it', () => {
    const month = shopMonth(wall(zone, noon).day.slice(0, 7))
    const bounds = monthBounds(month, zone)
    for (const [at, own] of [
      [bounds.from, true],
      [bounds.from - MINUTE, false],
      [bounds.to - MINUTE, true],
      [bounds.to, false],
    ] as const) {
      expect(wall(zone, at).day.startsWith(month), `${wall(zone, at).day}`).toBe(own)
      expect(landing(instant(at), instant(at), new Map(), zone).month === month).toBe(own)
    }
    expect(refuseClose(month, instant(bounds.to - 1), zone, new Map(), month)).toMatchObject({
      code: 'running',
    })
    expect(refuseClose(month, bounds.to, zone, new Map(), month)).toBeNull()
  })
})

describe('lengths of months and years', () => {
  const hours = (month: string, zone: string) => {
    const { from, to } = monthBounds(shopMonth(month), zone)
    return (to - from) / (60 * MINUTE)
  }
  test.each([
    ['2028-02', 'Europe/Lisbon', 29 * 24],
    ['2027-02', 'Europe/Lisbon', 28 * 24],
    // Not a leap year: divisible by 100, not by 400 (the Gregorian rule).
    ['2100-02', 'UTC', 28 * 24],
    ['2026-03', 'Europe/Lisbon', 31 * 24 - 1],
    ['2026-10', 'Europe/Lisbon', 31 * 24 + 1],
    ['2026-04', 'Australia/Lord_Howe', 30 * 24 + 0.5],
    ['2026-12', 'Pacific/Kiritimati', 31 * 24],
  ])('%s in %s has %d hours', (month, zone, expected) => expect(hours(month, zone)).toBe(expected))

  test('the last minute of the year is of the old one in the shop, whatever year it is elsewhere', () => {
    const last = t('2026-12-31T23:59:00-05:00')
    expect(landing(last, last, new Map(), 'America/New_York').month).toBe('2026-12')
    expect(landing(last, last, new Map(), 'Europe/Lisbon').month).toBe('2027-01')
  })
})
