import { describe, expect, it } from 'vitest'
import { landing, lateWords, refuseClose } from '@/lib/books/close'
import { instant, type ShopMonth, shopMonth } from '@/lib/units/time'

const zone = 'Europe/Lisbon'
const at = (text: string) => instant(Date.parse(text))
const [march, april, may] = ['2026-03', '2026-04', '2026-05'].map(shopMonth) as [
  ShopMonth,
  ShopMonth,
  ShopMonth,
]
const closed = new Map([[april, at('2026-05-02T10:00Z')]])

describe('where a cost counts', () => {
  const handedOver = at('2026-04-20T10:00Z')
  it.each([
    ['before the hand-over', '2026-04-18T10:00Z', april, false],
    ['after it, in the same month', '2026-04-28T10:00Z', april, false],
    ['in May, before April was closed', '2026-05-02T09:59Z', april, false],
    ['at the moment of closing', '2026-05-02T10:00Z', april, false],
    ['after April was closed', '2026-05-02T10:01Z', may, true],
    ['a year later', '2027-05-20T10:00Z', shopMonth('2027-05'), true],
  ])('%s', (_, booked, month, late) => {
    expect(landing(at(booked), handedOver, closed, zone)).toEqual({ month, late })
  })
  it('an open month takes its costs whenever they are booked', () => {
    expect(landing(at('2026-08-01T00:00Z'), handedOver, new Map(), zone)).toEqual({
      month: april,
      late: false,
    })
  })
  it('months are the shop’s own: half past midnight in Lisbon is still yesterday’s month in UTC', () => {
    const handedOverInMay = at('2026-04-30T23:30Z')
    expect(landing(handedOverInMay, handedOverInMay, closed, zone)).toEqual({ month: may, late: false })
    expect(landing(handedOverInMay, handedOverInMay, closed, 'UTC')).toEqual({ month: april, late: false })
  })
})

describe('closing', () => {
  const now = at('2026-05-14T10:00Z')
  it('takes the first open month that is over', () => {
    expect(refuseClose(march, now, zone, closed, march)).toBeNull()
  })
  it.each([
    [april, april, 'April 2026 is closed already: its figures stay as they are.'],
    [may, may, 'May 2026 is not over yet: it can be closed from the first of June 2026.'],
    [
      shopMonth('2027-01'),
      null,
      'January 2027 is not over yet: it can be closed from the first of February 2027.',
    ],
  ])('%s', (month, firstOpen, message) => {
    expect(refuseClose(month, now, zone, closed, firstOpen)).toMatchObject({ ok: false, message })
  })
  it('goes month by month', () => {
    expect(refuseClose(april, now, zone, new Map(), march)).toMatchObject({
      message: 'March 2026 is still open: close it first, then April 2026.',
    })
  })
  it('a month ends by the shop’s clock', () => {
    const almost = at('2026-04-30T22:59Z')
    expect(refuseClose(april, almost, zone, new Map(), april)).toMatchObject({ code: 'running' })
    expect(refuseClose(april, at('2026-04-30T23:00Z'), zone, new Map(), april)).toBeNull()
  })
})

it('a late entry says what it belongs to', () => {
  expect(lateWords(990, april)).toBe(
    'Belongs to order 990, handed over in April 2026, which is closed: it counts here.',
  )
})
