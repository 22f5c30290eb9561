import { cpSync, mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { sceneOf, seeded, Writer, type Written } from '../scripts/support/crash'
import { NO_POSTGRES, postgresPrograms } from '../scripts/support/postgres-programs.mjs'
import { several, withServers } from '../scripts/support/several'
import { ShopClient } from '../scripts/support/shop-client'
import { readyFolder } from './support/shop'
import { expect, test } from './support/test'

test.skip(!postgresPrograms(), NO_POSTGRES)

let data: string
test.beforeEach(() => {
  data = mkdtempSync(join(tmpdir(), 'shirtwright-e2e-servers-'))
  cpSync(readyFolder('demo'), data, { recursive: true })
})
test.afterEach(() => rmSync(data, { recursive: true, force: true }))

test('two servers on one database while twelve people write at both: all that was acknowledged is there once and whole, numbers have no gaps, and the books follow', async () => {
  const report = await several({ data, servers: 2, people: 12, seconds: 5, seed: 3, least: 6 })
  expect(report).toMatchObject({ errors: [], lost: [], half: [], books: [] })
  expect(Object.keys(report.acknowledged).sort()).toEqual(['customer', 'order', 'payment', 'report', 'shelf'])
  for (const taken of report.byServer) expect(taken, 'each took its part').toBeGreaterThan(5)
  for (const told of report.told) expect(told, 'each told its pages').toBeGreaterThan(5)
})

test('who has signed in at one server is known at the other, and a page open at one shows what is written at the other', async ({
  browser,
}) => {
  await withServers(data, 2, async ([one, other]) => {
    if (!one || !other) throw new Error('Two servers were asked for.')
    const context = await browser.newContext({ locale: 'en-GB' })
    const page = await context.newPage()
    await page.goto(`${one.url}/sign-in`)
    await page
      .getByRole('button', { name: /, owner$/ })
      .first()
      .click()
    await page.waitForURL(url => url.pathname !== '/sign-in')
    const line = page.waitForResponse(`${other.url}/api/events`)
    await page.goto(`${other.url}/floor/day`)
    await expect(page).toHaveURL(/\/floor\/day$/)
    await line

    const scene = sceneOf(join(data, 'demo.db'))
    const client = new ShopClient(one.url)
    await client.signInToDemo(scene.owner)
    const book: Written[] = []
    const drawnAnew = page.waitForResponse(
      answer => answer.url().startsWith(`${other.url}/floor/day`) && answer.request().headers().rsc === '1',
    )
    await new Writer(client, seeded(1), scene, book, { refused: 0, cut: 0 }).order()
    expect(book).toMatchObject([{ acknowledged: true }])
    expect((await drawnAnew).status()).toBe(200)
    // Left before the servers go.
    await context.close()
  })
})
