import { join } from 'node:path'
import Database from 'better-sqlite3'
import { type Inbox, openInbox } from '../tests/support/inbox'
import { expect, expectAccessible, signIn, test } from './support/test'

test.use({ kind: 'demo' })
test.describe.configure({ mode: 'serial' })

/** Number and address of an offer that waits for its customer, with all its artwork cleared. */
function waiting(data: string): { number: number; token: string } {
  const db = new Database(join(data, 'demo.db'), { readonly: true })
  const row = db
    .prepare(
      `SELECT o.number, f.token FROM Offer f JOIN "Order" o ON o.id = f.orderId
       WHERE o.state = 'offered' AND f.endedAt IS NULL AND f.validUntil > ? ORDER BY o.number`,
    )
    .get(new Date().toISOString()) as { number: number; token: string }
  db.close()
  return row
}

test('an offer goes out by the shop’s mail server, is kept when that is away, and two browsers cannot both agree', async ({
  page,
  shop,
  browser,
}) => {
  const inbox: Inbox = await openInbox({ user: 'shop', password: 'sea' })
  await signIn(page, shop)
  const { number, token } = waiting(shop.data)

  await page.goto('/office/shop')
  await expectAccessible(page)
  const server = page.getByRole('form', { name: 'Mail server' })
  await server.getByRole('textbox', { name: 'Server' }).fill('127.0.0.1')
  await server.getByRole('textbox', { name: 'Port' }).fill('1')
  await server.getByText('not at all').click()
  await server.getByLabel('User name').fill('shop')
  await server.getByLabel('Password').fill('sea')
  await server.getByLabel('Mails come from').fill('shop@tidewater.example')
  await server.getByRole('button', { name: 'Save the mail server' }).click()
  await expect(server.getByText('Saved.')).toBeVisible()

  // Away: a sentence, and what was typed stays.
  await page.goto(`/counter/orders/${number}/offer`)
  const mail = page.getByRole('form', { name: 'Send the offer by mail' })
  await mail.getByLabel('To', { exact: true }).fill('marta@choir.example')
  await mail.getByLabel('Text').fill('Hello Marta, typed with care.')
  await mail.getByRole('button', { name: 'Send it, with the PDF' }).click()
  await expect(mail.getByText(/127\.0\.0\.1, port 1, cannot be reached now/)).toBeVisible({ timeout: 20_000 })
  await expect(mail.getByLabel('Text')).toHaveValue('Hello Marta, typed with care.')
  await expect(page.getByRole('table', { name: 'Every mail with this offer' })).toContainText('not sent')

  const other = await page.context().newPage()
  await other.goto('/office/shop')
  await other.getByRole('textbox', { name: 'Port' }).fill(String(inbox.port))
  await other.getByRole('button', { name: 'Save the mail server' }).click()
  await expect(other.getByText('Saved.')).toBeVisible()
  await other.close()

  await mail.getByRole('button', { name: 'Send it, with the PDF' }).click()
  await expect(mail.getByText('Sent to marta@choir.example, with the PDF.')).toBeVisible({ timeout: 20_000 })
  expect(inbox.mails).toHaveLength(1)
  expect(inbox.mails[0]).toMatchObject({ to: ['marta@choir.example'], from: 'shop@tidewater.example' })
  expect(inbox.mails[0]?.text).toContain('typed with care')
  expect(inbox.mails[0]?.attachment?.subarray(0, 5).toString()).toBe('%PDF-')
  await inbox.close()

  // Two browsers with the same page open, both agree: one has it, the other is told who.
  const customers = await Promise.all([1, 2].map(async () => (await browser.newContext()).newPage()))
  for (const one of customers) await one.goto(`${shop.url}/offer/${token}`)
  await expectAccessible(customers[0] as (typeof customers)[0])
  await Promise.all(
    customers.map(async (one, i) => {
      const form = one.getByRole('form', { name: 'Agree to the offer' })
      await form.getByLabel('Your name').fill(i === 0 ? 'Marta Lopes' : 'Rui Lopes')
      const declares = form.getByRole('checkbox')
      if (await declares.count()) await declares.check()
      await form.getByRole('button', { name: /^Agree to/ }).click()
    }),
  )
  for (const one of customers)
    await expect(one.getByText(/Agreed|already agreed by/).first()).toBeVisible({ timeout: 20_000 })
  const db = new Database(join(shop.data, 'demo.db'), { readonly: true })
  const agreed = db
    .prepare(`SELECT count(*) AS n FROM History WHERE what LIKE '%agreed to offer ${number}-%'`)
    .get() as { n: number }
  db.close()
  expect(agreed.n).toBe(1)
  await Promise.all(customers.map(one => one.close()))
})

