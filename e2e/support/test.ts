import AxeBuilder from '@axe-core/playwright'
import { test as base, expect, type Page } from 'playwright/test'
import { OWNER, type RunningShop, type ShopKind, startShop } from './shop'

/**
 * Tests of the shop in a browser. `test.use({ kind: 'demo' })` at the top of a file chooses the shop; all tests of a
 * worker with that kind share one server. A page that logs an error fails its test.
 */
export const test = base.extend<{ quiet: undefined }, { kind: ShopKind; shop: RunningShop }>({
  kind: ['own', { option: true, scope: 'worker' }],
  shop: [
    async ({ kind }, use) => {
      const shop = await startShop(kind)
      await use(shop)
      await shop.stop()
    },
    { scope: 'worker', timeout: 240_000 },
  ],
  baseURL: async ({ shop }, use) => use(shop.url),
  quiet: [
    async ({ page }, use) => {
      const errors: string[] = []
      page.on('pageerror', error => errors.push(error.message))
      page.on('console', message => {
        // What the network says is up to the test: a refusal is a proper answer.
        if (message.type() === 'error' && !/Failed to load resource/.test(message.text()))
          errors.push(message.text())
      })
      await use(undefined)
      expect(errors, 'errors in the browser').toEqual([])
    },
    { auto: true },
  ],
})

export { expect }

/** Signs in: as the owner of the empty shop, or in the demo as the first person with a role. */
export async function signIn(page: Page, shop: RunningShop, role: 'owner' | 'counter' | 'press' = 'owner') {
  await page.goto('/sign-in')
  if (shop.kind === 'demo')
    await page
      .getByRole('button', { name: new RegExp(`, ${role}$`) })
      .first()
      .click()
  else {
    await page.getByLabel('Your name').fill(OWNER.name)
    await page.getByLabel('Password').fill(OWNER.password)
    await page.getByRole('button', { name: 'Sign in' }).click()
  }
  await page.waitForURL(url => url.pathname !== '/sign-in')
}

/** What axe finds on the page as it stands, a sentence each; with `rules`, by those alone. */
export async function axeFinds(page: Page, rules?: string[]): Promise<string[]> {
  // No page has a frame from elsewhere: the plain way looks at the same nodes in half the time, without a second page.
  const axe = new AxeBuilder({ page }).setLegacyMode(true)
  const { violations } = await (rules ? axe.withRules(rules) : axe).analyze()
  return violations.map(one => `${one.id}: ${one.help} at ${one.nodes.map(node => node.target).join(' | ')}`)
}

/** axe finds nothing on the page as it stands; with `rules`, by those alone. */
export async function expectAccessible(page: Page, rules?: string[]) {
  expect(await axeFinds(page, rules), `axe at ${page.url()}`).toEqual([])
}
