import { createHmac } from 'node:crypto'
import { expect, expectAccessible, signIn, test } from './support/test'

test.describe.configure({ mode: 'serial' })

/** The bytes of a base32 text (RFC 4648). */
function fromBase32(text: string): Buffer {
  const bits = [...text.replace(/=+$/, '')]
    .map(c => 'ABCDEFGHIJKLMNOPQRSTUVWXYZ234567'.indexOf(c).toString(2).padStart(5, '0'))
    .join('')
  return Buffer.from((bits.match(/.{8}/g) ?? []).map(b => Number.parseInt(b, 2)))
}

/** A time-based code, written from RFC 6238 and RFC 4226, sharing nothing with the shop's own. */
function code(secret: Buffer, seconds: number, digits = 6): string {
  const step = Buffer.alloc(8)
  step.writeBigUInt64BE(BigInt(Math.floor(seconds / 30)))
  const mac = createHmac('sha1', secret).update(step).digest()
  const at = (mac.at(-1) ?? 0) & 15
  return String((mac.readUInt32BE(at) & 0x7fffffff) % 10 ** digits).padStart(digits, '0')
}

test('the codes of this test are those of RFC 6238, appendix B', () => {
  const secret = Buffer.from('12345678901234567890')
  expect(code(secret, 59, 8)).toBe('94287082')
  expect(code(secret, 1111111109, 8)).toBe('07081804')
  expect(code(secret, 20000000000, 8)).toBe('65353130')
})

