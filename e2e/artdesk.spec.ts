import { readFile } from 'node:fs/promises'
import Database from 'better-sqlite3'
import type { Page } from 'playwright/test'
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

test('screens get a film an ink and one true-size PDF', async ({ page, shop }) => {
  const print = printBy(shop, 'screen')
  await signIn(page, shop, 'press')
  await page.goto(`/artdesk/${print.artwork}`)
  await makeFiles(page, print.number)
  const film = await download(page, new RegExp(`^${print.number}-.*-01-.*\\.png$`))
  const { width, perMetre } = readPng(film.bytes)
  // Registration marks and the label lie around the print.
  expect(width).toBeGreaterThan(pixels(print.widthMm))
  expect(perMetre).toEqual([11811, 11811])
  const pdf = await download(page, new RegExp(`^${print.number}-.*films\\.pdf$`))
  expect(pdf.bytes.subarray(0, 5).toString('latin1')).toBe('%PDF-')
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
