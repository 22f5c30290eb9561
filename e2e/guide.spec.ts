import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import type { Page } from 'playwright/test'
import sharp from 'sharp'
import { expect, signIn, test } from './support/test'

test.use({ kind: 'demo', viewport: { width: 1180, height: 760 } })

/** Every picture of the user's guide: its file, and the page that it shows. */
const pictures = [
  ...readFileSync('docs/guide.md', 'utf8').matchAll(/!\[[^\]]+\]\((pictures\/[\w-]+\.webp) "([^"]+)"\)/g),
].map(([, file = '', address = '']) => ({ file, address }))

/** What has no address of its own in the guide: the first of a list, and what its link begins with. */
const FIRST: Record<string, [list: string, link: string]> = {
  '{enquiry}': ['/counter/orders?state=enquiry', '/counter/orders/1'],
  '{artwork}': ['/artdesk', '/artdesk/0'],
}

async function addressOf(page: Page, named: string): Promise<string> {
  const [first = ''] = named.match(/^\{\w+\}/) ?? []
  const found = FIRST[first]
  if (!found) return named
  await page.goto(found[0])
  const href = await page.locator(`main a[href^="${found[1]}"]`).first().getAttribute('href')
  return named.replace(first, href ?? '')
}

test('the pages that the guide shows are there; npm run pictures takes their pictures anew', async ({
  page,
  shop,
}, info) => {
  expect(pictures.length).toBeGreaterThan(6)
  await signIn(page, shop)
  for (const { file, address: named } of pictures) {
    const address = await addressOf(page, named)
    const answer = await page.goto(address)
    expect(answer?.status(), address).toBe(200)
    await expect(page.locator('h1').first(), address).toBeVisible()
    if (info.config.updateSnapshots !== 'all') continue
    // Drawings ask for their pictures late; a page that listens for changes is never idle.
    await page.waitForLoadState('networkidle', { timeout: 5_000 }).catch(() => {})
    const taken = await page.screenshot({ animations: 'disabled', caret: 'hide' })
    await sharp(taken).webp({ quality: 62 }).toFile(join('docs', file))
  }
})
