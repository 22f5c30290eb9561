import { randomUUID } from 'node:crypto'
import { Validator } from '@seriousme/openapi-schema-validator'
import { beforeEach, describe, expect, test, vi } from 'vitest'
import { GET as catalogue } from '@/app/api/catalogue/route'
import { GET as read } from '@/app/api/orders/[number]/route'
import { POST } from '@/app/api/orders/route'
import { schemaRows } from '@/app/programs/schema-rows'
import { EXAMPLE_ORDER, openApi } from '@/lib/orders/outside/openapi'
import { canonical, orderIn, pointerOf, readCallNumber } from '@/lib/orders/outside/order-in'
import { getOrder } from '@/lib/orders/store'
import { apiKeys, endKey, makeKey, SCOPES, type Scope } from '@/lib/server/api-keys'
import { db } from '@/lib/server/database'
import { freshDatabase } from '../support/database'
import { INES, type Stocked, stockUp } from './books'

// Next's own cache is not there outside its server.
vi.mock('next/cache', () => ({ revalidatePath: () => {} }))

const NOW = new Date()
let s: Stocked
let key = ''
beforeEach(async () => {
  const close = await freshDatabase()
  s = await stockUp()
  await db().shop.create({
    data: { name: 'Tidewater Print', currency: 'EUR', timeZone: 'Europe/Lisbon', measures: 'imperial' },
  })
  key = await aKey(['orders.add', 'orders.read', 'catalogue.read'])
  return close
})
async function aKey(scopes: Scope[], name = `program ${randomUUID()}`): Promise<string> {
  const made = await makeKey(name, scopes, INES, NOW)
  if (!made.ok) throw new Error(made.message)
  return made.value
}
const order = (more: object = {}) => ({
  customer: { name: 'Rowing club', email: 'rowers@club.example' },
  title: 'Regatta',
  lines: [
    {
      style: 'T1',
      colour: 'Black',
      sizes: { S: 4, '2XL': 2 },
      prints: [{ placement: 'full-front', widthMm: 305, heightMm: 300, dropMm: 57 }],
    },
  ],
  ...more,
})
type Sent = { key?: string | null; number?: string | null; type?: string; raw?: string }
async function post(body: unknown, { key: with_ = key, number = randomUUID(), type, raw }: Sent = {}) {
  const answer = await POST(
    new Request('http://shop.example/api/orders', {
      method: 'POST',
      headers: {
        'content-type': type ?? 'application/json',
        ...(with_ === null ? {} : { authorization: `Bearer ${with_}` }),
        ...(number === null ? {} : { 'idempotency-key': number }),
      },
      body: raw ?? JSON.stringify(body),
    }),
  )
  return { status: answer.status, headers: answer.headers, body: await answer.json() }
}
const ask = (path: string, with_: string) =>
  new Request(`http://shop.example${path}`, { headers: { authorization: `Bearer ${with_}` } })

