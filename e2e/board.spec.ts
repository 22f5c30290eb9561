import type { Locator, Page } from 'playwright/test'
import { expect, expectAccessible, signIn, test } from './support/test'

test.use({ kind: 'demo' })
test.describe.configure({ mode: 'serial' })

/** A run that can be moved, with most of its day still ahead of it. */
async function movable(page: Page, which = 0): Promise<{ id: string; run: Locator }> {
  // The runs come after the page.
  await page.locator('[data-board][data-ready]').waitFor({ state: 'attached' })
  let id = ''
  await expect(async () => {
    const ids = await page.locator('[data-run][data-can]').evaluateAll(runs =>
      (runs as HTMLElement[])
        // What was moved by hand stays pinned.
        .filter(
          r => r.getBoundingClientRect().width > 20 && !/pinned/.test(r.getAttribute('aria-label') ?? ''),
        )
        .sort((a, b) => Number(a.dataset.start) - Number(b.dataset.start))
        .map(r => r.dataset.run ?? ''),
    )
    expect(ids.length, 'runs that can be moved').toBeGreaterThan(which)
    id = ids[which] ?? ''
  }).toPass({ timeout: 20_000 })
  return { id, run: page.locator(`[data-run="${id}"]`) }
}
const startOf = async (page: Page, id: string) =>
  Number(await page.locator(`[data-run="${id}"]`).getAttribute('data-start'))
/** What is touched on the floor and is less than 44 px tall (WCAG 2.2, 2.5.5), links in a line of text and what is named by its label aside. */
const smallTargets = (page: Page) =>
  page.evaluate(() =>
    [
      ...document.querySelectorAll<HTMLElement>(
        'main :is(a[href], button, input, select, textarea, summary)',
      ),
    ].flatMap(touched => {
      const on = touched.closest('label') ?? touched
      const { width, height } = on.getBoundingClientRect()
      const inText = getComputedStyle(touched).display === 'inline'
      if (!on.checkVisibility() || width < 2 || inText || height > 43.5) return []
      return [`${Math.round(height)} px tall: ${touched.outerHTML.slice(0, 120)}`]
    }),
  )
const dialog = (page: Page) => page.getByRole('dialog', { name: 'What this would mean' })

test('a run is moved by mouse and by keyboard, with two browsers open; the consequences come first', async ({
  page: one,
  shop,
  browser,
}) => {
  const two = await (await browser.newContext({ viewport: { width: 1280, height: 900 } })).newPage()
  await signIn(one, shop)
  await one.goto('/floor')
  await two.goto(`${shop.url}/sign-in`)
  await two
    .getByRole('button', { name: /, counter$/ })
    .first()
    .click()
  await two.waitForURL(url => url.pathname !== '/sign-in')
  await two.goto(`${shop.url}/floor`)
  await expect(two.locator('[data-run]').first()).toBeVisible()

  // By mouse: half an hour to the right. Dropped, nothing has changed; taken, the other browser shows it by itself.
  const { id, run } = await movable(one)
  const before = await startOf(one, id)
  const drag = async () => {
    await run.hover({ position: { x: 8, y: 20 } })
    const box = await run.boundingBox()
    if (!box) throw new Error('The run is not drawn.')
    await one.mouse.down()
    await one.mouse.move(box.x + 30, box.y + 22, { steps: 3 })
    await one.mouse.move(box.x + 58, box.y + 22, { steps: 3 })
    await one.mouse.up()
  }
  await drag()
  await expect(dialog(one).getByRole('button', { name: 'Take it' })).toBeVisible()
  await expect(
    dialog(one)
      .getByText(/becomes|No order becomes late|finds no place/)
      .first(),
  ).toBeVisible()
  await expectAccessible(one)
  await dialog(one).getByRole('button', { name: 'Drop it' }).click()
  await expect(dialog(one)).toBeHidden()
  expect(await startOf(two, id)).toBe(before)
  await drag()
  await dialog(one).getByRole('button', { name: 'Take it' }).click()
  await expect(one.getByRole('status').filter({ hasText: 'Moved “' })).toBeVisible()
  await expect.poll(() => startOf(two, id)).toBeGreaterThan(before)
  const moved = await startOf(two, id)
  await expect.poll(() => startOf(one, id)).toBe(moved)
  await expect(two.locator(`[data-run="${id}"]`)).toHaveAttribute('aria-label', /pinned/)

  // By keyboard, in the other browser: taken, told aloud, put back, taken again.
  const next = await movable(two, 1)
  const stood = await startOf(two, next.id)
  await next.run.focus()
  await two.keyboard.press('Space')
  const aloud = two.locator('[data-board] [aria-live="assertive"]')
  await expect(aloud).toContainText('taken. ')
  await two.keyboard.press('ArrowRight')
  await expect(aloud).toContainText(/\d\d:\d\d to \d\d:\d\d/)
  await two.keyboard.press('Escape')
  await expect(aloud).toHaveText('Put back where it was.')
  expect(await startOf(two, next.id)).toBe(stood)
  await two.keyboard.press('Space')
  for (let i = 0; i < 4; i++) await two.keyboard.press('ArrowRight')
  await two.keyboard.press('Enter')
  await expect(dialog(two).getByRole('button', { name: 'Take it' })).toBeFocused()
  await two.keyboard.press('Enter')
  await expect.poll(() => startOf(one, next.id)).not.toBe(stood)

  // Undo, on the other screen: the newest change is named and taken back.
  await one.getByRole('button', { name: /^Undo: moved/ }).click()
  await expect(one.getByRole('status').filter({ hasText: 'Taken back: moved' })).toBeVisible()
  await expect.poll(() => startOf(two, next.id)).toBe(stood)
  await two.context().close()
})

