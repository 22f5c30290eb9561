import type { Page, Request } from 'playwright/test'
import { DRAWINGS } from '../prisma/seed/drawings'
import { pngOf } from '../prisma/seed/png'
import { ask, type RunningShop } from './support/shop'
import { expect, expectAccessible, signIn, test } from './support/test'

test.use({ kind: 'own' })

// One order goes through every room; each step needs the one before.
test.describe.configure({ mode: 'serial' })

const CUSTOMER = 'Kestrel <i>Cycling</i> Club'
const PIECES = 24
let offerAddress = ''
/** Of the order: other tests may have written orders in the same shop before. */
let number = 0

/** A day of the shop three weeks ahead, as a date field takes it. */
const later = (): string => new Date(Date.now() + 21 * 86_400_000).toISOString().slice(0, 10)

test('1. Counter: an enquiry with a real PNG is written down', async ({ page, shop }) => {
  await signIn(page, shop)
  await page.goto('/counter')
  await expectAccessible(page)
  await page.getByRole('link', { name: 'New enquiry' }).click()
  await page.getByLabel('Customer').fill(CUSTOMER)
  await page.getByLabel('What it is for').fill('Spring ride')
  await page.getByLabel('Promise', { exact: true }).fill(later())
  await page.getByLabel('Hard promise').check()
  await page.getByLabel('Blank', { exact: true }).selectOption({ label: 'Heavy cotton tee' })
  await page.getByLabel('Colour', { exact: true }).selectOption('White')
  for (const [size, count] of [
    ['S', '4'],
    ['M', '8'],
    ['L', '8'],
    ['2XL', '4'],
  ] as const)
    await page.getByLabel(size, { exact: true }).fill(count)
  await page.getByLabel('Width').fill('230')
  await page.locator('input[type=file]').setInputFiles({
    name: 'holds.png',
    mimeType: 'image/png',
    buffer: await pngOf(DRAWINGS.pillar),
  })
  await expect(page.getByText('holds.png').first()).toBeVisible({ timeout: 30_000 })
  await expect(page.locator('progress')).toHaveCount(0, { timeout: 30_000 })
  await expect(page.locator('svg image').first()).toBeVisible()
  await expectAccessible(page)
  await page.getByRole('button', { name: 'Write the enquiry down' }).click()
  await page.waitForURL(/\/counter\/orders\/\d+$/)
  number = Number(new URL(page.url()).pathname.split('/').at(-1))
  await expect(page.getByRole('heading', { level: 1 })).toContainText(String(number))
  await expect(page.getByText(CUSTOMER).first()).toBeVisible()
  await expectAccessible(page)
})

test('2. Art desk: resolution, area, transparency, and nobody has recorded the rights', async ({
  page,
  shop,
}) => {
  await signIn(page, shop)
  await page.goto('/artdesk')
  await expect(page.getByText('not recorded').first()).toBeVisible()
  await expectAccessible(page)
  await page.getByRole('link', { name: 'holds.png', exact: true }).click()
  await expect(page.getByText('Resolution at size').first()).toBeVisible({ timeout: 20_000 })
  // 240 mm of drawing at 300 ppi are 2835 pixels; printed 230 mm wide they are 313 to the inch.
  await expect(page.getByText('313 ppi').first()).toBeVisible()
  await expect(page.getByText('Covered area').first()).toBeVisible()
  await expectAccessible(page)
})

test('3. Methods side by side, with reasons, cost, price and earliest ready time', async ({ page, shop }) => {
  await signIn(page, shop)
  await page.goto(`/counter/orders/${number}/methods`)
  const methods = page.getByRole('list', { name: 'Methods', exact: true })
  await expect(methods.getByText(/Sublimation needs at least 65 % polyester/)).toBeVisible({
    timeout: 20_000,
  })
  await expect(methods.getByText('can be done', { exact: true }).first()).toBeVisible()
  await expect(methods.getByText(/^Ready/).first()).toBeVisible({ timeout: 20_000 })
  await expectAccessible(page)
})

