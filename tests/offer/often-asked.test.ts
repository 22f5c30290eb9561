import { beforeEach, expect, test, vi } from 'vitest'
import { GET } from '@/app/offer/[token]/pdf/route'
import { db } from '@/lib/server/database'
import { ok } from '@/lib/units/result'
import { offer, stockUp } from '../orders/books'
import { NOW } from '../orders/builders'
import { freshDatabase } from '../support/database'

/** Drawing one takes a second: here it is counted alone (tests/offer/paper.test.ts draws them). */
const drawn = vi.hoisted(() => ({ count: 0 }))
vi.mock('@/app/offer/paper/offer-pdf', async original => ({
  ...(await original<typeof import('@/app/offer/paper/offer-pdf')>()),
  offerPdf: async () => {
    drawn.count++
    return ok(new TextEncoder().encode('%PDF-1.7'))
  },
}))
vi.mock('next/headers', () => ({ headers: async () => new Headers({ host: 'shop.local' }) }))

beforeEach(freshDatabase)
beforeEach(() => {
  vi.useFakeTimers({ now: NOW, toFake: ['Date'] })
  return () => void vi.useRealTimers()
})
const ask = (token: string) =>
  GET(new Request(`http://shop.local/offer/${token}/pdf`), { params: Promise.resolve({ token }) })

test('the twenty-first PDF of an offer in a minute is not drawn: 429, with a sentence and when to come again; other offers and later ones are', async () => {
  const s = await stockUp()
  await db().shop.create({
    data: { id: 1, name: 'Tidewater Print', currency: 'EUR', timeZone: 'Europe/Lisbon', measures: 'metric' },
  })
  const [{ token }, other] = [await offer(s), await offer(s)]
  for (let i = 0; i < 20; i++) {
    const answer = await ask(token)
    expect(answer.status).toBe(200)
    expect(answer.headers.get('content-type')).toBe('application/pdf')
    expect(answer.headers.get('cache-control')).toBe('private, no-store')
  }
  vi.setSystemTime(NOW + 20_000)
  const refused = await ask(token)
  expect(refused.status).toBe(429)
  expect(refused.headers.get('retry-after')).toBe('40')
  expect(refused.headers.get('cache-control')).toBe('no-store')
  expect(await refused.text()).toBe('This offer was asked for very often just now: try again in 40 seconds.')
  expect(drawn.count).toBe(20)
  expect((await ask(other.token)).status).toBe(200)
  expect((await ask('x'.repeat(token.length))).status).toBe(404)
  vi.setSystemTime(NOW + 61_000)
  expect((await ask(token)).status).toBe(200)
  expect(drawn.count).toBe(22)
})
