import type { Page } from 'playwright/test'
import { expect, expectAccessible, signIn, test } from './support/test'

test.use({ kind: 'demo' })

/** Names of the ways in the order in which the comparison shows them. */
const order = (page: Page) =>
  page.getByRole('table', { name: 'The ways in one look' }).getByRole('rowheader').allTextContents()
const cell = async (page: Page, way: string, at: number) =>
  (await page
    .getByRole('table', { name: 'The ways in one look' })
    .getByRole('row', { name: new RegExp(`^${way}`) })
    .getByRole('cell')
    .nth(at)
    .textContent()) ?? ''
const amount = (text: string) => Number(text.replace(/[^\d.]/g, ''))

test('the owner changes a recipe and a price list: the comparison, the curves and the price follow', async ({
  page,
  shop,
}) => {
  test.setTimeout(300_000)
  await signIn(page, shop)

  // An enquiry that many ways can make.
  await page.goto('/counter/orders?state=enquiry')
  await page
    .getByRole('row', { name: /Helpers’ tees/ })
    .getByRole('rowheader')
    .getByRole('link')
    .click()
  await page.waitForURL(/\/counter\/orders\/\d+$/)
  const methods = `${new URL(page.url()).pathname}/methods`
  await page.goto(`${methods}?sort=cost`)
  await expect(page.getByRole('table', { name: 'The ways in one look' })).toBeVisible()
  const costOfTransfer = amount(await cell(page, 'Heat-applied transfer', 2))
  expect(costOfTransfer).toBeGreaterThan(0)

  // A value of the recipe that is no number is refused where it stands; a good one is kept with how it is known.
  await page.goto('/office/recipes')
  await page.getByRole('link', { name: 'Transfer, bought in, hot peel' }).click()
  const hands = page.locator('[name="steps.press.handlingSeconds"]')
  await hands.fill('soon')
  await page.getByRole('button', { name: /^Save as version/ }).click()
  await expect(page.getByText(/type a number of 0 or more/).first()).toBeVisible()
  await expect(hands).toHaveValue('soon')
  await hands.fill('137')
  await page.getByRole('radio', { name: /Measured here/ }).check()
  await page.getByLabel('With what').fill('stop watch')
  await page.getByRole('button', { name: /^Save as version/ }).click()
  await expect(page.getByText(/stop watch; before: 17/).first()).toBeVisible()
  await expect(page.getByRole('table', { name: /Every version/ }).getByText('17 s → 137 s')).toBeVisible()
  await expectAccessible(page)

  // A price list with a broken row names the row; what was typed stays. Mended, it stands in the comparison.
  await page.goto('/office/printers/new')
  await page.getByLabel('What you call them').fill('Quayside Prints')
  await page.getByLabel('They print by').selectOption('screen')
  await page.getByLabel('Away').fill('3')
  await page.getByLabel('Set-up of each print').fill('10')
  await page.getByLabel('Freight, there and back').fill('8')
  const rows = page.getByLabel('Price of one print on one piece')
  await rows.fill('10 1.20\n50 cheap')
  await page.getByRole('button', { name: 'Save the price list' }).click()
  await expect(page.getByText(/Row 2, “50 cheap”/).first()).toBeVisible()
  await expect(rows).toHaveValue('10 1.20\n50 cheap')
  await expectAccessible(page)
  await rows.fill('10 1.20\n50 0.90')
  await page.getByRole('button', { name: 'Save the price list' }).click()
  await page.waitForURL('**/office/printers')
  await expect(page.getByRole('link', { name: 'Quayside Prints' })).toBeVisible()

  // The comparison follows: two minutes more on a piece cost more, and the cheapest way is another.
  await page.goto(`${methods}?sort=cost`)
  expect(amount(await cell(page, 'Heat-applied transfer', 2))).toBeGreaterThan(costOfTransfer + 0.3)
  expect(await order(page)).toContain('Screen print, Quayside Prints')
  const byCost = await order(page)
  await page.getByRole('link', { name: 'by feel' }).click()
  await expect.poll(() => order(page)).not.toEqual(byCost)
  expect(await cell(page, (await order(page)).at(-1) ?? '', -2)).toMatch(/film|stiff/)
  await page.getByRole('link', { name: 'by date' }).click()
  await expect(page.getByRole('link', { name: 'by date' })).toHaveAttribute('aria-current', 'true')
  await expect(page.getByText(/^Printed by Quayside Prints: back /).first()).toBeVisible({ timeout: 20_000 })
  await expect(page.getByText(/is cheaper from \d+ pieces/).first()).toBeVisible()
  await expect(
    page.getByRole('table', { name: 'Cost of one piece by quantity: the numbers' }).getByRole('row'),
  ).toHaveCount(9)

  // The price: both shares show, a change shows at once, and below cost it asks why.
  await page.goto(`${methods}?method=screen#offer`)
  const offer = page.getByRole('form', { name: 'Make the offer' })
  await expect(offer.getByText('a markup of 81.8 %')).toBeVisible({ timeout: 20_000 })
  await offer.getByRole('textbox', { name: 'Margin, of the price' }).fill('60')
  await expect(offer.getByText('a markup of 150.0 %')).toBeVisible()
  await offer.getByText('markup', { exact: true }).click()
  await expect(offer.getByRole('textbox', { name: 'Markup, on the cost' })).toHaveValue('150')
  await offer.getByRole('textbox', { name: 'Discount' }).fill('90')
  await expect(offer.getByText('below cost', { exact: true })).toBeVisible()
  await offer.getByRole('button', { name: 'Make the offer' }).click()
  await expect(offer.getByText(/below what the order costs/).first()).toBeVisible()
  await expect(offer.getByRole('textbox', { name: 'Discount' })).toHaveValue('90')
  await expectAccessible(page)
})

test('should we buy it? works from what is typed, and says what it cannot read', async ({ page, shop }) => {
  test.setTimeout(120_000)
  await signIn(page, shop)
  await page.goto('/office/buying')
  const form = page.getByRole('form', { name: 'The machine and its work' })
  await form.getByLabel('Its price').fill('4500')
  await form.getByText('at once, worn off').click()
  await form.getByLabel('Paid or used over').fill('36')
  await form.getByLabel('Upkeep a month').fill('0')
  await form.getByLabel('Draws').fill('0')
  await form.getByLabel('One piece made here').fill('5')
  await form.getByLabel('One piece sent out').fill('10')
  await form.getByLabel('Pieces a month').fill('40')
  await form.getByRole('button', { name: 'Weigh it' }).click()
  // A textbook exercise: 4,500 over three years is 125 a month; 5 saved on each make 25 shirts.
  await expect(page.getByText('Buying is cheaper from 25 pieces a month.')).toBeVisible()
  await expect(page.getByRole('heading', { name: 'At these pieces it pays.' })).toBeVisible()
  await expectAccessible(page)
  await form.getByLabel('Paid or used over').fill('many')
  await form.getByRole('button', { name: 'Weigh it' }).click()
  await expect(page.getByText('The time is a number from 1 to 480, not “many”.').first()).toBeVisible()
  await expect(form.getByLabel('Its price')).toHaveValue('4500')
})
