import { networkInterfaces } from 'node:os'
import { expect, expectAccessible, signIn, test } from './support/test'

test.use({ kind: 'demo' })

test('the demo signs in with one press, as anybody of the shop', async ({ page, shop }) => {
  await page.goto('/')
  await expectAccessible(page)
  for (const role of ['owner', 'counter', 'press'] as const) {
    await page.context().clearCookies()
    await signIn(page, shop, role)
    await expect(page.getByText('Demo shop.')).toBeVisible()
  }
})

test('the demo answers to this computer alone', async ({ shop }) => {
  const port = new URL(shop.url).port
  const others = Object.values(networkInterfaces())
    .flat()
    .flatMap(one => (one && one.family === 'IPv4' && !one.internal ? [one.address] : []))
  for (const address of others)
    await expect(
      fetch(`http://${address}:${port}/api/health`, { signal: AbortSignal.timeout(2000) }),
    ).rejects.toThrow()
})

test('the owner alone opens the office', async ({ page, shop }) => {
  await signIn(page, shop, 'press')
  await page.goto('/office')
  await expect(page.getByText('which the press role does not have')).toBeVisible()
})