test('a program sends an order in with a key that was made on the page, and a key that has ended opens nothing', async ({
  page,
  shop,
  request,
}) => {
  await signIn(page, shop)
  await page.goto('/office/programs')
  await expectAccessible(page)
  await page.getByLabel('Which program it is for').fill('Web shop')
  await page.getByText('read the blanks that can be ordered').click()
  await page.getByRole('button', { name: 'Make a key' }).click()
  const key = await page.getByLabel('The new key').inputValue()
  expect(key).toMatch(/^shirt_[\w-]{43}$/)
  const authorization = `Bearer ${key}`

  const { styles } = await (
    await request.get(`${shop.url}/api/catalogue`, { headers: { authorization } })
  ).json()
  const style = styles.find((s: { kind: string }) => s.kind === 'tee')
  const colour = style.colours[0]
  const send = (title: string) =>
    request.post(`${shop.url}/api/orders`, {
      headers: { authorization, 'idempotency-key': 'walk-0001-0001' },
      data: {
        customer: { name: 'Rowing club', email: 'rowers@club.example' },
        title,
        lines: [{ style: style.code, colour: colour.name, sizes: { [colour.sizes[0]]: 6 } }],
      },
    })
  const answers = await Promise.all([1, 2, 3].map(() => send('Regatta')))
  const numbers = await Promise.all(answers.map(async a => (await a.json()).number))
  expect(new Set(numbers).size).toBe(1)
  expect((await send('Another')).status()).toBe(422)
  await page.goto(`/counter/orders/${numbers[0]}`)
  await expect(page.getByText('Rowing club').first()).toBeVisible()

  await page.goto('/office/programs')
  await page.getByRole('button', { name: 'End the key Web shop', exact: true }).click()
  await expect(page.getByText(/^ended/)).toBeVisible()
  expect((await send('Regatta')).status()).toBe(401)

  await page.context().clearCookies()
  await page.goto('/programs')
  await expect(page.getByRole('heading', { level: 1 })).toContainText('Orders for')
  await expectAccessible(page)
})

test('customers come in from a file: looked at first, errors by row, the same file again changes nothing', async ({
  page,
  shop,
}) => {
  await signIn(page, shop)
  await page.goto('/counter/customers/import')
  const file = {
    name: 'customers.csv',
    mimeType: 'text/csv',
    buffer: Buffer.from(
      'Company;E-mail;Tel\nHill Runners;hill@runners.example;555 0101\nBad Row;not an address;1\n',
    ),
  }
  await page.getByLabel(/A CSV file/).setInputFiles(file)
  await expect(page.getByRole('table', { name: 'Rows with an error' })).toContainText('not an e-mail address')
  await expectAccessible(page)
  await page.getByRole('button', { name: 'Take 1 row of customers in, leave 1 out' }).click()
  await expect(
    page.getByText('Taken in: customers, 1 new, 0 changed, 0 as they were, 1 left out.'),
  ).toBeVisible()
  await page.goto('/counter/customers/import')
  await page.getByLabel(/A CSV file/).setInputFiles(file)
  await expect(page.getByText('The file would change nothing.')).toBeVisible()
})