test('4. Offer: the customer reads it at its own address, and agrees only with the rights declared', async ({
  page,
  shop,
  browser,
}) => {
  await signIn(page, shop)
  await page.goto(`/counter/orders/${number}/methods?method=dtg#offer`)
  await page.getByRole('button', { name: 'Make the offer' }).click({ timeout: 20_000 })
  await page.waitForURL(`**/counter/orders/${number}/offer**`)
  await expectAccessible(page)
  offerAddress =
    (await page.getByRole('link', { name: 'Open the customer’s page' }).getAttribute('href')) ?? ''
  expect(offerAddress).toMatch(/^\/offer\/[\w-]{22,}$/)

  const customer = await (await browser.newContext()).newPage()
  await customer.goto(shop.url + offerAddress)
  await expect(customer.getByText('Heavy cotton tee').first()).toBeVisible()
  await expectAccessible(customer)
  const agree = customer.getByRole('form', { name: 'Agree to the offer' })
  await agree.getByRole('textbox', { name: 'Your name' }).fill('Ada Kestrel')
  await agree.getByRole('button', { name: /^Agree to/ }).click()
  // The refusal has come back before the books are asked.
  await expect(agree.getByText(/Nobody has recorded/)).toBeVisible({ timeout: 20_000 })
  expect(
    (await ask<{ state: string }>(shop, `SELECT state FROM "Order" WHERE number = ${number}`))[0]?.state,
  ).toBe('offered')
  await expect(agree.getByRole('textbox', { name: 'Your name' })).toHaveValue('Ada Kestrel')

  await agree.getByLabel(/I declare that/).check()
  await agree.getByRole('button', { name: /^Agree to/ }).click()
  await expect(customer.getByText('Ada Kestrel').first()).toBeVisible({ timeout: 20_000 })
  expect(
    (await ask<{ state: string }>(shop, `SELECT state FROM "Order" WHERE number = ${number}`))[0]?.state,
  ).toBe('agreed')
  await customer.context().close()
})

test('5. Stockroom: the blanks are ordered and come in', async ({ page, shop }) => {
  await signIn(page, shop)
  await page.goto('/stockroom')
  await expectAccessible(page)
  await page.goto('/stockroom/purchases/new')
  await page.getByRole('link', { name: /Harrow Textile Wholesale/ }).click()
  await expect(page.getByLabel('From')).toHaveValue('Harrow Textile Wholesale')
  await page.getByRole('button', { name: 'Write the purchase' }).click()
  await page.waitForURL(/\/stockroom\/purchases\/\d+/)
  await expect(page.getByText('not sent yet', { exact: true })).toBeVisible()
  await expectAccessible(page)
  await page.getByRole('button', { name: 'It is sent' }).click()
  await expect(page.getByText('on the way', { exact: true })).toBeVisible()
  await page.getByRole('button', { name: 'Put it on the shelves' }).click()
  const shelf = async () => {
    const [row] = await ask<{ total: number | null; last: number }>(
      shop,
      `SELECT SUM(m.quantity) AS total, (SELECT x.onHand FROM Movement x WHERE x.itemId = i.id ORDER BY x.position DESC LIMIT 1) AS last
       FROM StockItem i JOIN Movement m ON m.itemId = i.id WHERE i.sku = 'T180-WHI-M' GROUP BY i.id`,
    )
    return row
  }
  await expect.poll(async () => (await shelf())?.total).toBeGreaterThanOrEqual(8)
  const white = await shelf()
  expect(white?.last).toBe(white?.total)
})

