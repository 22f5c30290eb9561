import { readdirSync } from 'node:fs'
import { expect, expectAccessible, test } from './support/test'

test.use({ kind: 'none' })

test('without a shop every address leads to the welcome page', async ({ page }) => {
  for (const address of ['/', '/counter/orders', '/sign-in']) {
    await page.goto(address)
    expect(new URL(page.url()).pathname).toBe('/welcome')
  }
  await expectAccessible(page)
})

test('the owner sets up a shop, signs in, and finds nothing half made', async ({ page, shop }) => {
  await page.goto('/welcome')
  await page.getByRole('button', { name: 'Open my shop' }).click()
  await expect(page.getByText('Type what the shop is called.')).toBeVisible()
  await expect(page.getByText('A password has at least 12 characters.')).toBeVisible()

  await page.getByLabel('Name of the shop').fill('Ink & <b>Oak</b>')
  await page.getByLabel('Currency').selectOption('GBP')
  await page.getByLabel('Time zone').selectOption('Europe/London')
  await page.getByLabel('Inches and °F').check()
  await page.getByLabel('Your name').fill('Ola Brandt')
  await page.getByLabel('Password', { exact: true }).fill('a very plain word')
  await page.getByLabel('Password once more').fill('another plain word')
  await page.getByRole('button', { name: 'Open my shop' }).click()
  await expect(page.getByText('The two passwords differ: type the same one twice.')).toBeVisible()
  await expect(page.getByLabel('Name of the shop')).toHaveValue('Ink & <b>Oak</b>')
  await expect(page.getByLabel('Currency')).toHaveValue('GBP')
  await expect(page.getByLabel('Inches and °F')).toBeChecked()

  await page.getByLabel('Password once more').fill('a very plain word')
  await page.getByRole('button', { name: 'Open my shop' }).click()
  await page.waitForURL('**/sign-in', { timeout: 40_000 })
  await page.getByLabel('Your name').fill('ola brandt')
  await page.getByLabel('Password').fill('a very plain word')
  await page.getByRole('button', { name: 'Sign in' }).click()
  await page.waitForURL(url => url.pathname !== '/sign-in')
  expect(readdirSync(shop.data).filter(name => name.includes('.new'))).toEqual([])
})
