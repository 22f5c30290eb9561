import { expect, test } from 'vitest'
import { fromOwnPage, ownAddress } from '@/lib/server/origin'

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
