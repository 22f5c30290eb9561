import { randomUUID } from 'node:crypto'
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import Database from 'better-sqlite3'
import { type CDPSession, chromium, type Page } from 'playwright'
import { shopOf } from '@/lib/planning/model'
import { planAside } from '@/lib/planning/plan.worker'
import { mending, openWork, replan } from '@/lib/planning/store'
import { database, db, openDatabase, setDatabase, transaction } from '@/lib/server/database'
import { eventStream, live } from '@/lib/server/live'
import { instantOf } from '@/lib/units/time'
import { findChromium } from '../e2e/support/chromium'
import { median, ms, serve } from './support/bench-server'
import { copyOrder } from './support/busy-shop'
import { demoShop } from './support/demo-shop'
import { prepareBuild } from './support/fresh.mjs'

const OPEN_JOBS = 300
const SCREENS = Number(process.env.BENCH_SCREENS ?? 30)
const UPDATES = 10_000
/** The browser's processor is slowed so many times. */
const SLOWER = 4
const DRAG_MS = 3000
/** A slowed page has come to rest after so long. */
const REST_MS = 3000

const folder = mkdtempSync(join(tmpdir(), 'shirtwright-bench-web-'))
process.on('exit', () => rmSync(folder, { recursive: true, force: true }))
const file = join(folder, 'demo.db')
process.env.SHIRTWRIGHT_DATA = folder
const rows: [string, string, string][] = []

prepareBuild(console.error)
demoShop(folder, process.env.BENCH_DATA)
const open = makeBusy()
await planBusy()
await rowsOfReplan()
await rowsOfMemory()
await database().$disconnect()
const { url, child } = await serve(folder, file)
const browser = await chromium.launch({ executablePath: findChromium() })
try {
  const page = await signedIn()
  const cookie = (await page.context().cookies()).map(c => `${c.name}=${c.value}`).join('; ')
  const day = await busiestDay(page)
  await rowsOfServer(cookie, day)
  await rowsOfOpening(page, day)
  await rowsOfDragging(page)
  await rowsOfUpdate(page, cookie, day)
} finally {
  // What was measured stands there even if the rest could not be.
  console.log(`The board with ${open} open jobs.\n\n| what | measured | beside |\n| --- | --- | --- |`)
  for (const row of rows) console.log(`| ${row.join(' | ')} |`)
  await browser.close()
  child.kill('SIGTERM')
}
process.exit(0)

/** Copies the demo's open orders until there are as many as the bench is about, each ten minutes after the one before. */
function makeBusy(): number {
  const sql = new Database(file)
  const jobs = () =>
    sql.prepare(`SELECT number FROM "Order" WHERE state IN ('agreed', 'making')`).all() as {
      number: number
    }[]
  sql.transaction(() => {
    const there = jobs()
    const each = Math.ceil((OPEN_JOBS - there.length) / there.length)
    for (const { number } of there) copyOrder(sql, number, Math.max(0, each), k => k * 600_000)
  })()
  // One run at a station: copies of what runs wait their turn.
  sql
    .prepare(
      `UPDATE "JobStep" SET state = 'waiting', version = version + 1, "startedAt" = NULL, "stationId" = NULL WHERE state = 'running' AND id NOT IN (SELECT MIN(id) FROM "JobStep" WHERE state = 'running' GROUP BY "stationId")`,
    )
    .run()
  const count = jobs().length
  sql.close()
  return count
}

async function planBusy() {
  setDatabase(openDatabase(`file:${file}`))
  // The copies stand on top of one another at first: finding places for all of them takes its time, and a second look.
  for (let k = 0; k < 2; k++) {
    const planned = await transaction(() => replan('bench', now()), 120)
    if (!planned.ok) throw new Error(planned.message)
  }
}

function now() {
  return instantOf(new Date())
}

/** A new plan after a report, and how much of it is the search. */
async function rowsOfReplan() {
  const before = await places()
  const whole = await times(7, async () => {
    const made = await transaction(() => replan('bench', now()), 60)
    if (!made.ok) throw new Error(made.message)
  })
  const after = await places()
  const stayed = [...before].filter(([id, at]) => after.get(id) === at).length
  const reading = await times(7, () => openWork(now()))
  const work = await openWork(now())
  const searching = await times(7, () => planAside(shopOf(work.rows), mending(work)))
  rows.push([
    'new plan after one report, kept, written',
    ms(median(whole)),
    `${ms(median(reading))} reading, ${ms(median(searching))} searching; ${stayed} of ${before.size} runs stay to the minute; asked: under 300 ms`,
  ])
}

