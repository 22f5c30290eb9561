import { beforeEach, expect, test } from 'vitest'
import { db } from '@/lib/server/database'
import { type NewShop, writeNewShop } from '@/lib/server/new-shop'
import { freshDatabase } from '../support/database'

beforeEach(freshDatabase)

const shop: NewShop = {
  name: 'Ink & Oak',
  currency: 'GBP',
  timeZone: 'Europe/London',
  measures: 'imperial',
  owner: 'Ola Brandt',
  password: 'a very plain word',
}

test('a new shop has its one row and its owner', async () => {
  expect(await writeNewShop(shop)).toMatchObject({ ok: true, value: { name: 'Ola Brandt', role: 'owner' } })
  expect(await db().shop.findMany()).toMatchObject([
    { name: 'Ink & Oak', currency: 'GBP', timeZone: 'Europe/London', measures: 'imperial', demo: false },
  ])
  expect(await db().person.count()).toBe(1)
})

test('a refused owner leaves no shop behind', async () => {
  expect(await writeNewShop({ ...shop, password: 'short' })).toMatchObject({ ok: false, field: 'password' })
  expect(await db().shop.count()).toBe(0)
  expect(await db().person.count()).toBe(0)
})
