import { crc32, deflateSync } from 'node:zlib'
import type { Page } from 'playwright/test'
import { expect, signIn, test } from './support/test'

test.use({ kind: 'own' })

const SIGNATURE = Buffer.from([137, 80, 78, 71, 13, 10, 26, 10])

/** A PNG chunk by the standard: length, type, data, CRC of type and data. */
function chunk(type: string, data: Buffer): Buffer {
  const body = Buffer.concat([Buffer.from(type, 'latin1'), data])
  const out = Buffer.alloc(body.length + 8)
  out.writeUInt32BE(data.length, 0)
  body.copy(out, 4)
  out.writeUInt32BE(crc32(body), body.length + 4)
  return out
}

/** A grey PNG that declares a size, with as many rows of pixels as are given. */
function png(width: number, height: number, rows: number): Buffer {
  const head = Buffer.alloc(13)
  head.writeUInt32BE(width, 0)
  head.writeUInt32BE(height, 4)
  head.set([8, 0, 0, 0, 0], 8)
  const pixels = deflateSync(Buffer.alloc(rows * (Math.min(width, 4000) + 1), 0))
  return Buffer.concat([
    SIGNATURE,
    chunk('IHDR', head),
    chunk('IDAT', pixels),
    chunk('IEND', Buffer.alloc(0)),
  ])
}

/** One clear sentence: it says something, ends, and shows nothing of the program's insides. */
const SENTENCE = /^[“A-Z0-9].{10,300}[.]$/
const INSIDES = /error:|exception|undefined|null|stack|prisma|sqlite|zod|\bat \w+ \(/i

const put = async (page: Page, body: Buffer, name = 'art.png') =>
  page.request.put(`/api/artwork?name=${encodeURIComponent(name)}`, {
    data: body,
    headers: { 'content-type': 'application/octet-stream' },
  })

test('a bad picture is refused in one sentence, and nothing of it is kept', async ({ page, shop }) => {
  await signIn(page, shop)
  const whole = png(400, 400, 400)
  const bad: Record<string, Buffer> = {
    empty: Buffer.alloc(0),
    'cut short': whole.subarray(0, Math.floor(whole.length / 2)),
    'only its signature': SIGNATURE,
    'no picture': Buffer.from('<script>alert(1)</script> and nothing else'),
    '60,000 × 60,000 pixels': png(60_000, 60_000, 1),
    'fewer rows than it says': png(400, 400, 3),
    'a damaged chunk': Buffer.concat([whole.subarray(0, 45), Buffer.alloc(20, 7), whole.subarray(65)]),
  }
  for (const [what, body] of Object.entries(bad)) {
    const answer = await put(page, body)
    expect(answer.status(), what).toBeGreaterThanOrEqual(400)
    expect(answer.status(), what).toBeLessThan(500)
    const { message } = await answer.json()
    expect(message, what).toMatch(SENTENCE)
    expect(message, what).not.toMatch(INSIDES)
  }
  const good = await put(page, whole, '../../<b>name</b>.png')
  expect(good.status()).toBe(200)
  const kept = await good.json()
  expect(kept.name).not.toContain('/')
  const again = await put(page, whole)
  expect(await again.json()).toMatchObject({ id: kept.id, known: true })
})

test('nobody uploads or looks without signing in', async ({ page }) => {
  expect((await put(page, png(10, 10, 10))).status()).toBe(401)
  expect((await page.request.get('/api/artwork/018f0000-0000-7000-8000-000000000000/picture')).status()).toBe(
    401,
  )
})

test('addresses that lead nowhere say so and show the way on', async ({ page, shop }) => {
  await signIn(page, shop)
  for (const address of [
    '/counter/orders/99999',
    '/counter/orders/-1',
    '/counter/orders/1e9',
    '/counter/orders/%3Cscript%3E',
    '/counter/customers/none',
    '/artdesk/none',
    '/artdesk/018f0000-0000-7000-8000-000000000000',
    '/floor/stations/nowhere',
    '/floor/jobs/99999',
    '/floor/tickets/99999',
    '/stockroom/items/NONE',
    '/stockroom/purchases/99999',
    '/office/orders/99999',
    '/offer/not-a-real-address-of-an-offer',
  ]) {
    const answer = await page.goto(address)
    expect(answer?.status(), address).toBe(404)
    const text = ((await page.locator('main').textContent()) ?? '').trim()
    expect(text.length, address).toBeGreaterThan(20)
    expect(text, address).not.toMatch(/Application error|Internal Server Error/)
    if (!address.startsWith('/offer'))
      expect(await page.locator('main a').count(), address).toBeGreaterThan(0)
  }
})

test('bad days, months and pages in an address are passed over', async ({ page, shop }) => {
  await signIn(page, shop)
  for (const address of [
    '/floor?day=2026-02-31',
    '/floor?day=<b>',
    '/office?month=2026-13',
    '/office?month=x',
    '/counter/orders?page=-4&state=nonsense',
    '/counter/orders?page=99999999999',
    '/counter/find?q=%00%FF',
    '/stockroom/items?kind=nonsense&words=%25',
  ]) {
    const answer = await page.goto(address)
    expect(answer?.status(), address).toBeLessThan(500)
  }
})

test('a bad enquiry names each field, and what was typed stays', async ({ page, shop }) => {
  await signIn(page, shop)
  await page.goto('/counter/new')
  await page.getByRole('button', { name: 'Write the enquiry down' }).click()
  await expect(page.locator('[aria-invalid=true]').first()).toBeVisible()
  await page.getByLabel('Customer').fill('Ann <script>alert(1)</script>')
  await page.getByLabel('Blank', { exact: true }).selectOption({ label: 'Heavy cotton tee' })
  await page.getByLabel('S', { exact: true }).fill('-3')
  await page.getByLabel('M', { exact: true }).fill('99999999')
  await page.getByLabel('Width').fill('wide')
  await page.getByRole('button', { name: 'Write the enquiry down' }).click()
  await expect(page.getByText(/“wide” is not a length/)).toBeVisible()
  await expect(page.getByText(/is not a number of pieces/).first()).toBeVisible()
  await expect(page.getByLabel('Customer')).toHaveValue('Ann <script>alert(1)</script>')
  await expect(page.getByLabel('Width')).toHaveValue('wide')
})

test('of two people who save the same enquiry, the second is told and shown the difference', async ({
  page,
  shop,
  browser,
}) => {
  await signIn(page, shop)
  await page.goto('/counter/new')
  await page.getByLabel('Customer').fill('Both Of Us')
  await page.getByLabel('What it is for').fill('as it was')
  await page.getByLabel('Blank', { exact: true }).selectOption({ label: 'Heavy cotton tee' })
  await page.getByLabel('M', { exact: true }).fill('5')
  await page.getByRole('button', { name: 'Write the enquiry down' }).click()
  await page.waitForURL(/\/counter\/orders\/\d+$/)
  const edit = `${new URL(page.url()).pathname}/edit`

  const other = await (await browser.newContext({ baseURL: shop.url })).newPage()
  await signIn(other, shop)
  await page.goto(edit)
  await other.goto(edit)
  await other.getByLabel('What it is for').fill('by the other')
  await other.getByRole('button', { name: /save/i }).click()
  await other.waitForURL(url => !url.pathname.endsWith('/edit'))

  await page.getByLabel('What it is for').fill('by me')
  await page.getByRole('button', { name: /save/i }).click()
  await expect(page.getByText(/by somebody else while you had it open/)).toBeVisible()
  await expect(page.getByText('by the other').first()).toBeVisible()
  await expect(page.getByLabel('What it is for')).toHaveValue('by me')
  await other.context().close()
})