async function places() {
  const runs = await db().plannedRun.findMany({ select: { stepId: true, stationId: true, startAt: true } })
  return new Map(runs.map(r => [r.stepId, `${r.stationId} ${r.startAt.getTime()}`]))
}

/** Ten thousand commits with so many screens listening: what the process holds before and after. */
async function rowsOfMemory() {
  const stop = new AbortController()
  let heard = 0
  const readers = Array.from({ length: SCREENS }, async () => {
    const stream = eventStream(live(), null, stop.signal).getReader()
    for (;;) {
      const { done, value } = await stream.read()
      if (done) return
      heard += (new TextDecoder().decode(value).match(/event: change/g) ?? []).length
    }
  })
  const station = await db().station.findFirstOrThrow({ select: { id: true, state: true } })
  const commit = () => db().station.update({ where: { id: station.id }, data: { state: station.state } })
  const held: number[] = []
  const from = performance.now()
  for (let k = 0; k <= UPDATES; k++) {
    await commit()
    if (k % (UPDATES / 10) === 0) {
      global.gc?.()
      held.push(process.memoryUsage().heapUsed / 1e6)
    }
  }
  const took = performance.now() - from
  stop.abort()
  await Promise.all(readers)
  const half = held.slice(Math.floor(held.length / 2))
  rows.push([
    `memory over ${UPDATES} commits, ${SCREENS} screens listening`,
    `${held[1]?.toFixed(1)} MB after ${UPDATES / 10}, ${held.at(-1)?.toFixed(1)} MB after all`,
    `${Math.min(...half).toFixed(1)} to ${Math.max(...half).toFixed(1)} MB in the second half; ${heard} events heard, ${(took / UPDATES).toFixed(1)} ms a commit`,
  ])
}

/** The day of the coming fortnight with most runs. */
async function busiestDay(page: Page): Promise<string> {
  let best = { day: '', runs: 0 }
  for (let ahead = 0; ahead < 7; ahead++) {
    const day = new Date(Date.now() + ahead * 86_400_000).toISOString().slice(0, 10)
    await page.goto(`${url}/floor?day=${day}`)
    await page.locator('[data-board][data-ready]').waitFor()
    const runs = await page.locator('[data-run]').count()
    if (runs > best.runs) best = { day, runs }
  }
  return best.day
}

async function rowsOfServer(cookie: string, day: string) {
  const get = async (path: string) => {
    const answer = await fetch(url + path, { headers: { cookie }, redirect: 'error' })
    if (!answer.ok) throw new Error(`${path} answered ${answer.status}.`)
    return answer.text()
  }
  await get('/account')
  // A report before each: nothing of what was read before it counts any more.
  const report = reporter(cookie)
  const first: number[] = []
  for (let k = 0; k < 10; k++) {
    await report()
    const from = performance.now()
    await get(`/floor?day=${day}`)
    first.push(performance.now() - from)
  }
  const again = await times(15, () => get(`/floor?day=${day}`))
  const plain = await times(15, () => get('/account'))
  const data = `/api/plan/board?day=${day}`
  const sent = await times(15, () => get(data))
  const html = await get(`/floor?day=${day}`)
  const text = await get(data)
  rows.push(
    [
      'board page, first screen after a change',
      ms(median(first.slice(1))),
      `${(median(first.slice(1)) / median(plain)).toFixed(1)} × the plainest page of the same server (${ms(median(plain))}); asked: under 150 ms`,
    ],
    [
      'board page, every further screen',
      ms(median(again)),
      `${(median(again) / median(plain)).toFixed(1)} × the plainest page; busiest day, ${Math.round(html.length / 1000)} kB of HTML before packing`,
    ],
    [
      'board data, which an open screen asks for after a change',
      ms(median(sent)),
      `${(median(sent) / median(again)).toFixed(1)} × the page; ${Math.round(text.length / 1000)} kB before packing, made once for all screens`,
    ],
  )
}

/** Reports from the floor that change nothing for long: what runs is paused, and gone on with. @returns sends the next one; ms until its answer */
function reporter(cookie: string): () => Promise<number> {
  const sql = new Database(file, { readonly: true })
  const step = sql
    .prepare(`SELECT id, state FROM "JobStep" WHERE state IN ('running', 'paused') ORDER BY id LIMIT 1`)
    .get() as { id: string; state: string } | undefined
  sql.close()
  if (!step) throw new Error('Nothing runs in the demo shop.')
  let runs = step.state === 'running'
  return async () => {
    const form = new FormData()
    form.set('kind', runs ? 'pause' : 'resume')
    form.set('reason', 'other')
    form.set('note', 'bench')
    form.set('stepId', step.id)
    form.set('formKey', randomUUID())
    const from = performance.now()
    const answer = await fetch(`${url}/api/reports`, {
      method: 'POST',
      body: form,
      headers: { cookie, origin: url, 'sec-fetch-site': 'same-origin' },
    })
    const said = await answer.text()
    if (!answer.ok || !said.includes('"ok":true'))
      throw new Error(`The report was refused with ${answer.status}: ${said}`)
    runs = !runs
    return performance.now() - from
  }
}

