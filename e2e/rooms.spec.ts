import { readdirSync } from 'node:fs'
import Database from 'better-sqlite3'
import type { Page } from 'playwright/test'
import type { RunningShop } from './support/shop'
import { axeFinds, expect, signIn, test } from './support/test'

test.use({ kind: 'demo' })

/** Pages that other walks look at, since they need what this one has not: an empty shop, a code, somebody's ticket in hand. */
const ELSEWHERE = ['/welcome', '/welcome/opening', '/sign-in/code', '/floor/scan/[code]']

/** Pages that have more than one face, or whose address is no row of the database. */
const FACES: Record<string, string[]> = {
  '/floor': ['/floor', '/floor?view=week', '/floor?find=1041&who=&station=bench'],
  '/floor/stations/[code]': ['press-a', 'garment-printer', 'screen-press', 'bench'].map(
    code => `/floor/stations/${code}`,
  ),
  '/office/machines/[code]': ['/office/machines/press-a'],
  '/office/printers/[key]': ['/office/printers/new', '/office/printers/northgate'],
  '/office/recipes/[id]': ['/office/recipes/screen-plastisol'],
  '/stockroom/items/[sku]': ['/stockroom/items/T180-BLA-M', '/stockroom/items/PLASTISOL'],
  '/stockroom/items/[sku]/edit': ['/stockroom/items/PLASTISOL/edit'],
}

const WIDTHS = [390, 1024, 1440] as const

/** The pages are shared out, so that several workers look at once and no test runs for long. */
const SHARES = 4

test.describe.configure({ mode: 'parallel' })

for (let share = 0; share < SHARES; share++)
  test(`in every room, by day and by night, axe finds nothing, and no page runs over the edge of any screen (${share + 1} of ${SHARES})`, async ({
    page,
    shop,
  }) => {
    test.setTimeout(360_000)
    await signIn(page, shop)
    const wrong: string[] = []
    const all = await addresses(page, shop)
    for (const path of all.filter((_, at) => at % SHARES === share)) {
      await page.emulateMedia({ colorScheme: 'light' })
      const answer = await page.goto(path)
      expect(answer?.status(), path).toBe(200)
      const found = await axeFinds(page)
      // The night changes colours alone.
      await page.emulateMedia({ colorScheme: 'dark' })
      found.push(...(await axeFinds(page, ['color-contrast'])).map(one => `${one}, by night`))
      for (const width of WIDTHS) {
        await page.setViewportSize({ width, height: 900 })
        const beyond = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth)
        if (beyond > 0) found.push(`${beyond} px too wide at ${width}`)
      }
      wrong.push(...found.map(one => `${path}: ${one}`))
    }
    expect(wrong).toEqual([])
  })

/** An address of every page of the app, of orders one in each state. */
async function addresses(page: Page, shop: RunningShop): Promise<string[]> {
  const db = new Database(`${shop.data}/demo.db`, { readonly: true })
  const one = (sql: string, ...given: unknown[]) => {
    const found = db.prepare(sql).pluck().get(given)
    expect(found, sql).toBeTruthy()
    return found
  }
  const order = (state: string) => one('SELECT MAX(number) FROM "Order" WHERE state = ?', state)
  try {
    const count = await countBegun(page)
    const rows: Record<string, string[]> = {
      ...FACES,
      '/artdesk/[id]': [`/artdesk/${one('SELECT MAX(id) FROM Artwork')}`],
      '/counter/customers/[id]': [`/counter/customers/${one('SELECT MAX(id) FROM Customer')}`],
      '/counter/customers/[id]/edit': [`/counter/customers/${one('SELECT MAX(id) FROM Customer')}/edit`],
      '/counter/invoices/[id]': [`/counter/invoices/${one('SELECT MAX(id) FROM Invoice')}`],
      '/counter/orders/[number]': [
        ...['enquiry', 'offered', 'agreed', 'making', 'ready', 'handedOver', 'declined'].map(
          state => `/counter/orders/${order(state)}`,
        ),
      ],
      '/counter/orders/[number]/edit': [`/counter/orders/${order('enquiry')}/edit`],
      '/counter/orders/[number]/methods': [`/counter/orders/${order('enquiry')}/methods`],
      '/counter/orders/[number]/offer': [`/counter/orders/${order('offered')}/offer`],
      '/floor/jobs/[number]': [`/floor/jobs/${order('making')}`],
      '/floor/labels/[number]': [`/floor/labels/${order('making')}`],
      '/floor/tickets/[number]': [`/floor/tickets/${order('making')}`],
      '/offer/[token]': [`/offer/${one('SELECT token FROM Offer ORDER BY id DESC')}`],
      '/office/orders/[number]': [`/office/orders/${order('handedOver')}`],
      '/office/people/[id]': [`/office/people/${one('SELECT MAX(id) FROM CrewMember')}`],
      '/office/sign-ins/[id]': [`/office/sign-ins/${one('SELECT MAX(id) FROM Person')}`],
      '/stockroom/counts/[number]': [`/stockroom/counts/${count}`],
      '/stockroom/screens/[number]': [
        `/stockroom/screens/${one('SELECT MIN(f.number) FROM Frame f JOIN FrameUse u ON u.frameId = f.id WHERE u.endedAt IS NULL')}`,
      ],
      '/stockroom/counts/[number]/differences': [`/stockroom/counts/${count}/differences`],
      '/stockroom/counts/[number]/sheet': [`/stockroom/counts/${count}/sheet`],
      '/stockroom/purchases/[number]': [`/stockroom/purchases/${one('SELECT MAX(number) FROM Purchase')}`],
    }
    return pages()
      .filter(pattern => !ELSEWHERE.includes(pattern))
      .flatMap(pattern => rows[pattern] ?? [pattern])
  } finally {
    db.close()
  }
}

/** Number of a count that was begun and not yet ended. */
async function countBegun(page: Page): Promise<string> {
  await page.goto('/stockroom/counts')
  await page.getByLabel('Name').fill('Ink shelf')
  await page.getByRole('button', { name: 'Begin' }).click()
  await page.waitForURL(/\/stockroom\/counts\/\d+$/)
  return page.url().split('/').at(-1) as string
}

/** Every page of the app, as its folder is named. */
function pages(folder = ''): string[] {
  return readdirSync(`app${folder}`, { withFileTypes: true }).flatMap(entry => {
    if (entry.isDirectory()) return pages(`${folder}/${entry.name}`)
    return entry.name === 'page.tsx' && folder ? [folder] : []
  })
}
