import { expect, expectAccessible, test } from './support/test'

for (const palette of ['day', 'night'] as const)
  test(`every part by ${palette}, from a phone to a desk: nothing for axe, nothing beyond the edge`, async ({
    page,
    context,
    shop,
  }) => {
    test.setTimeout(240_000)
    await context.addCookies([{ name: 'palette', value: palette, url: shop.url }])
    await page.goto('/parts')
    await expect(page.locator('html')).toHaveAttribute('data-palette', palette)
    for (const width of [390, 1024, 1440]) {
      await page.setViewportSize({ width, height: 900 })
      const beyond = await page.evaluate(
        () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
      )
      expect(beyond).toBe(0)
      // What axe looks at changes with the width on the phone alone; colours with the palette.
      if (palette === 'day') await expectAccessible(page)
      else if (width === 1440) await expectAccessible(page, ['color-contrast'])
    }
    await page.getByRole('button', { name: 'show the working' }).first().click()
    await expectAccessible(page, palette === 'day' ? undefined : ['color-contrast'])
  })

test('a refused form keeps all that was typed, says what is wrong beside it, and goes there', async ({
  page,
}) => {
  await page.goto('/parts')
  const form = page.getByRole('form', { name: 'All fields' })
  await form.getByLabel('Blank').selectOption('b')
  await form.getByLabel('2XL', { exact: true }).fill('9')
  await form.getByLabel('hard').check()
  await form.getByLabel('Left chest').check()
  await form.getByLabel('Promised for').fill('2026-06-01')
  await form.getByLabel('Meant for children').check()
  await form.getByLabel('Note').fill('Leave at the boathouse')
  await form.getByLabel('Width of the print').fill('wide')
  await form.getByRole('button', { name: 'Try it' }).click()

  const customer = form.getByLabel('Customer')
  await expect(customer).toBeFocused()
  await expect(customer).toHaveAccessibleDescription(/The customer has no name yet/)
  await expect(form.getByLabel('Width of the print')).toHaveAttribute('aria-invalid', 'true')
  await expect(form.getByLabel('Width of the print')).toHaveValue('wide')
  await expect(form.getByLabel('Blank')).toHaveValue('b')
  await expect(form.getByLabel('2XL', { exact: true })).toHaveValue('9')
  await expect(form.getByLabel('hard')).toBeChecked()
  await expect(form.getByLabel('Left chest')).toBeChecked()
  await expect(form.getByLabel('Promised for')).toHaveValue('2026-06-01')
  await expect(form.getByLabel('Meant for children')).toBeChecked()
  await expect(form.getByLabel('Note')).toHaveValue('Leave at the boathouse')

  await customer.fill('Quayside Rowing')
  await form.getByLabel('Width of the print').fill('254')
  await form.getByRole('button', { name: 'Try it' }).click()
  await expect(form.getByText('Read as typed.')).toBeVisible()
  await expect(customer).not.toHaveAttribute('aria-invalid', 'true')
})

test('a size run adds up as it is typed, and is filled by one pasted line', async ({ page, context }) => {
  await page.goto('/parts')
  const run = page.getByRole('group', { name: 'Pieces by size' })
  await expect(run.getByText('24', { exact: true })).toBeVisible()
  await run.getByLabel('XL', { exact: true }).fill('6')
  await expect(run.getByText('30', { exact: true })).toBeVisible()
  await context.grantPermissions(['clipboard-read', 'clipboard-write'])
  await page.evaluate(() => navigator.clipboard.writeText('S 1, M 2, 2XL 3'))
  await run.getByLabel('S', { exact: true }).focus()
  await page.keyboard.press('ControlOrMeta+v')
  await expect(run.getByLabel('M', { exact: true })).toHaveValue('2')
  await expect(run.getByLabel('2XL', { exact: true })).toHaveValue('3')
  await expect(run.getByText('20', { exact: true })).toBeVisible()
})

test('a measure says how it was understood', async ({ page }) => {
  await page.goto('/parts')
  const width = page.getByLabel('Width of the print')
  await width.fill('10 in')
  await expect(width).toHaveAccessibleDescription('= 254 mm, 10 in')
  await width.fill('ten')
  await expect(width).toHaveAccessibleDescription(/“ten” is not a length/)
})

test('a table sorts by keyboard, empty values last in both directions', async ({ page }) => {
  await page.goto('/parts')
  const table = page.getByRole('table', { name: 'Orders of the week' })
  const order = () => table.locator('> tbody > tr > th').allTextContents()
  const total = table.getByRole('button', { name: 'Total', exact: true })
  await total.focus()
  await page.keyboard.press('Enter')
  await expect(table.getByRole('columnheader', { name: 'Total' })).toHaveAttribute('aria-sort', 'ascending')
  expect(await order()).toEqual(['1058', '1042', '1049', '1044', '1061'])
  await page.keyboard.press('Enter')
  await expect(table.getByRole('columnheader', { name: 'Total' })).toHaveAttribute('aria-sort', 'descending')
  expect(await order()).toEqual(['1044', '1049', '1042', '1058', '1061'])
})

test('a working opens and closes by keyboard, and prints closed', async ({ page }) => {
  await page.goto('/parts')
  const figure = page.getByRole('button', { name: /1.58 g a piece/ })
  await figure.focus()
  await page.keyboard.press('Enter')
  const sheet = page.getByRole('dialog', { name: 'Working' })
  await expect(sheet.getByText('covered area × deposit × density')).toBeVisible()
  await page.emulateMedia({ media: 'print' })
  await expect(sheet).toBeHidden()
  await page.emulateMedia({ media: 'screen' })
  await page.keyboard.press('Escape')
  await expect(page.getByText('covered area × deposit × density').first()).toBeHidden()
  await expect(figure).toBeFocused()
})

test('the palette that a person chose is there on the next page, from the first paint', async ({
  page,
  request,
}) => {
  await page.goto('/parts')
  await page.getByRole('button', { name: /Ines.*menu/ }).click()
  await page.getByRole('button', { name: 'night', exact: true }).click()
  await expect(page.locator('html')).toHaveAttribute('data-palette', 'night')
  const [cookie] = await page.context().cookies(page.url())
  const html = await (
    await request.get('/parts', { headers: { cookie: `${cookie?.name}=${cookie?.value}` } })
  ).text()
  expect(html).toMatch(/<html[^>]*data-palette="night"/)
})

test('the first stop of the keyboard leads past the rooms to the work', async ({ page }) => {
  await page.goto('/parts')
  await page.keyboard.press('Tab')
  await expect(page.getByRole('link', { name: 'Skip to the work' })).toBeFocused()
  await page.keyboard.press('Enter')
  await expect(page.getByRole('main')).toBeFocused()
})

test('on a phone the rooms stand at the foot of the window, each at least 44 px tall', async ({ page }) => {
  await page.setViewportSize({ width: 390, height: 844 })
  await page.goto('/parts')
  for (const name of ['Counter', 'Art desk', 'Floor', 'Stockroom', 'Office']) {
    const box = await page
      .getByRole('navigation', { name: 'Rooms' })
      .getByRole('link', { name })
      .boundingBox()
    expect(box?.height).toBeGreaterThanOrEqual(44)
    expect((box?.y ?? 0) + (box?.height ?? 0)).toBeGreaterThan(840)
    expect((box?.x ?? 0) + (box?.width ?? 0)).toBeLessThanOrEqual(390)
  }
})