describe('an order from outside', () => {
  test('becomes an enquiry: customer, blanks, sizes and print in mm whatever the shop shows', async () => {
    const sent = await post(order())
    expect(sent).toMatchObject({ status: 201, body: { number: 1001, state: 'enquiry' } })
    expect(sent.headers.get('location')).toBe('/api/orders/1001')
    const saved = await getOrder(1001)
    expect(saved).toMatchObject({ title: 'Regatta', state: 'enquiry', customer: { name: 'Rowing club' } })
    expect(saved?.lines[0]?.sizes.map(z => [z.size, z.quantity])).toEqual([
      ['S', 4],
      ['2XL', 2],
    ])
    expect(saved?.lines[0]?.prints[0]).toMatchObject({
      widthMm: 305,
      heightMm: 300,
      dropMm: 57,
      artwork: null,
    })
    expect(await db().history.findFirst({ where: { entity: 'order' } })).toMatchObject({
      byName: expect.stringMatching(/^program .* \(program\)$/),
    })
  })
  test('with one Idempotency-Key, sent ten times at once and once more after, makes one order', async () => {
    const number = randomUUID()
    const all = await Promise.all(Array.from({ length: 10 }, () => post(order(), { number })))
    all.push(await post(order(), { number: `"${number}"` }))
    expect(new Set(all.map(a => a.status))).toEqual(new Set([201]))
    expect(new Set(all.map(a => a.body.number))).toEqual(new Set([1001]))
    expect(all.filter(a => a.headers.get('idempotency-replayed') === 'true')).toHaveLength(10)
    expect(await db().order.count()).toBe(1)
    expect(await db().customer.count()).toBe(2)
  })
  test('with the names in another order is the same body', async () => {
    const number = randomUUID()
    const { lines, title, customer } = order()
    await post(order(), { number })
    expect(await post({ title, lines, customer }, { number })).toMatchObject({ status: 201 })
    expect(await db().order.count()).toBe(1)
  })
  test('with a number that came with another body is refused, and the first order stays as it is', async () => {
    const number = randomUUID()
    await post(order(), { number })
    const other = await post(order({ title: 'Another' }), { number })
    expect(other).toMatchObject({
      status: 422,
      body: { detail: expect.stringContaining('another body before') },
    })
    expect(await db().order.count()).toBe(1)
    expect((await getOrder(1001))?.title).toBe('Regatta')
  })
  test('two bodies at once under one number: one order, the other is told', async () => {
    const number = randomUUID()
    const both = await Promise.all(['a', 'b'].map(title => post(order({ title }), { number })))
    expect(both.map(b => b.status).sort()).toEqual([201, 422])
    expect(await db().order.count()).toBe(1)
  })
  test('another key may use the same number for its own order', async () => {
    const number = randomUUID()
    await post(order(), { number })
    expect((await post(order(), { number, key: await aKey(['orders.add']) })).body.number).toBe(1002)
  })
  test('refused, it leaves nothing, and the mended one goes in under the same number', async () => {
    const number = randomUUID()
    const wrong = order({ lines: [{ ...order().lines[0], sizes: { XL: 3 } }] })
    expect(await post(wrong, { number })).toMatchObject({ status: 422 })
    expect(await db().order.count()).toBe(0)
    expect(await db().customer.count()).toBe(1)
    expect(await db().apiCall.count()).toBe(0)
    expect(await post(order(), { number })).toMatchObject({ status: 201 })
  })
  test('of a customer who is known by the e-mail address goes to that customer', async () => {
    await post(order())
    await post(order({ customer: { name: 'Rowers', email: 'ROWERS@club.example' } }))
    expect(await db().customer.count()).toBe(2)
    expect((await getOrder(1002))?.customer.name).toBe('Rowing club')
  })
  test('where two customers have the address, to the one of that name; else to a new one', async () => {
    const email = 'office@school.example'
    for (const name of ['Class A', 'Class B']) await db().customer.create({ data: { name, email } })
    await post(order({ customer: { name: 'class b', email } }))
    await post(order({ customer: { name: 'Class C', email } }))
    expect((await getOrder(1001))?.customer.name).toBe('Class B')
    expect((await getOrder(1002))?.customer.name).toBe('Class C')
  })
})

