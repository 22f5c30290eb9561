import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import sharp from 'sharp'
import { expect, signIn, test } from './support/test'

test.use({ kind: 'demo', viewport: { width: 1180, height: 760 } })

/** Every picture of the user's guide: its file, and the page that it shows. */
const pictures = [
  ...readFileSync('docs/guide.md', 'utf8').matchAll(/!\[[^\]]+\]\((pictures\/[\w-]+\.webp) "([^"]+)"\)/g),
].map(([, file = '', address = '']) => ({ file, address }))

test('the pages that the guide shows are there; npm run pictures takes their pictures anew', async ({
  page,
  shop,
}, info) => {
  expect(pictures.length).toBeGreaterThan(6)
  await signIn(page, shop)
  for (const { file, address } of pictures) {
    const answer = await page.goto(address)
    expect(answer?.status(), address).toBe(200)
    await expect(page.locator('h1').first(), address).toBeVisible()
    if (info.config.updateSnapshots !== 'all') continue
    await page.waitForLoadState('load')
    const taken = await page.screenshot({ animations: 'disabled', caret: 'hide' })
    await sharp(taken).webp({ quality: 62 }).toFile(join('docs', file))
  }
})
