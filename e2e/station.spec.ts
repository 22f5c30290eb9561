import { rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { PDFDocument } from '@cantoo/pdf-lib'
import Database from 'better-sqlite3'
import type { Browser, Page } from 'playwright/test'
import { type RunningShop, serverOf } from './support/shop'
import { expect, expectAccessible, signIn, test } from './support/test'

test.use({ kind: 'demo' })

// One run on one press; each test goes on where the one before has left it.
test.describe.configure({ mode: 'serial' })

const STATION = '/floor/stations/press-a'

type Step = { id: string; number: number; pieces: number; good: number; spoiled: number; state: string }

function ask<T>(shop: RunningShop, sql: string): T[] {
  const db = new Database(`${shop.data}/demo.db`, { timeout: 5000 })
  try {
    const asked = db.prepare(sql)
    if (asked.reader) return asked.all() as T[]
    asked.run()
    return []
  } finally {
    db.close()
  }
}
/** The step that runs on the press. */
const running = (shop: RunningShop): Step => {
  const [step] = ask<Step>(
    shop,
    `SELECT s.id, o.number, s.pieces, s.good, s.spoiled, s.state FROM JobStep s
     JOIN "Order" o ON o.id = s.orderId JOIN Station t ON t.id = s.stationId
     WHERE t.code = 'press-a' AND s.state IN ('running', 'paused')`,
  )
  if (!step) throw new Error('nothing runs on the press of the demo')
  return step
}
/** Makes the step that runs one closing of the press, with another dwell, and another time to settle before it is peeled, in s. */
const dwells = (shop: RunningShop, dwell: number, settle = 0) =>
  ask(
    shop,
    `UPDATE JobStep SET version = version + 1, recipe = json_set(recipe, '$.restMinutes', ${settle / 60},
      '$.parts', json((SELECT json_array(json_set(p.value, '$.dwellSeconds', ${dwell}, '$.peel', NULL)) FROM json_each(recipe, '$.parts') p
        ORDER BY json_extract(p.value, '$.dwellSeconds') DESC LIMIT 1)))
     WHERE id = '${running(shop).id}'`,
  )
const counts = (shop: RunningShop, stepId: string) =>
  ask<{ kind: string; byName: string; good: number; at: string; cameAt: string | null }>(
    shop,
    `SELECT kind, byName, good, at, cameAt FROM Report WHERE stepId = '${stepId}' AND kind <> 'start' ORDER BY id`,
  )

/** Somebody at a device of their own. @param ahead ms by which its clock is wrong */
async function at(browser: Browser, shop: RunningShop, role: 'owner' | 'press', ahead = 0): Promise<Page> {
  const page = await (
    await browser.newContext({ baseURL: shop.url, viewport: { width: 820, height: 1180 }, locale: 'en-GB' })
  ).newPage()
  if (ahead)
    await page.addInitScript(ms => {
      const real = Date.now
      Date.now = () => real() + ms
    }, ahead)
  await signIn(page, shop, role)
  await page.goto(STATION)
  // The page is at work once the timer is.
  await expect(page.locator('[data-phase]')).toBeEnabled()
  return page
}
const good = (page: Page) => page.getByRole('textbox', { name: /^Good pieces/ })
const count = async (page: Page, n: number) => {
  await good(page).fill(String(n))
  await page.getByRole('button', { name: /^(Count and finish|Hand on \d+, go on)$/ }).click()
}

/**
 * The tab sleeps, as on a phone whose screen is locked: the processes that draw pages are stopped by the system, and nothing of them runs. (What
 * the browser's own protocol calls frozen goes on ticking here.)
 */
async function slept(page: Page, ms: number) {
  const tools = await page.context().browser()?.newBrowserCDPSession()
  const { processInfo = [] } = (await tools?.send('SystemInfo.getProcessInfo')) ?? {}
  const drawing = processInfo.filter(p => p.type === 'renderer').map(p => p.id)
  const all = (signal: 'SIGSTOP' | 'SIGCONT') => {
    for (const id of drawing) process.kill(id, signal)
  }
  all('SIGSTOP')
  await new Promise(done => setTimeout(done, ms))
  all('SIGCONT')
  await tools?.detach()
}

test('the press timer keeps time through a sleeping tab, a reload and a clock that was moved', async ({
  page,
  shop,
}) => {
  const dwell = 60
  dwells(shop, dwell)
  await page.setViewportSize({ width: 820, height: 1180 })
  await signIn(page, shop, 'press')
  await page.goto(STATION)
  const face = page.locator('[data-phase]')
  const left = async () => Number.parseInt((await face.textContent()) ?? '', 10)
  await expect(face).toBeEnabled()
  expect(await left()).toBe(dwell)
  await page.locator('h1').click()
  await page.keyboard.press('Space')
  const closed = Date.now()
  await expect(face).toHaveAttribute('data-phase', 'pressing')
  /** The face shows whole seconds, rounded up, and is drawn five times a second; the keypress took its time, too. */
  const onTime = async () => {
    const before = dwell - (Date.now() - closed) / 1000
    await expect.poll(left).toBeLessThanOrEqual(Math.ceil(before + 1))
    expect(await left()).toBeGreaterThanOrEqual(Math.floor(dwell - (Date.now() - closed) / 1000 - 1))
  }
  // Asleep in truth: what would tick every tenth of a second stands still.
  await page.evaluate(() => {
    const asleep = { ticks: 0 }
    Object.assign(window, { asleep })
    setInterval(() => asleep.ticks++, 100)
  })
  await slept(page, 3000)
  expect(
    await page.evaluate(() => (window as unknown as { asleep: { ticks: number } }).asleep.ticks),
  ).toBeLessThan(15)
  await onTime()
  await page.reload()
  await expect(face).toHaveAttribute('data-phase', 'pressing')
  await onTime()
  // Somebody sets this tablet's clock on by an hour while the piece is under the press.
  await page.evaluate(() => {
    const real = Date.now
    Date.now = () => real() + 3_600_000
  })
  await expect(page.getByText('This device’s clock is wrong.')).toBeVisible()
  await expect(face).toHaveAttribute('data-phase', 'pressing')
  await onTime()
  // A piece that was laid wrong is let go, and not counted.
  await page.getByRole('button', { name: 'Not this one' }).click()
  await expect(face).toHaveAttribute('data-phase', 'open')
  await expect(page.getByLabel('Pieces counted')).toHaveText(/^0 of/)
})

test('at the end of its dwell it sounds and shakes, counts the piece, and says peel when that has settled', async ({
  page,
  shop,
}) => {
  const dwell = 4
  const settle = 2
  dwells(shop, dwell, settle)
  await page.addInitScript(() => {
    const heard = { shakes: 0, tones: [] as number[] }
    Object.assign(window, { heard })
    navigator.vibrate = () => ++heard.shakes > 0
    const start = OscillatorNode.prototype.start
    OscillatorNode.prototype.start = function (when = 0) {
      heard.tones.push(when - this.context.currentTime)
      return start.call(this, when)
    }
  })
  await page.setViewportSize({ width: 820, height: 1180 })
  await signIn(page, shop, 'press')
  await page.goto(STATION)
  const face = page.locator('[data-phase]')
  const heard = () =>
    page.evaluate(() => (window as unknown as { heard: { shakes: number; tones: number[] } }).heard)
  await expect(face).toBeEnabled()
  await page.locator('h1').click()
  await page.keyboard.press('Space')
  const closed = Date.now()
  await expect(face).toHaveAttribute('data-phase', 'pressing')
  // It ends while nobody looks and nothing runs.
  await slept(page, dwell * 1000)
  await expect(face).toHaveAttribute('data-phase', 'over')
  expect(Date.now() - closed).toBeGreaterThanOrEqual(dwell * 1000 - 250)
  await expect(face).toContainText(/Lay it aside to settle\. Touch: next piece/)
  const { shakes, tones } = await heard()
  expect(shakes).toBe(1)
  // The bell was set ahead, on the sound's own clock, which no sleeping tab holds back.
  expect(tones[0]).toBeGreaterThan(1)

  await page.keyboard.press('Space')
  await expect(page.getByLabel('Pieces counted')).toHaveText(/^1 of/)
  await expect(page.getByText('Peel one piece now.')).toBeVisible()
  expect(Date.now() - closed).toBeGreaterThanOrEqual((dwell + settle) * 1000 - 250)
  await page.getByRole('button', { name: 'Peeled' }).click()
  await expect(good(page)).toHaveValue('1')
  await expect(page.getByRole('button', { name: 'Hand on 1, go on' })).toBeVisible()
  await good(page).fill('2')
  await page.getByRole('button', { name: 'The timer counted 1: take that' }).click()
  await expect(good(page)).toHaveValue('1')
  await expectAccessible(page)
})

test('two people count the same run, one without a line, and the server is restarted: sent once, in order, and what came between is said', async ({
  browser,
  shop,
}) => {
  const step = running(shop)
  const [ana, rui] = await Promise.all([at(browser, shop, 'owner'), at(browser, shop, 'press')])
  const kept = ana.getByRole('region', { name: 'Not sent yet' })
  await ana.context().setOffline(true)
  await expect(ana.getByText('No line to the shop’s server.')).toBeVisible()
  await count(ana, 2)
  await expect(kept).toContainText('Not sent yet: 1 report')
  await expect(good(ana)).toHaveValue(String(step.pieces - 2))
  await ana.getByText('Pause', { exact: true }).first().click()
  await ana.getByRole('button', { name: 'Waiting for ink or film' }).click()
  await ana.getByRole('button', { name: 'Go on' }).click()
  await count(ana, 1)
  await expect(kept).toContainText('Not sent yet: 4 reports')
  await expectAccessible(ana)
  expect(counts(shop, step.id)).toEqual([])

  await count(rui, 3)
  await expect.poll(() => counts(shop, step.id)).toMatchObject([{ kind: 'finish', good: 3 }])
  // The server dies in the middle of the shift; its parent starts it again.
  process.kill(serverOf(shop.pid), 'SIGKILL')
  await ana.context().setOffline(false)
  await expect.poll(() => counts(shop, step.id).length, { timeout: 60_000 }).toBe(5)
  await expect(kept).toBeHidden()
  const book = counts(shop, step.id)
  expect(book.map(r => [r.kind, r.good])).toEqual([
    ['finish', 3],
    ['finish', 2],
    ['pause', 0],
    ['resume', 0],
    ['finish', 1],
  ])
  // Booked when they happened, though they came later.
  for (const late of book.slice(1)) expect(late.cameAt).not.toBeNull()
  expect(running(shop)).toMatchObject({ good: 6, state: 'running' })
  const said = ana.getByRole('region', { name: /^Counted: / })
  await expect(said.first()).toContainText(`${book[0]?.byName} counted here too`)
  await expect(said.first()).toContainText('3 pieces that this screen did not know of')
  for (let n = await said.count(); n > 0; n--)
    await said.first().getByRole('button', { name: 'I have read it' }).click()
  await expect(said).toHaveCount(0)
  await expect(good(rui)).toHaveValue(String(step.pieces - 6))
  // The page that lived through it still hears a refusal, and keeps what was typed.
  await count(rui, 99)
  await expect(rui.getByText(/99 pieces are more than the \d+ still open here/)).toBeVisible()
  await expect(good(rui)).toHaveValue('99')
  expect(counts(shop, step.id)).toHaveLength(5)
  await Promise.all([ana.context().close(), rui.context().close()])
})

test('a tablet an hour wrong books by the server’s time; a photo of 40 MB is made small, and a misprint is drawn again', async ({
  browser,
  shop,
}) => {
  const step = running(shop)
  const page = await at(browser, shop, 'press', 3_600_000)
  await expect(page.getByText('It is 60 min ahead.')).toBeVisible()
  const drawn = await page.evaluate(async () => {
    const canvas = document.createElement('canvas')
    canvas.width = 3000
    canvas.height = 2000
    canvas.getContext('2d')?.fillRect(200, 200, 900, 900)
    const blob = await new Promise<Blob | null>(done => canvas.toBlob(done, 'image/jpeg'))
    return [...new Uint8Array((await blob?.arrayBuffer()) ?? new ArrayBuffer(0))]
  })
  // What a camera writes after the picture: readers skip it, and the file is as large as any.
  const photo = join(tmpdir(), `shirtwright-${process.pid}-photo.jpg`)
  writeFileSync(photo, Buffer.concat([Buffer.from(drawn), Buffer.alloc(40e6 - drawn.length)]))
  await page.getByText('Misprint', { exact: true }).click()
  const form = page.getByRole('form', { name: 'Misprint' })
  await form.getByLabel('Photo').setInputFiles(photo)
  await form.getByLabel('Crooked or misplaced').check()
  // Where the run has several sizes it is asked which.
  const sizes = form.getByRole('group', { name: 'Which size?' }).getByRole('radio')
  if ((await sizes.count()) > 0) await sizes.last().check()
  const blanks = () =>
    ask<{ n: number | null }>(
      shop,
      `SELECT SUM(m.quantity) AS n FROM Movement m JOIN JobStep s ON s.id = m.stepId JOIN "Order" o ON o.id = s.orderId
       WHERE o.number = ${step.number} AND m.kind = 'spoiled'`,
    )[0]?.n ?? 0
  const before = blanks()
  await form.getByRole('button', { name: 'Spoiled: make it again' }).click()
  await expect(page.getByText(/on the list again/)).toBeVisible()
  rmSync(photo)
  const [misprint] = ask<{ id: string; remake: string; photo: string | null; at: string }>(
    shop,
    `SELECT id, remake, photo, at FROM Misprint WHERE stepId = '${step.id}' ORDER BY id DESC LIMIT 1`,
  )
  expect(misprint?.photo).not.toBeNull()
  expect(Math.abs(new Date(misprint?.at ?? 0).getTime() - Date.now())).toBeLessThan(60_000)
  const picture = await page.request.get(`/api/misprints/${misprint?.id}/photo`)
  expect(picture.headers()['content-type']).toBe('image/jpeg')
  expect((await picture.body()).length).toBeLessThan(1_000_000)
  expect(
    ask(
      shop,
      `SELECT r.id FROM PlannedRun r JOIN JobStep s ON s.id = r.stepId JOIN "Order" o ON o.id = s.orderId
       WHERE o.number = ${step.number} AND s.job = '${misprint?.remake}'`,
    ).length,
    'the remake stands on the plan',
  ).toBeGreaterThan(0)
  // A blank for it has left the shelf, or it waits for one.
  expect([before, before - 1]).toContain(blanks())
  await page.context().close()
})

test('who finishes second is told; a scanned ticket finds its way from anywhere in the room', async ({
  browser,
  shop,
}) => {
  const step = running(shop)
  const [ana, rui] = await Promise.all([at(browser, shop, 'owner'), at(browser, shop, 'press')])
  await ana.context().setOffline(true)
  await expect(ana.getByText('No line to the shop’s server.')).toBeVisible()
  await count(ana, 1)
  await expect(ana.getByRole('region', { name: 'Not sent yet' })).toBeVisible()
  await rui.getByRole('button', { name: 'Count and finish' }).click()
  await expect
    .poll(() => ask<Step>(shop, `SELECT state FROM JobStep WHERE id = '${step.id}'`)[0]?.state)
    .toBe('done')
  await ana.context().setOffline(false)
  const refused = ana.getByRole('region', { name: /^Not counted: / })
  await expect(refused).toContainText(/is finished already, with \d+ good.* Nothing was counted twice\./)
  await expectAccessible(ana)
  await refused.getByRole('button', { name: 'Let it go' }).click()
  await expect(refused).toHaveCount(0)
  await ana.context().close()

  // Scanners type the address, then Enter, faster than anybody can.
  const scan = async (text: string) => {
    await rui.keyboard.type(text)
    await rui.keyboard.press('Enter')
  }
  const [gone] = ask<{ number: number }>(
    shop,
    `SELECT number FROM "Order" WHERE state = 'handedOver' ORDER BY number DESC LIMIT 1`,
  )
  await rui.goto('/floor/day')
  await scan(`http://shop.local:3000/floor/scan/${gone?.number}`)
  await expect(rui.getByText(/Nothing was started\./)).toBeVisible()
  const [next] = ask<{ number: number; code: string; title: string }>(
    shop,
    `SELECT o.number, t.code, s.title FROM JobStep s JOIN "Order" o ON o.id = s.orderId JOIN Station t ON t.id = s.stationId
     WHERE s.state = 'running' LIMIT 1`,
  )
  await scan(`http://shop.local:3000/floor/scan/${next?.number}`)
  await rui.waitForURL(`**/floor/stations/${next?.code}?ticket=${next?.number}**`)

  // Its ticket prints on one sheet for each batch and remake: A5 (148 × 210 mm by ISO 216), nothing before it, nothing cut off to a next.
  await rui.goto(`/floor/tickets/${next?.number}`)
  const sheets = await rui.locator('article').count()
  const paper = await PDFDocument.load(await rui.pdf({ preferCSSPageSize: true }))
  expect(paper.getPageCount()).toBe(sheets)
  const { width, height } = paper.getPage(0).getSize()
  expect([width, height].map(points => Math.round((points * 25.4) / 72))).toEqual([148, 210])
  // Half a Letter sheet (ANSI/ASME Y14.1: 8.5 × 11 in) where the shop's printer holds those: 5.5 × 8.5 in.
  const { paper: usual } = ask<{ paper: string }>(shop, 'SELECT paper FROM Shop')[0] ?? { paper: 'a4' }
  ask(shop, `UPDATE Shop SET paper = 'letter'`)
  await rui.reload()
  await expect(rui.getByText('Prints on half a Letter sheet.')).toBeVisible()
  const half = await PDFDocument.load(await rui.pdf({ preferCSSPageSize: true }))
  expect(half.getPageCount()).toBe(sheets)
  expect(Object.values(half.getPage(0).getSize()).map(points => points / 72)).toEqual([
    expect.closeTo(5.5, 1),
    expect.closeTo(8.5, 1),
  ])
  ask(shop, `UPDATE Shop SET paper = '${usual}'`)
  await rui.context().close()
})
