import { beforeEach, describe, expect, it } from 'vitest'
import { changeWords } from '@/lib/books/change-words'
import { openingsOf } from '@/lib/planning/openings'
import { db } from '@/lib/server/database'
import { historyOf } from '@/lib/server/history'
import { changeMember, changeStation, close, hireMember, reopen } from '@/lib/shop/changes/store'
import { defaultHours, hoursAt, newestHours, type WeekHours, weekSince } from '@/lib/shop/stations'
import { addStation, crew, stations, terms } from '@/lib/shop/store'
import { readWeek, typedDay, weekWords } from '@/lib/shop/week-text'
import { minor } from '@/lib/units/money'
import type { Result } from '@/lib/units/result'
import { instant } from '@/lib/units/time'
import { freshDatabase } from '../support/database'

const at = (text: string) => instant(Date.parse(text))
const owner = { id: null, name: 'Ines' }
const now = at('2026-05-04T09:00Z')
const value = <T>(done: Result<T>): T => {
  if (!done.ok) throw new Error(done.message)
  return done.value
}

describe('a week as it is typed', () => {
  it('is read and written back', () => {
    const read = value(readWeek({ day1: '8-12, 13:00-17.30', day6: '09:00–12:00' }))
    expect(read).toEqual([
      { weekday: 1, from: '08:00', to: '12:00' },
      { weekday: 1, from: '13:00', to: '17:30' },
      { weekday: 6, from: '09:00', to: '12:00' },
    ])
    expect(typedDay(read, 1)).toBe('08:00-12:00, 13:00-17:30')
    expect(weekWords(defaultHours)).toBe('Mon–Fri 08:00-17:00')
    expect(weekWords([])).toBe('no hours')
  })
  it.each([
    ['8 to 12', 'is not a span of hours'],
    ['12:00-08:00', 'Opening comes before closing'],
    ['08:00-12:00, 11:00-13:00', 'overlap'],
    ['25:00-26:00', 'like 08:00'],
  ])('refuses %s and names the day', (typed, said) => {
    const read = readWeek({ day3: typed })
    expect(read).toMatchObject({ ok: false, field: 'day3' })
    if (!read.ok) expect(read.message).toContain(said)
  })
})