test('a run is moved by touch: it is held and drawn along; a finger that moves at once only scrolls', async ({
  shop,
  browser,
}) => {
  const context = await browser.newContext({
    baseURL: shop.url,
    viewport: { width: 820, height: 1180 },
    hasTouch: true,
  })
  const page = await context.newPage()
  await signIn(page, shop)
  await page.goto('/floor')
  await expect(page.locator('[data-board][data-ready]')).toBeVisible()
  const { id, run } = await movable(page)
  await run.scrollIntoViewIfNeeded()
  const box = await run.boundingBox()
  if (!box) throw new Error('The run is not drawn.')
  const cdp = await context.newCDPSession(page)
  const finger = (type: 'touchStart' | 'touchMove' | 'touchEnd', x = 0) =>
    cdp.send('Input.dispatchTouchEvent', {
      type,
      touchPoints: type === 'touchEnd' ? [] : [{ x: box.x + 8 + x, y: box.y + box.height / 2 }],
    })
  const held = page.locator('[data-run][data-held]')

  await finger('touchStart')
  for (const x of [15, 30, 45, 60]) await finger('touchMove', x)
  await finger('touchEnd')
  await expect(held).toHaveCount(0)
  await expect(dialog(page)).toBeHidden()

  const before = await startOf(page, id)
  const now = await run.boundingBox()
  if (now) box.x = now.x
  await finger('touchStart')
  await expect(held).toHaveAttribute('data-run', id)
  for (const x of [15, 30, 45, 60]) await finger('touchMove', x)
  await finger('touchEnd')
  await expect(dialog(page).getByRole('button', { name: 'Take it' })).toBeVisible()
  await dialog(page).getByRole('button', { name: 'Drop it' }).tap()
  await expect(dialog(page)).toBeHidden()
  expect(await startOf(page, id)).toBe(before)

  expect(await smallTargets(page), 'on the board').toEqual([])
  for (const path of ['/floor/stations/press-a', '/floor/learned']) {
    await page.goto(path)
    expect(await smallTargets(page), path).toEqual([])
  }
  await context.close()
})

test('a run tells why it starts when it does and how sure it is; it is pinned, let go and looked for', async ({
  page,
  shop,
}) => {
  await signIn(page, shop)
  await page.goto('/floor')
  const { id, run } = await movable(page, 2)
  const number = (await run.getAttribute('href'))?.match(/jobs\/(\d+)/)?.[1] ?? ''
  await run.click()
  const sheet = page.getByRole('dialog', { name: new RegExp(`^${number} `) })
  await expect(sheet.getByRole('listitem').first()).toContainText(
    /wait|busy|until|begin|closed|stays|pinned|holds back|there/i,
  )
  await expectAccessible(page)
  await sheet.getByRole('button', { name: 'Pin it here' }).click()
  await dialog(page).getByRole('button', { name: 'Take it' }).click()
  await expect(page.locator(`[data-run="${id}"]`)).toHaveAttribute('aria-label', /pinned/)
  await page.getByRole('button', { name: /^Undo: pinned/ }).click()
  await expect(page.locator(`[data-run="${id}"]`)).not.toHaveAttribute('aria-label', /pinned/)

  await page.getByRole('searchbox', { name: 'Order, customer or work' }).fill(number)
  await page.getByRole('button', { name: 'Show', exact: true }).click()
  await expect(page.getByText(new RegExp(`runs? here match “${number}”`))).toBeVisible()
  // The form has loaded the page anew: its buttons work once the board does.
  await page.locator('[data-board][data-ready]').waitFor({ state: 'attached' })

  // A station out for repair: a wrong span is told beside the field; the right one shows what it means, and is dropped.
  await page.getByRole('button', { name: 'Station out …' }).click()
  const out = page.getByRole('dialog', { name: 'Take a station out' })
  await out.getByLabel('Back, time').fill('00:01')
  await out.getByRole('button', { name: 'See what it means' }).click()
  await expect(out.getByRole('alert')).toContainText('before it goes out')
  await out.getByRole('button', { name: 'Close' }).click()
})

test('the wall needs no hand, and says so when there is no line', async ({ page, shop }) => {
  await signIn(page, shop)
  await page.setViewportSize({ width: 1920, height: 1080 })
  await page.goto('/wall')
  // Which page is up goes by the clock: turned by hand to what the stations do.
  const heading = page.getByRole('heading', { level: 1 })
  await expect(async () => {
    if (!/Now and next|Next:/.test((await heading.textContent()) ?? ''))
      await page.keyboard.press('ArrowRight')
    await expect(heading).toContainText(/Now and next|Next:/, { timeout: 500 })
  }).toPass({ timeout: 20_000 })
  // Capitals of 23 mm at 5 m, on a screen of 43 inches (952 mm wide): 16 minutes of arc, the least of ISO 9241-303.
  const size = await page
    .getByRole('list')
    .first()
    .evaluate(list => Number.parseFloat(getComputedStyle(list).fontSize))
  expect(size * 0.7 * (952 / 1920)).toBeGreaterThan(23)
  const turn = () => page.locator('header p').textContent()
  const first = await turn()
  await page.keyboard.press('ArrowRight')
  await expect.poll(turn).not.toBe(first)
  await page.context().setOffline(true)
  await expect(page.getByText('No line to the shop’s server')).toBeVisible()
  await page.context().setOffline(false)
  await expect(page.getByText('No line to the shop’s server')).toBeHidden()
})
