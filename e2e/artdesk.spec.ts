import { readdirSync } from 'node:fs'
import { readFile } from 'node:fs/promises'
import { request as ask } from 'node:http'
import Database from 'better-sqlite3'
import type { APIRequestContext, Page } from 'playwright/test'
import sharp, { type Sharp } from 'sharp'
import { declaredPpi, isPng, pixelsPerMetre, pngChunks } from '../lib/artwork/png'
import type { RunningShop } from './support/shop'
import { expect, expectAccessible, signIn, test } from './support/test'

test.use({ kind: 'demo' })

type PrintRow = {
  number: number
  artwork: string
  sha256: string
  name: string
  widthMm: number
  heightMm: number
}

/** Prints of orders by a method, the newest first, one for each artwork, as the shop's own database has them. */
function printsBy(shop: RunningShop, method: string, states: string[]): PrintRow[] {
  const db = new Database(`${shop.data}/demo.db`, { readonly: true })
  try {
    return db
      .prepare(
        `SELECT MAX(o.number) AS number, a.id AS artwork, a.sha256, a.name, p.widthMm, p.heightMm FROM Print p
         JOIN Artwork a ON a.id = p.artworkId JOIN OrderLine l ON l.id = p.lineId
         JOIN "Order" o ON o.id = l.orderId
         WHERE o.method = ? AND o.state IN (SELECT value FROM json_each(?)) GROUP BY a.id ORDER BY 1 DESC`,
      )
      .all(method, JSON.stringify(states)) as PrintRow[]
  } finally {
    db.close()
  }
}

/** The newest print of an open order by a method. */
function printBy(shop: RunningShop, method: string): PrintRow {
  const [print] = printsBy(shop, method, ['agreed', 'making'])
  if (!print) throw new Error(`The demo shop has no open order by ${method}.`)
  return print
}

/** Width, height and pixels per metre as the bytes of a PNG say. */
function readPng(bytes: Buffer) {
  expect(isPng(bytes)).toBe(true)
  const { chunks, whole } = pngChunks(bytes)
  expect(whole).toBe(true)
  const phys = chunks.find(c => c.type === 'pHYs')?.data ?? new Uint8Array(9)
  const view = new DataView(phys.buffer, phys.byteOffset)
  expect(Math.round(declaredPpi(chunks) ?? 0)).toBe(300)
  return {
    width: bytes.readUInt32BE(16),
    height: bytes.readUInt32BE(20),
    perMetre: [view.getUint32(0), view.getUint32(4)],
  }
}

const pixels = (mm: number): number => Math.round((mm / 25.4) * 300)

/** A picture at 64 × 64 on white, and how far two of them are apart on average, in codes of 0 to 255. */
const small = (picture: Sharp): Promise<Buffer> =>
  picture.flatten({ background: '#ffffff' }).resize(64, 64, { fit: 'fill' }).greyscale().raw().toBuffer()
const apart = (a: Buffer, b: Buffer): number =>
  a.reduce((sum, value, i) => sum + Math.abs(value - (b[i] ?? 0)), 0) / a.length

async function makeFiles(page: Page, order: number): Promise<void> {
  await page.getByRole('button', { name: new RegExp(`^Make the files: order ${order}`) }).click()
  await expect(page.getByRole('link', { name: new RegExp(`^${order}-.*png$`) }).first()).toBeVisible({
    timeout: 60_000,
  })
}

async function download(page: Page, name: RegExp): Promise<{ name: string; bytes: Buffer }> {
  const coming = page.waitForEvent('download')
  await page.getByRole('link', { name }).first().click()
  const file = await coming
  return { name: file.suggestedFilename(), bytes: await readFile(await file.path()) }
}