async function slowed(page: Page): Promise<CDPSession> {
  const cdp = await page.context().newCDPSession(page)
  await cdp.send('Emulation.setCPUThrottlingRate', { rate: SLOWER })
  return cdp
}

/** From the click on an address until the board can be used, in a slowed browser; beside a bare page with as many boxes. */
async function rowsOfOpening(page: Page, day: string) {
  const cdp = await slowed(page)
  // Begun when the page before it has come to rest, and read from the board's own clock afterwards: what the bench itself runs in the page
  // to wait for it would be slowed along, and counted.
  const ready = async () => {
    await page.goto(`${url}/floor?day=${day}`, { waitUntil: 'commit' })
    await new Promise(done => setTimeout(done, REST_MS))
    const at = await page.locator('[data-board][data-ready]').getAttribute('data-ready')
    return Number(at)
  }
  await ready()
  const own: number[] = []
  for (let k = 0; k < 5; k++) own.push(await ready())
  const runs = await page.locator('[data-run]').count()
  const bare = await page.context().newPage()
  const bareCdp = await slowed(bare)
  const plain: number[] = []
  for (let k = 0; k < 5; k++) {
    await bare.goto('about:blank')
    const from = performance.now()
    await bare.setContent(bareBoard(runs))
    await bare.evaluate(() => new Promise(done => requestAnimationFrame(() => setTimeout(done))))
    plain.push(performance.now() - from)
  }
  await bareCdp.detach()
  await bare.close()
  await cdp.detach()
  rows.push([
    `board can be used, processor slowed ${SLOWER}×`,
    ms(median(own)),
    `${(median(own) / median(plain)).toFixed(1)} × a bare page with its ${runs} boxes and no script (${ms(median(plain))}); asked: under 1000 ms`,
  ])
}

function bareBoard(runs: number): string {
  return `<body>${Array.from({ length: runs }, (_, i) => `<a href="#" style="position:absolute;left:${(i * 37) % 90}%;top:${(i % 9) * 60}px;width:4%;height:50px;border:1px solid">${i}<br>24 pcs</a>`).join('')}<div id="g" style="position:absolute;width:60px;height:50px;background:teal"></div>`
}

/** Three seconds of dragging in a slowed browser: frames, and tasks over 50 ms; beside a bare box that follows the pointer. */
async function rowsOfDragging(page: Page) {
  const cdp = await slowed(page)
  const run = page.locator('[data-run][data-can]').first()
  await run.scrollIntoViewIfNeeded()
  const box = await run.boundingBox()
  if (!box) throw new Error('No run can be moved.')
  const own = await dragged(page, cdp, box.x + 4, box.y + 20)
  await page.keyboard.press('Escape')
  const bare = await page.context().newPage()
  await bare.setContent(bareBoard(await page.locator('[data-run]').count()))
  await bare.evaluate(() => {
    addEventListener('pointermove', e => {
      const g = document.getElementById('g')
      if (g) g.style.transform = `translate(${e.clientX}px, ${e.clientY}px)`
    })
  })
  const bareCdp = await slowed(bare)
  const plain = await dragged(bare, bareCdp, 200, 200)
  await bare.close()
  await cdp.detach()
  rows.push([
    `dragging a run for ${DRAG_MS / 1000} s, processor slowed ${SLOWER}×`,
    `${own.fps.toFixed(0)} frames a second, ${own.long} long tasks`,
    `slowest frame in twenty ${ms(own.p95)}; a bare box that follows the pointer: ${plain.fps.toFixed(0)} frames, ${plain.long} long tasks, ${ms(plain.p95)}; asked: 60`,
  ])
}