test('6. Floor: the steps stand on the plan, are made, and one misprint makes its remake', async ({
  page,
  shop,
}) => {
  test.setTimeout(120_000)
  await signIn(page, shop)
  await page.goto('/floor')
  await expectAccessible(page)
  expect((await ask(shop, 'SELECT id FROM PlannedRun')).length).toBeGreaterThan(0)

  await page.goto(`/floor/tickets/${number}`)
  await expect(page.locator('svg').first()).toBeVisible()
  await expectAccessible(page)

  // Its art was never prepared for this printer: that comes first, at the bench, and leads to the art desk.
  const [desk] = await ask<{ code: string }>(
    shop,
    "SELECT t.code FROM PlannedRun r JOIN JobStep s ON s.id = r.stepId JOIN Station t ON t.id = r.stationId WHERE s.key = 'art'",
  )
  await page.goto(`/floor/stations/${desk?.code}`)
  await page.getByRole('button', { name: `Start ${number}` }).click()
  await expect(page.getByRole('link', { name: /at the art desk$/ })).toHaveAttribute(
    'href',
    /^\/artdesk\/[-0-9a-f]+$/,
  )
  await page.getByRole('button', { name: /^(Count and finish|Done)$/ }).click()
  await expect
    .poll(async () => (await ask(shop, "SELECT id FROM JobStep WHERE key = 'art' AND state = 'done'")).length)
    .toBe(1)

  await page.goto('/floor/stations/garment-printer')
  await expectAccessible(page)
  // The page is slow to be told of the start: what is opened and ticked meanwhile stays so.
  const fresh = (request: Request) =>
    request.headers().rsc === '1' && request.url().includes('/garment-printer')
  await page.route('**/*', async route => {
    if (fresh(route.request())) await new Promise(done => setTimeout(done, 3000))
    await route.continue()
  })
  const told = page.waitForResponse(response => fresh(response.request()))
  await page.getByRole('button', { name: `Start ${number}` }).click()
  await expect(page.getByRole('article', { name: 'Now' })).toBeVisible()
  await page.getByText('Misprint', { exact: true }).click()
  const misprint = page.getByRole('form', { name: 'Misprint' })
  await misprint.getByLabel('M', { exact: true }).check()
  await told
  await page.unrouteAll({ behavior: 'wait' })
  await expect(misprint.getByLabel('M', { exact: true })).toBeChecked()
  await misprint.getByLabel(/ink/i).first().check()
  await misprint.getByRole('button', { name: 'Spoiled: make it again' }).click()
  await expect
    .poll(async () => (await ask(shop, "SELECT id FROM JobStep WHERE job LIKE 'remake-%'")).length)
    .toBeGreaterThan(0)

  await finishAll(page, shop)
  const [order] = await ask<{ state: string }>(shop, `SELECT state FROM "Order" WHERE number = ${number}`)
  expect(order?.state).toBe('ready')
  const [spoiled] = await ask<{ n: number }>(
    shop,
    "SELECT -SUM(quantity) AS n FROM Movement WHERE kind = 'spoiled'",
  )
  expect(spoiled?.n).toBe(1)
})

test('7. Counter: paid in deposit and rest, and handed over', async ({ page, shop }) => {
  await signIn(page, shop)
  await page.goto(`/counter/orders/${number}`)
  const money = page.getByRole('form', { name: 'Book money' })
  await money.getByRole('button', { name: 'Book it' }).click()
  await expect.poll(async () => (await ask(shop, 'SELECT id FROM Payment')).length).toBe(1)
  await page.reload()
  const [gross] = await ask<{ due: number }>(
    shop,
    `SELECT o.grossMinor - COALESCE(SUM(p.amountMinor), 0) AS due FROM "Order" o LEFT JOIN Payment p ON p.orderId = o.id WHERE o.number = ${number} GROUP BY o.id`,
  )
  if ((gross?.due ?? 0) > 0) {
    await page.getByRole('form', { name: 'Book money' }).getByRole('button', { name: 'Book it' }).click()
    await expect.poll(async () => (await ask(shop, 'SELECT id FROM Payment')).length).toBe(2)
  }
  await page.reload()
  await page.getByRole('button', { name: new RegExp(`^${PIECES} pieces handed to`) }).click()
  await expect
    .poll(
      async () =>
        (await ask<{ state: string }>(shop, `SELECT state FROM "Order" WHERE number = ${number}`))[0]?.state,
    )
    .toBe('handedOver')
  const [paid] = await ask<{ paid: number; gross: number }>(
    shop,
    `SELECT SUM(p.amountMinor) AS paid, o.grossMinor AS gross FROM "Order" o JOIN Payment p ON p.orderId = o.id WHERE o.number = ${number} GROUP BY o.id`,
  )
  expect(paid?.paid).toBe(paid?.gross)
})