const line = () => structuredClone(order().lines[0]) as NonNullable<ReturnType<typeof order>['lines'][0]>
const print = { placement: 'full-front', widthMm: 305, heightMm: 300, dropMm: 57 }
describe('what is wrong is told with its place:', () => {
  test.each<[string, unknown, string, RegExp]>([
    ['no pieces', { lines: [{ ...line(), sizes: {} }] }, '/lines/0/sizes', /no piece yet/],
    [
      '100,000 pieces of a size',
      { lines: [{ ...line(), sizes: { S: 100_000 } }] },
      '/lines/0/sizes/S',
      /10000/,
    ],
    [
      'a size the blank does not come in',
      { lines: [{ ...line(), sizes: { XL: 1 } }] },
      '/lines/0/sizes',
      /does not come in XL: it comes in S, M, L, 2XL/,
    ],
    ['a size nobody knows', { lines: [{ ...line(), sizes: { HUGE: 1 } }] }, '/lines/0/sizes', /HUGE/],
    ['a blank nobody knows', { lines: [{ ...line(), style: 'T999' }] }, '/lines/0/style', /no blank “T999”/],
    [
      'a colour it does not come in',
      { lines: [{ ...line(), colour: 'Plaid' }] },
      '/lines/0/colour',
      /does not come in “Plaid”/,
    ],
    [
      'a print wider than the garment',
      { lines: [{ ...line(), prints: [{ ...print, widthMm: 1000 }] }] },
      '/lines/0/prints/0/widthMm',
      /wider than size S itself/,
    ],
    [
      'two prints at one place',
      { lines: [{ ...line(), prints: [print, print] }] },
      '/lines/0/prints/1/placement',
      /Two prints sit/,
    ],
    [
      'an artwork nobody knows',
      { lines: [{ ...line(), prints: [{ ...print, artworkId: randomUUID() }] }] },
      '/lines/0/prints/0/artworkId',
      /not known here/,
    ],
    ['a day in the past', { promise: { day: '2020-01-01' } }, '/promise/day', /in the past/],
    ['a day that is none', { promise: { day: '2026-02-30' } }, '/promise/day', /./],
    ['a name of nothing', { customer: { name: '  ' } }, '/customer/name', /empty/],
    ['a field that is not in the description', { taxExempt: true }, '', /taxExempt/],
    ['61 blanks', { lines: Array.from({ length: 61 }, line) }, '/lines', /60/],
  ])('%s', async (_, more, pointer, said) => {
    const sent = await post(order(more as object))
    expect(sent.status).toBe(422)
    expect(sent.headers.get('content-type')).toBe('application/problem+json')
    expect(sent.body.errors).toContainEqual({ pointer, detail: expect.stringMatching(said) })
    expect(await db().order.count()).toBe(0)
  })
  test('a body that is no JSON, is cut short, is too long, or is not marked as JSON', async () => {
    expect((await post(null, { raw: '{"customer": {' })).status).toBe(400)
    expect((await post([])).status).toBe(422)
    expect((await post(null, { raw: `"${'x'.repeat(600_000)}"` })).status).toBe(413)
    expect((await post(order(), { type: 'text/plain' })).status).toBe(415)
    expect((await post(order(), { number: null })).body.detail).toContain('Idempotency-Key')
    expect((await post(order(), { number: 'short' })).status).toBe(400)
  })
})

describe('a key', () => {
  test('opens what it was made for, alone', async () => {
    for (const scope of SCOPES) {
      const one = await aKey([scope])
      const got = {
        'orders.add': (await post(order(), { key: one })).status,
        'orders.read': (await read(ask('/api/orders/1', one), { params: Promise.resolve({ number: '1' }) }))
          .status,
        'catalogue.read': (await catalogue(ask('/api/catalogue', one))).status,
      }
      const open = { 'orders.add': 201, 'orders.read': 404, 'catalogue.read': 200 }
      expect(got).toEqual({
        'orders.add': 403,
        'orders.read': 403,
        'catalogue.read': 403,
        [scope]: open[scope],
      })
    }
  })
  test('mistyped, missing or ended opens nothing', async () => {
    const one = await aKey(['orders.add'], 'Web shop')
    for (const wrong of [null, 'shirt_', `${one}x`, one.toUpperCase(), "' OR 1=1 --"]) {
      const sent = await post(order(), { key: wrong })
      expect(sent.status).toBe(401)
      expect(sent.headers.get('www-authenticate')).toBe('Bearer')
    }
    const row = (await apiKeys()).find(k => k.name === 'Web shop')
    await endKey(row?.id ?? '', INES, NOW)
    expect((await post(order(), { key: one })).status).toBe(401)
    expect(await db().order.count()).toBe(0)
    // A name can be given again once its key has ended.
    expect((await makeKey('Web shop', ['orders.add'], INES, NOW)).ok).toBe(true)
    expect(await makeKey('Web shop', ['orders.add'], INES, NOW)).toMatchObject({ ok: false, field: 'name' })
  })
  test('is kept as a hash alone, with when it was last used and how many orders came with it', async () => {
    const one = await aKey(['orders.add'], 'Web shop')
    const web = async () => (await apiKeys()).find(k => k.name === 'Web shop')
    expect(await web()).toMatchObject({ lastUsedAt: null, orders: 0, hint: one.slice(0, 10) })
    await post(order(), { key: one })
    const used = await web()
    expect(used?.orders).toBe(1)
    expect(Math.abs((used?.lastUsedAt?.getTime() ?? 0) - Date.now())).toBeLessThan(60_000)
    const kept = JSON.stringify([await db().apiKey.findMany(), await db().history.findMany()])
    expect(kept).not.toContain(one.slice(10))
  })
  test('that calls too often is told to wait', async () => {
    const one = await aKey(['catalogue.read'])
    const all = []
    for (let n = 0; n < 121; n++) all.push((await catalogue(ask('/api/catalogue', one))).status)
    expect(all.filter(x => x === 200)).toHaveLength(120)
    expect(all.at(-1)).toBe(429)
  })
})