test('the slider lets the cloth through, by keyboard, and the version is kept with what made it', async ({
  page,
  shop,
}) => {
  const print = printBy(shop, 'transfer')
  await signIn(page, shop, 'counter')
  await page.goto('/artdesk')
  await page.getByRole('link', { name: print.name, exact: true }).first().click()
  const form = page.getByRole('form', { name: /^Let the cloth through/ }).first()
  const figures = form.getByRole('row', { name: /^Covered area/ })
  await expect(figures).toBeVisible({ timeout: 30_000 })
  await expectAccessible(page)

  const covered = async () => Number.parseFloat((await figures.getByRole('cell').last().textContent()) ?? '')
  const before = await covered()
  const slider = form.getByRole('slider', { name: 'Tolerance' })
  await slider.focus()
  await page.keyboard.press('End')
  await expect(slider).toHaveValue('60')
  await expect.poll(covered, { timeout: 15_000 }).toBeLessThan(before)
  await expect(form.getByRole('img', { name: /with the cloth let through$/ })).toBeVisible()

  await form.getByRole('button', { name: 'Keep this version' }).press('Enter')
  await expect(form.getByText(/Kept: prints on #[0-9a-f]{6} are made from it/)).toBeVisible({
    timeout: 30_000,
  })
  const kept = page.getByRole('row', { name: /tolerance 60, soft edge 6, specks cleared.* yes / })
  await expect(kept).toBeVisible()
  const mended = await download(page, /^PNG of the version on/)
  const { width, perMetre } = readPng(mended.bytes)
  expect([width, ...perMetre]).toEqual([pixels(print.widthMm), 11811, 11811])

  await makeFiles(page, print.number)
  const film = await download(page, new RegExp(`^${print.number}-.*film\\.png$`))
  expect(film.name).toBe(
    `${print.number}-${film.name.split('-').slice(1, -2).join('-')}-${Math.round(print.widthMm)}x${Math.round(print.heightMm)}mm-film.png`,
  )
  const sized = readPng(film.bytes)
  expect([sized.width, sized.height]).toEqual([pixels(print.widthMm), pixels(print.heightMm)])
  expect(sized.perMetre).toEqual([11811, 11811])
  expect(pixelsPerMetre(300)).toBe(11811)
  await expectAccessible(page)
})

