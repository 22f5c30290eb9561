import { readFileSync } from 'node:fs'
import { expect, expectAccessible, signIn, test } from './support/test'

test.use({ kind: 'demo' })

test('an order is invoiced, credited and repeated; the office shows it, and the journal balances', async ({
  page,
  shop,
}) => {
  await signIn(page, shop, 'owner')
  await page.goto('/office/money')
  await expectAccessible(page)
  await page
    .getByRole('row')
    .getByRole('link', { name: /^Invoice/ })
    .first()
    .click()

  // A part of an invoice is credited: what was typed stays where the reason is missing.
  await expect(page.getByRole('heading', { level: 1, name: /^Invoice/ })).toBeVisible()
  await expectAccessible(page)
  await page.getByText('The price is lowered, or the invoice was wrong').click()
  await page.getByLabel('Amount, tax included').fill('1.00')
  await page.getByRole('button', { name: 'Write the credit note' }).click()
  await expect(page.getByText('Say why in a few words')).toBeVisible()
  await expect(page.getByLabel('Amount, tax included')).toHaveValue('1.00')
  await page.getByLabel('Why?').fill('one shirt had a loose thread')
  await page.getByRole('button', { name: 'Write the credit note' }).click()
  await expect(page.getByRole('heading', { level: 1, name: 'Credit note C1' })).toBeVisible()
  const pdf = await page.request.get(`${page.url()}/pdf`)
  expect(pdf.headers()['content-type']).toBe('application/pdf')
  expect((await pdf.body()).subarray(0, 5).toString()).toBe('%PDF-')

  // The journal has it, balances, and downloads.
  await page.goto('/office/journal')
  await expectAccessible(page)
  await expect(page.getByText(/^off by/)).toHaveCount(0)
  const download = page.waitForEvent('download')
  await page.getByRole('link', { name: 'Download as CSV' }).click()
  const csv = readFileSync(await (await download).path(), 'utf8')
  const cents = (cell: string | undefined) => Math.round(Number(cell || 0) * 100)
  const rows = csv.split('\r\n').filter(line => line.includes('Credit note C1'))
  const sums = rows.map(line => line.split(',')).map(c => cents(c.at(-4)) - cents(c.at(-3)))
  expect(rows.length).toBeGreaterThan(1)
  expect(sums.reduce((a, b) => a + b, 0)).toBe(0)

  // The same again at today's prices.
  await page.goto('/counter/orders/1017')
  await page.getByRole('button', { name: 'Repeat it at today’s prices' }).click()
  await page.waitForURL(/\/counter\/orders\/(?!1017)\d+\/methods/)
  await expect(page.getByRole('heading', { level: 1, name: 'Methods side by side' })).toBeVisible()
})

test('the other faces of a month, the machines and a search are whole and accessible', async ({
  page,
  shop,
}) => {
  await signIn(page, shop, 'owner')
  for (const path of [
    '/office/planned',
    '/office/shares',
    '/office/faults',
    '/office/machines',
    '/office/invoicing',
  ]) {
    await page.goto(path)
    await expect(page.getByRole('heading', { level: 1 })).toBeVisible()
    await expectAccessible(page)
  }
  await page.goto('/counter')
  await page.getByRole('searchbox').first().fill('an')
  await page.keyboard.press('Enter')
  await page.waitForURL(/\/counter\/find\?/)
  await expect(page.getByRole('heading', { level: 2, name: 'Customers' })).toBeVisible()
  await expectAccessible(page)
})