describe('what became of it', () => {
  test('is told of orders that came this way, and of no other', async () => {
    await post(order())
    const state = async (number: string) => {
      const answer = await read(ask(`/api/orders/${number}`, key), { params: Promise.resolve({ number }) })
      return [answer.status, await answer.json()] as const
    }
    expect(await state('1001')).toEqual([200, { number: 1001, state: 'enquiry', promise: null }])
    await db().apiCall.deleteMany()
    expect((await state('1001'))[0]).toBe(404)
    expect((await state('1001 OR 1'))[0]).toBe(404)
  })
  test('the catalogue gives the codes, colours and sizes that an order takes', async () => {
    const answer = await catalogue(ask('/api/catalogue', key))
    expect(await answer.json()).toEqual({
      styles: [
        {
          code: 'T1',
          name: 'Heavy tee',
          kind: 'tee',
          colours: [{ name: 'Black', hex: '#111111', sizes: ['S', 'M', 'L', '2XL'] }],
        },
      ],
    })
    void s
  })
})

describe('the description for programs', () => {
  // Against the published JSON Schema of the OpenAPI Specification 3.1, by a validator that carries it.
  test('is a valid OpenAPI 3.1 document', async () => {
    const validator = new Validator()
    const result = await validator.validate(structuredClone(openApi('Tidewater Print')))
    expect(result.errors ?? []).toEqual([])
    expect(result.valid).toBe(true)
    expect(validator.version).toBe('3.1')
    expect((await new Validator().validate({ ...openApi('x'), info: {} })).valid).toBe(false)
  })
  test('leads every reference somewhere, and holds the very schema that reads an order', () => {
    const document = openApi('x')
    const refs = [...JSON.stringify(document).matchAll(/"\$ref":"#\/components\/schemas\/(\w+)"/g)].map(
      m => m[1],
    )
    expect(refs.length).toBeGreaterThan(10)
    for (const name of refs) expect(Object.keys(document.components.schemas)).toContain(name)
    expect(orderIn.safeParse(EXAMPLE_ORDER).success).toBe(true)
  })
  test('is shown value by value', () => {
    const { schemas } = openApi('x').components as { schemas: Record<string, object> }
    const rows = schemaRows({ $ref: '#/components/schemas/OrderIn' }, schemas)
    expect(rows.map(r => r.name)).toEqual(
      expect.arrayContaining([
        'customer',
        'customer.email',
        'lines',
        'lines[].sizes',
        'lines[].prints[].widthMm',
        'promise.day',
      ]),
    )
    expect(rows.find(r => r.name === 'customer.name')).toMatchObject({
      needed: true,
      what: 'text, at most 120 letters',
    })
    expect(rows.find(r => r.name === 'promise')).toMatchObject({ needed: false })
  })
})

test('a body says the same whatever the order of its names; a list does not', () => {
  expect(canonical({ b: 1, a: { d: null, c: 'x' } })).toBe(canonical({ a: { c: 'x', d: null }, b: 1 }))
  expect(canonical([1, 2])).not.toBe(canonical([2, 1]))
  expect(canonical({ a: 1 })).not.toBe(canonical({ a: '1' }))
})
test('the number of a call is read bare or quoted', () => {
  expect(readCallNumber('"8e03978e-40d5"')).toBe('8e03978e-40d5')
  expect(readCallNumber('8e03978e-40d5')).toBe('8e03978e-40d5')
  for (const none of [null, '', 'short', 'with space in it', 'x'.repeat(129), 'line\nbreaks'])
    expect(readCallNumber(none)).toBeNull()
})
test('a field of the counter’s form is found in the body', () => {
  expect(pointerOf('lines.0.prints.1.width')).toBe('/lines/0/prints/1/widthMm')
  expect(pointerOf('lines.2.quantity')).toBe('/lines/2/sizes')
  expect(pointerOf('promiseDay')).toBe('/promise/day')
})