describe('changes with a day from which they count', () => {
  let id = ''
  const change = { name: 'Rui', skills: ['bench' as const], hours: defaultHours, wage: 1500, retired: false }
  const wageAt = async (text: string) => (await crew(at(text))).find(m => m.id === id)?.wagePerHour
  beforeEach(async () => {
    const stop = await freshDatabase()
    await db().shop.create({
      data: { id: 1, name: 'A shop', currency: 'EUR', timeZone: 'Europe/Lisbon', measures: 'metric' },
    })
    id = value(
      await hireMember({ name: 'Rui', skills: ['bench'], hours: defaultHours, wage: 1500 }, owner, now),
    )
    return stop
  })

  it('a wage counts from its day; before, the one before; both stay listed', async () => {
    value(await changeMember(id, 1, { ...change, wage: 1700, from: at('2026-06-01T00:00Z') }, owner, now))
    expect(await wageAt('2026-05-31T23:59Z')).toBe(1500)
    expect(await wageAt('2026-06-01T00:00Z')).toBe(1700)
    value(await changeMember(id, 2, { ...change, wage: 1800, from: at('2026-07-01T00:00Z') }, owner, now))
    expect(await wageAt('2026-06-15T00:00Z')).toBe(1700)
    expect((await terms('wage', id)).map(t => t.data)).toEqual([1800, 1700])
    const past = await historyOf('crew', id)
    expect(past.map(l => l.byName)).toEqual([owner.name, owner.name, owner.name])
    expect(
      past.map(l => changeWords(l, { currency: 'EUR', zone: 'UTC' }).filter(d => /Wage/.test(d.name))),
    ).toEqual([
      [{ name: 'Wage an hour', before: '€17.00', after: '€18.00' }],
      [{ name: 'Wage an hour', before: '€15.00', after: '€17.00' }],
      [{ name: 'Wage an hour', before: null, after: '€15.00' }],
    ])
  })
  it('the past is refused, a second editor is told, and the same wage adds nothing', async () => {
    const past = await changeMember(id, 1, { ...change, from: at('2026-05-03T00:00Z') }, owner, now)
    expect(past).toMatchObject({ ok: false, field: 'from' })
    expect(value(await changeMember(id, 1, { ...change, from: now }, owner, now))).toEqual({ dated: false })
    const second = await changeMember(id, 1, { ...change, wage: 1, from: now }, owner, now)
    expect(second).toMatchObject({ ok: false, code: 'changed' })
    expect(await wageAt('2026-05-04T10:00Z')).toBe(1500)
    expect(await hireMember({ ...change, wage: 1 }, owner, now)).toMatchObject({ ok: false, field: 'name' })
  })
  it("a machine's cost counts from its day", async () => {
    const facts = { bedWidthMm: 400, bedHeightMm: 500, heads: null }
    await addStation({
      ...facts,
      code: 'press-a',
      name: 'Press',
      kind: 'heat-press',
      position: 1,
      state: null,
      hours: defaultHours,
      closed: [],
      cost: null,
    })
    const cost = {
      purchase: { by: 'depreciation' as const, price: minor(120_000), salvage: minor(0), months: 12 },
      upkeepPerMonth: minor(0),
      kilowatts: 1,
      productiveHoursPerMonth: 100,
    }
    value(
      await changeStation(
        'press-a',
        1,
        { ...facts, name: 'Press', hours: defaultHours, cost, from: at('2026-06-01T00:00Z'), retired: false },
        owner,
        now,
      ),
    )
    const station = await db().station.findUniqueOrThrow({ where: { code: 'press-a' } })
    const [line] = await historyOf('station', station.id)
    expect(line?.what).toBe('changed Press: what it costs')
    // What stayed as it was is not told.
    expect(
      changeWords(line ?? { before: null, after: null }, { currency: 'EUR', zone: 'UTC' }).map(d => d.name),
    ).toEqual(expect.arrayContaining(['Cost, purchase, price', 'Cost, upkeep per month', 'From']))
    expect(
      line && changeWords(line, { currency: 'EUR', zone: 'UTC' }).some(d => /Bed|Name/.test(d.name)),
    ).toBe(false)
    expect((await stations(at('2026-05-31T00:00Z')))[0]?.cost).toBeNull()
    expect((await stations(at('2026-06-02T00:00Z')))[0]?.cost).toEqual(cost)
  })
  it('a week counts from its day: before, the plan and the books have the week of then', async () => {
    // Thursday 28 May, Monday 1 June: half days from June on.
    const half: WeekHours = [1, 2, 3, 4, 5].map(weekday => ({ weekday, from: '08:00', to: '12:00' }))
    value(await changeMember(id, 1, { ...change, hours: half, from: at('2026-05-31T23:00Z') }, owner, now))
    const rui = (await crew()).find(m => m.id === id)
    const minutes = (day: string) =>
      openingsOf(rui?.hours ?? [], [], 'Europe/Lisbon', at(`${day}T00:00Z`), at(`${day}T23:59Z`)).reduce(
        (sum, o) => sum + o.to - o.from,
        0,
      )
    expect([minutes('2026-05-28'), minutes('2026-06-01')]).toEqual([9 * 60, 4 * 60])
    expect(hoursAt(rui?.hours ?? [], now)).toEqual(defaultHours)
    expect(newestHours(rui?.hours ?? [])).toEqual(half)
    expect(weekSince(rui?.hours ?? [])).toBe(at('2026-05-31T23:00Z'))
    const [line] = await historyOf('crew', id)
    expect(line?.after).toMatchObject({ from: '2026-05-31T23:00:00.000Z', hours: half })
    // Taken back before it counts: nothing has changed.
    value(
      await changeMember(
        id,
        2,
        { ...change, hours: defaultHours, from: at('2026-05-31T23:00Z') },
        owner,
        now,
      ),
    )
    expect(newestHours((await crew()).find(m => m.id === id)?.hours ?? [])).toEqual(defaultHours)
    // Closed for good is a week too.
    value(await changeMember(id, 3, { ...change, hours: [], from: at('2026-07-01T00:00Z') }, owner, now))
    const gone = (await crew()).find(m => m.id === id)?.hours ?? []
    expect([hoursAt(gone, at('2026-06-30T00:00Z')).length, newestHours(gone)]).toEqual([
      defaultHours.length,
      [],
    ])
  })
  it('closes the whole shop and opens it again; what is over stays', async () => {
    const span = { from: '2026-05-05T00:00:00.000Z', to: '2026-05-06T00:00:00.000Z', why: 'Fair' }
    expect(value(await close({ who: 'all' }, span, owner, now))).toBe(1)
    expect((await crew())[0]?.closed).toEqual([span])
    expect(await reopen(span, owner, at('2026-05-07T00:00Z'))).toMatchObject({ ok: false, code: 'past' })
    expect(value(await reopen(span, owner, now))).toBe(1)
    expect((await crew())[0]?.closed).toEqual([])
    expect(await reopen(span, owner, now)).toMatchObject({ ok: false, code: 'gone' })
    expect(await close({ who: 'all' }, { ...span, to: span.from }, owner, now)).toMatchObject({ field: 'to' })
    expect(await close({ who: 'crew', id: 'nobody' }, span, owner, now)).toMatchObject({ code: 'nobody' })
  })
})
