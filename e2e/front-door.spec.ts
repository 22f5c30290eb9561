import { OWNER } from './support/shop'
import { expect, expectAccessible, signIn, test } from './support/test'

test('nobody gets further than the door without signing in', async ({ page }) => {
  for (const address of ['/', '/counter', '/office?month=2026-01']) {
    await page.goto(address)
    expect(new URL(page.url()).pathname).toBe('/sign-in')
    expect(new URL(page.url()).searchParams.get('to')).toBe(address)
  }
  await expectAccessible(page)
})

test('a wrong password keeps the name and says what to do', async ({ page }) => {
  await page.goto('/sign-in')
  await page.getByLabel('Your name').fill(OWNER.name)
  await page.getByLabel('Password').fill('not this one')
  await page.getByRole('button', { name: 'Sign in' }).click()
  await expect(page.getByText('Name and password do not fit together: type them again.')).toBeVisible()
  await expect(page.getByLabel('Your name')).toHaveValue(OWNER.name)
})

test('after signing in one is where one wanted to go, and never elsewhere', async ({ page, shop }) => {
  await page.goto('/sign-in?to=//elsewhere.example')
  await page.getByLabel('Your name').fill(OWNER.name.toUpperCase())
  await page.getByLabel('Password').fill(OWNER.password)
  await page.getByRole('button', { name: 'Sign in' }).click()
  await page.waitForURL(url => url.pathname !== '/sign-in')
  expect(new URL(page.url()).origin).toBe(shop.url)
})

test('a shop that is set up cannot be set up again', async ({ page, shop }) => {
  await signIn(page, shop)
  await page.goto('/welcome')
  expect(new URL(page.url()).pathname).not.toBe('/welcome')
})

test('every answer carries the headers that keep browsers from guessing and framing', async ({ request }) => {
  for (const address of ['/sign-in', '/api/health', '/no-such-page']) {
    const headers = (await request.get(address)).headers()
    expect(headers['x-content-type-options']).toBe('nosniff')
    expect(headers['content-security-policy']).toContain("frame-ancestors 'none'")
    expect(headers['x-powered-by']).toBeUndefined()
    expect(headers['content-type']).toMatch(/^(text\/html; charset=utf-8|application\/json)$/)
  }
})

test('a page runs only the scripts that its own answer marked', async ({ context, request }) => {
  // A page of its own: the browser writes each refusal on the console, which elsewhere fails a test.
  const page = await context.newPage()
  const first = (await request.get('/sign-in')).headers()['content-security-policy'] ?? ''
  const second = (await request.get('/sign-in')).headers()['content-security-policy'] ?? ''
  const scripts = /script-src [^;]+/.exec(first)?.[0] ?? ''
  expect(scripts).toMatch(/'nonce-[\w+/=]{20,}'/)
  expect(scripts).not.toMatch(/unsafe-inline|unsafe-eval|\*/)
  expect(second, 'the number is used once').not.toBe(first)
  // The page works, which it can only with its marked scripts …
  await page.goto('/sign-in')
  await page.getByLabel('Your name').fill('Somebody')
  // … and one that slipped in does not run, as an element or as a handler.
  const ran = await page.evaluate(async () => {
    const marked = window as unknown as { slipped?: number }
    const holder = document.createElement('div')
    holder.innerHTML = '<img src="data:," onerror="window.slipped = 1">'
    document.body.append(holder)
    await new Promise(done => setTimeout(done, 200))
    return marked.slipped ?? 0
  })
  expect(ran).toBe(0)
})

test('answers that are no pages may load and run nothing', async ({ request }) => {
  const policy = (await request.get('/api/health')).headers()['content-security-policy'] ?? ''
  expect(policy).toContain("default-src 'none'")
  expect(policy).toContain('sandbox')
  expect(policy).not.toContain('script-src')
})
