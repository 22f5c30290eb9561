import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { expect, test } from 'vitest'
import { fromElsewhere, fromOwnPage, ownAddress } from '@/lib/server/origin'

const sent = (headers: Record<string, string>) =>
  fromOwnPage(new Request('http://shop.local:3000/api/art', { method: 'PUT', headers }))

test.each([
  [{ host: 'shop.local:3000', origin: 'http://shop.local:3000' }, true],
  [{ host: 'shop.local:3000', origin: 'http://shop.local:4000' }, false],
  [{ host: 'shop.local:3000', origin: 'http://elsewhere.example' }, false],
  [{ host: 'shop.local:3000', origin: 'null' }, false],
  [{ host: 'shop.local:3000' }, false],
])('a change with headers %j comes from an own page: %s', (headers, own) => {
  expect(sent(headers as Record<string, string>)).toBe(own)
})

test.each([
  ['/counter?q=1', '/counter?q=1'],
  ['//elsewhere.example', '/'],
  ['/\\elsewhere.example', '/'],
  ['https://elsewhere.example', '/'],
  ['javascript:alert(1)', '/'],
  ['/\t/elsewhere.example', '/'],
  ['', '/'],
  [null, '/'],
])('after signing in, %j leads to %j', (to, address) => {
  expect(ownAddress(to)).toBe(address)
})

test.each([
  [{ host: 'shop.local:3000', origin: 'http://elsewhere.example' }, true],
  [{ host: 'shop.local:3000', origin: 'null' }, true],
  [{ host: 'shop.local:3000', 'sec-fetch-site': 'cross-site' }, true],
  [{ host: 'shop.local:3000', origin: 'http://shop.local:3000', 'sec-fetch-site': 'same-origin' }, false],
  [{ host: 'shop.local:3000' }, false],
  [{ host: 'localhost:3000', origin: 'http://shop.local:3000', 'x-action-forwarded': '1' }, false],
  [
    { host: 'localhost:3000', origin: 'null', 'sec-fetch-site': 'cross-site', 'x-action-forwarded': '1' },
    true,
  ],
])('a request with headers %j says that it comes from elsewhere: %s', (headers, elsewhere) => {
  const request = new Request('http://shop.local:3000/counter', {
    method: 'POST',
    headers: headers as unknown as Record<string, string>,
  })
  expect(fromElsewhere(request)).toBe(elsewhere)
})

test('every address that changes something asks where it was sent from, or for a key of its own', () => {
  const routes = readdirSync('app', { recursive: true, encoding: 'utf8' }).filter(name =>
    name.endsWith('route.ts'),
  )
  const changing = routes
    .map(name => readFileSync(join('app', name), 'utf8'))
    .filter(text => /export (async function|const) (POST|PUT|PATCH|DELETE)\b/.test(text))
  expect(changing.length).toBeGreaterThan(3)
  for (const text of changing) expect(text).toMatch(/fromOwnPage\(|fromElsewhere\(|programWith\(/)
})