test('8. Office: the month shows the order, its costs add up to the cent, and goes out as CSV', async ({
  page,
  shop,
}) => {
  await signIn(page, shop)
  await page.goto('/office')
  await expect(page.getByText(String(number)).first()).toBeVisible()
  await expectAccessible(page)
  const answer = await page.request.get('/office/month.csv')
  expect(answer.status()).toBe(200)
  const [head, ...rows] = (await answer.text())
    .replace(/^\uFEFF/, '')
    .split(/\r?\n/)
    .map(line => line.split(','))
  const row = rows.find(r => r[0]?.includes(String(number)))
  expect(row, 'the row of the order').toBeDefined()
  const amount = (name: RegExp): number => {
    const at = head?.findIndex(h => name.test(h)) ?? -1
    expect(at, `a column like ${name} in ${head}`).toBeGreaterThanOrEqual(0)
    return Math.round(Number(row?.[at]) * 100)
  }
  const costs = [
    /blanks/i,
    /consumables|material/i,
    /labour/i,
    /machine/i,
    /spoilage/i,
    /outside/i,
    /freight/i,
  ]
    .map(amount)
    .reduce((a, b) => a + b, 0)
  expect(amount(/revenue/i) - costs).toBe(amount(/^margin/i))
  const [kept] = await ask<{ net: number }>(
    shop,
    `SELECT netMinor AS net FROM "Order" WHERE number = ${number}`,
  )
  expect(amount(/revenue/i)).toBe(kept?.net)
  await page.goto(`/office/orders/${number}`)
  await expectAccessible(page)
})

test('everything on hand is the sum of its movements', async ({ shop }) => {
  const wrong = await ask(
    shop,
    `SELECT m.itemId FROM Movement m GROUP BY m.itemId
     HAVING SUM(m.quantity) <> (SELECT x.onHand FROM Movement x WHERE x.itemId = m.itemId ORDER BY x.position DESC LIMIT 1)`,
  )
  expect(wrong).toEqual([])
})

/** Goes from station to station until every step of the order is done, as the crew would. */
async function finishAll(page: Page, shop: RunningShop) {
  for (let round = 0; round < 12; round++) {
    const open = await ask<{ kind: string; state: string }>(
      shop,
      "SELECT stationKind AS kind, state FROM JobStep WHERE state IN ('waiting', 'running') ORDER BY state, job, position",
    )
    const next = open[0]
    if (!next) return
    const codes = await ask<{ code: string }>(
      shop,
      `SELECT code FROM Station WHERE kind = '${next.kind}' ORDER BY position`,
    )
    for (const { code } of codes) {
      await page.goto(`/floor/stations/${code}`)
      const start = page.getByRole('button', { name: `Start ${number}` })
      const done = page.getByRole('button', { name: /^(Count and finish|Done)$/ })
      await expect(start.or(done).or(page.getByText('Nothing is planned')).first()).toBeVisible()
      if (await start.isVisible()) {
        await start.click()
        await expect(page.getByRole('article', { name: 'Now' })).toBeVisible()
      }
      if (!(await done.isVisible())) continue
      const before =
        (await ask<{ n: number }>(shop, "SELECT COUNT(*) AS n FROM JobStep WHERE state = 'done'"))[0]?.n ?? 0
      await done.click()
      await expect
        .poll(
          async () =>
            (await ask<{ n: number }>(shop, "SELECT COUNT(*) AS n FROM JobStep WHERE state = 'done'"))[0]?.n,
        )
        .toBe(before + 1)
      break
    }
  }
  expect(
    await ask(shop, "SELECT title FROM JobStep WHERE state IN ('waiting', 'running')"),
    'steps left',
  ).toEqual([])
}