async function dragged(page: Page, cdp: CDPSession, x: number, y: number) {
  // As text: the loader names inner functions by a helper that a page does not have.
  await page.evaluate(`
    window.frames_ = []; window.long_ = 0; window.stop_ = false
    new PerformanceObserver(list => { window.long_ += list.getEntries().length }).observe({ entryTypes: ['longtask'] })
    requestAnimationFrame(function frame(t) {
      window.frames_.push(t)
      if (!window.stop_) requestAnimationFrame(frame)
    })`)
  const send = (type: 'mousePressed' | 'mouseMoved' | 'mouseReleased', px: number, py: number) =>
    cdp.send('Input.dispatchMouseEvent', {
      type,
      x: px,
      y: py,
      button: 'left',
      buttons: type === 'mouseReleased' ? 0 : 1,
      clickCount: 1,
    })
  await send('mousePressed', x, y)
  const from = performance.now()
  for (let k = 0; performance.now() - from < DRAG_MS; k++) {
    void send('mouseMoved', x + 150 + 140 * Math.sin(k / 14), y + 40 + 36 * Math.cos(k / 21))
    await new Promise(done => setTimeout(done, 16))
  }
  const seen = await page.evaluate<{ frames: number[]; long: number }>(
    'window.stop_ = true, { frames: window.frames_, long: window.long_ }',
  )
  await page.keyboard.press('Escape')
  await send('mouseReleased', x, y)
  const gaps = seen.frames.slice(1).map((t, i) => t - (seen.frames[i] ?? t))
  const sorted = [...gaps].sort((a, b) => a - b)
  return {
    fps: (1000 * gaps.length) / gaps.reduce((a, b) => a + b, 0),
    p95: sorted[Math.floor(sorted.length * 0.95)] ?? 0,
    long: seen.long,
  }
}

/** A report from the floor until every screen has the new board: lines of their own, each fetching what a browser's board does. */
async function rowsOfUpdate(page: Page, cookie: string, day: string) {
  const stop = new AbortController()
  const told = new Map<number, (at: number) => void>()
  const screens = Array.from({ length: SCREENS }, async (_, i) => {
    const answer = await fetch(`${url}/api/events`, { headers: { cookie }, signal: stop.signal })
    const reader = answer.body?.getReader()
    for (;;) {
      const chunk = await reader?.read().catch(() => undefined)
      if (!chunk || chunk.done) return
      if (!/"(floor|plan)"/.test(new TextDecoder().decode(chunk.value))) continue
      const shown = await fetch(`${url}/api/plan/board?day=${day}`, { headers: { cookie } })
      if (!Array.isArray(((await shown.json()) as { stations?: unknown }).stations))
        throw new Error(`Screen ${i} was not given a board.`)
      told.get(i)?.(performance.now())
    }
  })
  await new Promise(done => setTimeout(done, 1000))
  const report = reporter(cookie)
  await page.goto(`${url}/floor?day=${day}`)
  await page.locator('[data-board][data-ready]').waitFor({ state: 'attached' })
  const spread: number[] = []
  const answers: number[] = []
  const drawn: number[] = []
  for (let k = 0; k < 6; k++) {
    await new Promise(done => setTimeout(done, 1500))
    const all = Promise.all(
      Array.from({ length: SCREENS }, (_, i) => new Promise<number>(done => told.set(i, done))),
    )
    const seen = page.evaluate<number>(`new Promise(done => {
      new MutationObserver((list, o) => {
        // The line of now moves by itself.
        if (list.every(r => r.target.parentElement?.closest('[data-now]') || r.target.closest?.('[data-now]'))) return
        o.disconnect()
        requestAnimationFrame(() => done(Date.now()))
      }).observe(document.querySelector('main'), { subtree: true, childList: true, attributes: true, characterData: true })
    })`)
    // Given up with the page where the report is refused: that is what is told then.
    seen.catch(() => {})
    const took = await report()
    const done = performance.now()
    const clock = Date.now()
    answers.push(took)
    spread.push(Math.max(...(await all)) - done)
    drawn.push(Math.max(0, (await seen) - clock))
  }
  stop.abort()
  await Promise.allSettled(screens)
  rows.push(
    [
      'a report from the floor, answered with its new plan',
      ms(median(answers)),
      `the report, ${open} jobs planned anew, all in one transaction`,
    ],
    [
      `the new board on all of ${SCREENS} screens, after that answer`,
      ms(median(spread)),
      `last of ${SCREENS} to have it whole; a browser beside them has drawn it after ${ms(median(drawn))}; asked: under 1000 ms`,
    ],
  )
}

async function signedIn(): Promise<Page> {
  const page = await (await browser.newContext({ viewport: { width: 1440, height: 900 } })).newPage()
  await page.goto(`${url}/sign-in`)
  await page
    .getByRole('button', { name: /, owner$/ })
    .first()
    .click()
  await page.waitForURL(u => u.pathname !== '/sign-in')
  return page
}

async function times(count: number, work: () => unknown): Promise<number[]> {
  const list: number[] = []
  for (let k = 0; k <= count; k++) {
    const from = performance.now()
    await work()
    list.push(performance.now() - from)
  }
  return list.slice(1)
}