test('people are let in, given a second factor, a PIN at a shared tablet, and signed out', async ({
  page,
  shop,
  browser,
}) => {
  await signIn(page, shop)

  // Somebody new, who signs in at once.
  await page.goto('/office/sign-ins/new')
  await page.getByLabel('Name', { exact: true }).fill('Ilse Brandt')
  await page.getByLabel('First password').fill('short')
  await page.getByRole('button', { name: 'Let in' }).click()
  await expect(page.getByText('A password has at least 12 characters.')).toBeVisible()
  await page.getByLabel('First password').fill('four pale green shirts')
  await page.getByRole('button', { name: 'Let in' }).click()
  await expect(page.getByRole('link', { name: 'Ilse Brandt' })).toBeVisible()
  await expectAccessible(page)

  const hers = await browser.newContext({ baseURL: shop.url })
  const her = await hers.newPage()
  const come = async () => {
    await her.goto('/sign-in?by=password')
    await her.getByLabel('Your name').fill('Ilse Brandt')
    await her.getByLabel('Password').fill('four pale green shirts')
    await her.getByRole('button', { name: 'Sign in' }).click()
  }
  await come()
  await expect(her).toHaveURL(/\/floor/)

  // A second factor: square code, spare codes, the first code back.
  await her.goto('/account')
  await expectAccessible(her)
  const factor = her.getByRole('form', { name: 'Second factor' })
  await factor.getByLabel('Your password').fill('not this one')
  await factor.getByRole('button', { name: 'Add an authenticator' }).click()
  await expect(her.getByText('That is not your password')).toBeVisible()
  await factor.getByLabel('Your password').fill('four pale green shirts')
  await factor.getByRole('button', { name: 'Add an authenticator' }).click()
  await expect(her.getByRole('img', { name: /Square code/ })).toBeVisible()
  const [secret = '', spare = ''] = await her.locator('code').allTextContents()
  const now = () => code(fromBase32(secret), Date.now() / 1000)
  await her.getByLabel('Code', { exact: true }).fill(now())
  await her.getByRole('button', { name: 'Sign in with it' }).click()
  await expect(her.getByText('codes of an authenticator')).toBeVisible()

  // A PIN of one's own, for shared tablets.
  await her.getByRole('textbox', { name: 'PIN' }).fill('1234')
  await her.getByRole('button', { name: 'Set the PIN' }).click()
  await expect(her.getByText('Choose a PIN that nobody tries first')).toBeVisible()
  await her.getByRole('textbox', { name: 'PIN' }).fill('402913')
  await her.getByRole('button', { name: 'Set the PIN' }).click()
  await expect(her.getByText('Your PIN is set')).toBeVisible()

  // The password alone opens nothing any more; a code does; a spare code does once.
  await her.context().clearCookies()
  await come()
  await expect(her).toHaveURL(/\/sign-in\/code/)
  await her.goto('/floor')
  await expect(her).toHaveURL(/\/sign-in\?/)
  await come()
  await her.getByLabel('Code of your authenticator').fill('000000')
  await her.getByRole('button', { name: 'Sign in' }).click()
  await expect(her.getByText('That code does not fit')).toBeVisible()
  await her.getByLabel('Code of your authenticator').fill(spare)
  await her.getByRole('button', { name: 'Sign in' }).click()
  await expect(her).toHaveURL(/\/floor/)
  await her.context().clearCookies()
  await come()
  await her.getByLabel('Code of your authenticator').fill(spare)
  await her.getByRole('button', { name: 'Sign in' }).click()
  await expect(her.getByText('That code does not fit')).toBeVisible()
  await her.getByLabel('Code of your authenticator').fill(now())
  await her.getByRole('button', { name: 'Sign in' }).click()
  await expect(her).toHaveURL(/\/floor/)

  // The owner shares a tablet; there the PIN opens the floor, and the floor alone.
  const shared = await browser.newContext({ baseURL: shop.url })
  const tablet = await shared.newPage()
  await signIn(tablet, shop)
  await tablet.goto('/office/sign-ins')
  await tablet.getByLabel('Share this browser as').fill('Tablet at the press')
  await tablet.getByRole('button', { name: 'Share this browser' }).click()
  await expect(tablet.getByText('Tablet at the press (this browser)')).toBeVisible()
  await shared.clearCookies({ name: 'shirtwright.session_token' })
  await tablet.goto('/sign-in')
  await tablet.getByLabel('Ilse Brandt').check()
  await tablet.getByRole('textbox', { name: 'PIN' }).fill('402914')
  await tablet.getByRole('button', { name: 'Sign in' }).click()
  await expect(tablet.getByText('Name and PIN do not fit together')).toBeVisible()
  await tablet.getByRole('textbox', { name: 'PIN' }).fill('402913')
  await tablet.getByRole('button', { name: 'Sign in' }).click()
  await expect(tablet).toHaveURL(/\/floor/)
  for (const closed of ['/counter', '/artdesk', '/stockroom', '/office']) {
    await tablet.goto(closed)
    await expect(tablet.getByText('which a PIN does not open')).toBeVisible()
  }
  // The same PIN in a browser that is no shared tablet: there is no place to type it.
  const elsewhere = await browser.newPage({ baseURL: shop.url })
  await elsewhere.goto('/sign-in')
  await expect(elsewhere.getByRole('textbox', { name: 'PIN' })).toHaveCount(0)
  await elsewhere.close()

  // The owner sees who is signed in where, and ends it: the next page asks her to sign in.
  await page.goto('/office/sign-ins')
  await page.getByRole('link', { name: 'Ilse Brandt' }).click()
  await page.getByRole('button', { name: 'Let Ilse Brandt in no more' }).click()
  await expect(page.getByText('Signs in no more.')).toBeVisible()
  await expect(page.getByText('set a PIN')).toBeVisible()
  for (const one of [her, tablet]) {
    await one.goto('/floor')
    await expect(one).toHaveURL(/\/sign-in/)
  }
  // The shop keeps an owner.
  await page.goto('/office/sign-ins')
  await page.getByRole('row', { name: /owner/ }).getByRole('link').first().click()
  await page.getByLabel('counter').check()
  await page.getByRole('button', { name: 'Save' }).click()
  await expect(page.getByText('A shop needs an owner')).toBeVisible()
  await hers.close()
  await shared.close()
})