test('screens get a film an ink, made as somebody chose it by keyboard, and one true-size PDF', async ({
  page,
  shop,
}) => {
  const print = printBy(shop, 'screen')
  await signIn(page, shop, 'counter')
  await page.goto('/artdesk/inks')
  await page.getByRole('textbox', { name: 'Name' }).fill('Dock red')
  await page.getByRole('textbox', { name: 'Colour' }).fill('#c8102e')
  await page.keyboard.press('Enter')
  await expect(page.getByRole('row', { name: /Dock red #c8102e/ })).toBeVisible()
  await expectAccessible(page)
  await page.goto(`/artdesk/${print.artwork}`)
  const films = page.getByRole('form', { name: new RegExp(`^How the films are made: order ${print.number}`) })
  await page.getByText('Choose inks, mesh, choke and halftone').first().press('Enter')
  await expect(films.getByRole('checkbox', { name: 'Dock red' })).toBeChecked()
  await films.getByLabel('Mesh').fill('230')
  await films.getByLabel('Inks at most').fill('2')
  await films.getByRole('button', { name: 'Make the films so' }).press('Enter')
  await expect(films.getByText('Kept: make the files, and these films come out.')).toBeVisible()
  await makeFiles(page, print.number)
  const drawn = page.getByRole('list', { name: new RegExp(`^Films for order ${print.number}`) })
  expect(await drawn.getByRole('listitem').count()).toBeLessThanOrEqual(3)
  await expect(drawn.getByText(/mesh 230/).first()).toBeVisible()
  const film = await download(page, new RegExp(`^${print.number}-.*-01-.*\\.png$`))
  const { width, perMetre } = readPng(film.bytes)
  // Registration marks and the label lie around the print.
  expect(width).toBeGreaterThan(pixels(print.widthMm))
  expect(perMetre).toEqual([11811, 11811])
  const pdf = await download(page, new RegExp(`^${print.number}-.*films\\.pdf$`))
  // A page a film, as large as the film's pixels at 300 ppi: in true size.
  const { PDFDocument } = await import('@cantoo/pdf-lib')
  const pages = (await PDFDocument.load(pdf.bytes)).getPages()
  expect(pages).toHaveLength(await drawn.getByRole('listitem').count())
  const mm = (points: number) => (points / 72) * 25.4
  expect(mm(pages[0]?.getWidth() ?? 0)).toBeCloseTo((width / 300) * 25.4, 1)
})

test('sublimation files are mirrored: turned back they are the art', async ({ page, shop }) => {
  const { print, original } = await mostUneven(shop)
  await signIn(page, shop)
  await page.goto(`/artdesk/${print.artwork}`)
  await makeFiles(page, print.number)
  const file = await download(page, new RegExp(`^${print.number}-.*mirrored\\.png$`))
  expect(readPng(file.bytes).width).toBe(pixels(print.widthMm))
  const mirrored = sharp(file.bytes).flop()
  expect(
    apart(await small(sharp(original)), await small(sharp(await mirrored.png().toBuffer()))),
  ).toBeLessThan(3)
  expect(apart(await small(sharp(original)), await small(sharp(file.bytes)))).toBeGreaterThan(6)
})

/** The sublimation print whose art is least like its own mirror image; which orders are open is a matter of the demo's day. */
async function mostUneven(shop: RunningShop): Promise<{ print: PrintRow; original: Buffer }> {
  const found = await Promise.all(
    printsBy(shop, 'sublimation', ['agreed', 'making', 'ready', 'handedOver']).map(async print => {
      const original = await readFile(
        `${shop.data}/demo-files/kept/${print.sha256.slice(0, 2)}/${print.sha256}`,
      )
      const turned = await sharp(original).flop().png().toBuffer()
      return { print, original, uneven: apart(await small(sharp(original)), await small(sharp(turned))) }
    }),
  )
  const [most] = found.sort((a, b) => b.uneven - a.uneven)
  if (!most) throw new Error('The demo shop has no sublimation print.')
  return most
}

test('prints of open orders lie on sheets: drawn, counted, costed, and one PDF of the sheet’s true size', async ({
  page,
  shop,
}) => {
  await signIn(page, shop, 'press')
  await page.goto('/artdesk/sheets')
  await expectAccessible(page)
  await page.getByRole('button', { name: 'Lay them out' }).click()
  await expect(page.getByText('Choose at least one print to lay on the sheets.')).toBeVisible()
  const prints = page.getByRole('checkbox', { name: /Heat-applied transfer/ })
  for (const print of await prints.all()) await print.check()
  await page.getByLabel('Width').fill('558.8')
  await page.getByLabel('Height of a sheet').fill('609.6')
  await page.getByRole('button', { name: 'Lay them out' }).click()
  await page.waitForURL('**/artdesk/sheets?plan=**', { timeout: 60_000 })
  await expect(
    page.getByRole('img', { name: /^Sheet 1, 558\.8 mm × 609\.6 mm: \d+ prints of orders/ }),
  ).toBeVisible()
  await expectAccessible(page)
  const pdf = await download(page, /^Download the PDF$/)
  expect(pdf.name).toMatch(/^sheets-[\d-]+\.pdf$/)
  // 558.8 × 609.6 mm are 22 × 24 inches: 1584 × 1728 points.
  const { PDFDocument } = await import('@cantoo/pdf-lib')
  const size = (await PDFDocument.load(pdf.bytes)).getPage(0).getSize()
  expect([Math.round(size.width), Math.round(size.height)]).toEqual([1584, 1728])
})

test('a production file of another name or key is not there, and nobody signed out reads one', async ({
  page,
  shop,
  request,
}) => {
  const key = 'a'.repeat(64)
  expect((await request.get(`${shop.url}/api/artwork/production/${key}/x.png`)).status()).toBe(401)
  await signIn(page, shop)
  for (const address of [`${key}/x.png`, `${key}/files.json`, `..%2f..%2fkept/x.png`])
    expect((await page.request.get(`/api/artwork/production/${address}`)).status()).toBe(404)
})

/** Grain of its own over the whole sheet: much to read and to measure, and no other test has it. */
async function largeArt(seed: number): Promise<Buffer> {
  let state = seed
  const grain = Buffer.from(
    Uint8Array.from({ length: 3000 * 4000 * 3 }, () => {
      state = (state * 16807) % 2147483647
      return state & 15
    }),
  )
  return sharp(grain, { raw: { width: 3000, height: 4000, channels: 3 } })
    .png({ compressionLevel: 1 })
    .toBuffer()
}

/** Files that uploads and pieces of work have left, and those that are kept. */
function filesOf(shop: RunningShop) {
  const list = (folder: string): string[] => {
    try {
      return readdirSync(`${shop.data}/demo-files/${folder}`, { recursive: true }).map(String)
    } catch {
      return []
    }
  }
  return { incoming: list('incoming'), making: list('making'), kept: list('kept') }
}

/** Sends so many bytes of an upload and leaves: in the middle of the file, or once the check has begun. */
function sendAndLeave(shop: RunningShop, cookie: string, art: Buffer, bytes: number, begun: RegExp | null) {
  return new Promise<void>((done, failed) => {
    const sending = ask(`${shop.url}/api/artwork?name=left.png`, {
      method: 'PUT',
      headers: {
        cookie,
        origin: shop.url,
        accept: 'application/x-ndjson',
        'content-length': art.length,
      },
    })
    sending.on('close', () => done())
    sending.on('error', error =>
      (error as NodeJS.ErrnoException).code === 'ECONNRESET' ? done() : failed(error),
    )
    sending.on('response', answer =>
      answer.on('data', (text: Buffer) => {
        if (begun?.test(text.toString())) sending.destroy()
      }),
    )
    sending.write(art.subarray(0, bytes), () => {
      if (!begun) sending.destroy()
      else sending.end()
    })
  })
}

const cookieOf = async (request: APIRequestContext): Promise<string> =>
  (await request.storageState()).cookies.map(c => `${c.name}=${c.value}`).join('; ')

test('an upload that somebody leaves, halfway or while it is checked, leaves no file and no artwork', async ({
  page,
  shop,
}) => {
  await signIn(page, shop, 'counter')
  const cookie = await cookieOf(page.context().request)
  const art = await largeArt(7)
  const before = filesOf(shop)
  await sendAndLeave(shop, cookie, art, art.length >> 1, null)
  await sendAndLeave(shop, cookie, art, art.length, /reading|measuring/)
  await expect.poll(() => filesOf(shop), { timeout: 15_000 }).toEqual(before)
  // It was a right upload: sent to its end it is taken in.
  const sent = await page.request.put('/api/artwork?name=whole.png', {
    data: art,
    headers: { origin: shop.url },
  })
  expect(await sent.json()).toMatchObject({ ok: true, widthPx: 3000, known: false })
})

test('the shop answers while an artwork is checked', async ({ page, shop }) => {
  await signIn(page, shop, 'counter')
  let checked = false
  const check = page.request
    .put('/api/artwork?name=grain.png', { data: await largeArt(11), headers: { origin: shop.url } })
    .then(answer => {
      checked = true
      return answer.json()
    })
  let answers = 0
  while (!checked) {
    expect((await page.request.get('/counter')).status()).toBe(200)
    if (!checked) answers++
  }
  expect(await check).toMatchObject({ ok: true, widthPx: 3000 })
  expect(answers).toBeGreaterThan(1)
})

test('the order form places a print: beside the middle, by garment size, with what stands in its way', async ({
  page,
  shop,
}) => {
  await signIn(page, shop, 'counter')
  await page.goto('/counter/new')
  await page.getByLabel('Blank', { exact: true }).selectOption({ label: 'Heavy cotton tee' })
  await page.getByLabel('S', { exact: true }).fill('4')
  await page.getByLabel('2XL', { exact: true }).fill('4')
  await page.getByLabel('Width', { exact: true }).fill('420')
  await expect(page.getByText(/420 mm is too wide for full front on size S/)).toBeVisible()
  await page.getByRole('button', { name: /^Print S.* wide$/ }).press('Enter')
  const sizes = page.getByLabel(/^On other garment sizes/)
  await expect(sizes).toHaveValue(/^S–2XL \d+ mm$/)
  await expect(page.getByText(/too wide for full front/)).toBeHidden()
  await page.getByLabel('Beside the middle').fill('120 right')
  await expect(page.getByText(/On size S it runs \d+ mm over the side seam/)).toBeVisible()
  await expect(page.getByRole('img', { name: /Heavy cotton tee/ }).getByText('120 mm')).toBeVisible()
  await expectAccessible(page)
})
