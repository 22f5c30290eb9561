import { existsSync, readdirSync, readFileSync } from 'node:fs'
import { join, relative } from 'node:path'
import { describe, expect, test } from 'vitest'
import {
  addable,
  addedTo,
  doorOf,
  JOBS,
  mayDo,
  mayOpen,
  RIGHT_WORDS,
  RIGHTS,
  ROLES,
} from '@/lib/server/rights'

describe('the table of rights', () => {
  test('leaves wages, margins, rates and people to the owner alone', () => {
    for (const right of ['books.see', 'books.close', 'rates.change', 'people.change', 'shop.change'] as const)
      expect(ROLES.filter(role => mayDo(role, right))).toEqual(['owner'])
  })

  test('lets the owner do everything, and the press role no more than the counter', () => {
    for (const right of RIGHTS) {
      expect(mayDo('owner', right)).toBe(true)
      if (mayDo('press', right)) expect(mayDo('counter', right)).toBe(true)
    }
  })

  test('lets rights be added to a job, but those of the owner alone to none', () => {
    expect(addable('press')).toEqual([
      'orders.change',
      'prices.see',
      'artwork.change',
      'artwork.clear',
      'floor.plan',
      'stock.buy',
    ])
    expect([addable('counter'), addable('owner')]).toEqual([[], []])
    for (const job of JOBS) expect(addedTo(job, RIGHTS)).toEqual(addable(job))
    // Whoever writes orders sees their prices.
    expect(addedTo('press', ['orders.change'])).toEqual(['orders.change', 'prices.see'])

    const helper = { role: 'press', also: addedTo('press', ['orders.change']) } as const
    expect(mayDo(helper, 'orders.change')).toBe(true)
    expect(mayDo(helper, 'floor.report')).toBe(true)
    expect(mayDo(helper, 'floor.plan')).toBe(false)
    expect(mayOpen(helper, '/counter/orders/1001/edit')).toBe(true)
    expect(mayOpen({ role: 'press', also: [] }, '/counter/orders/1001/edit')).toBe(false)
    expect(mayOpen(helper, '/office')).toBe(false)
    expect(mayOpen({ role: 'tablet', also: [] }, '/account')).toBe(false)
  })

  test('has words for every right', () => {
    expect(Object.keys(RIGHT_WORDS).sort()).toEqual([...RIGHTS].sort())
  })
})

describe('addresses', () => {
  test.each([
    [null, '/', false],
    [null, '/sign-in', true],
    [null, '/offer/some-token', true],
    ['press', '/', true],
    ['press', '/floor/station/press-a', true],
    ['press', '/office', false],
    ['counter', '/office/months/2026-01', false],
    ['owner', '/office/months/2026-01', true],
    ['owner', '/floors', false],
    ['owner', '/unheard-of', false],
    ['owner', '/api/unheard-of', false],
    ['press', '/counter/orders/1001', true],
    ['press', '/counter/orders/1001/edit', false],
    ['press', '/counter/customers/new', false],
    ['counter', '/counter/customers/7/edit', true],
    ['tablet', '/api/artwork/7/picture', true],
    ['tablet', '/api/artwork/7/versions/2', false],
  ] as const)('%s at %s: %s', (role, path, open) => {
    expect(mayOpen(role, path)).toBe(open)
  })
})

/** Every page and route handler of the app: its address and its file. */
function addresses(folder = 'app'): { address: string; file: string }[] {
  if (!existsSync(folder)) return []
  return readdirSync(folder, { withFileTypes: true }).flatMap(entry => {
    const path = join(folder, entry.name)
    if (entry.isDirectory()) return addresses(path)
    if (!/^(page|route)\.tsx?$/.test(entry.name)) return []
    const address = relative('app', folder).replace(/\([^)]*\)\/?/g, '')
    return [{ address: `/${address}`, file: path }]
  })
}

describe('every page and route of the app', () => {
  test.each(addresses())('$address is in the table', ({ address }) => {
    expect(doorOf(address)).toBeDefined()
  })

  test.each(addresses().filter(one => doorOf(one.address) !== 'everybody'))(
    '$address asks for the right that its row names, and for no other',
    ({ address, file }) => {
      const guards = [
        ...readFileSync(file, 'utf8').matchAll(/\b(requirePerson|personWith|programWith)\(([^)]*)\)/g),
      ]
      const door = doorOf(address) ?? ''
      const asked = guards.map(([, guard, given = '']) =>
        guard === 'programWith' ? 'by key' : given.replace(/'/g, '') || 'signed in',
      )
      // The page itself turns a tablet away.
      expect(new Set(asked)).toEqual(new Set([door === 'by password' ? 'signed in' : door]))
    },
  )
})
