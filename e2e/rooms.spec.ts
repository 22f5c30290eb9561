import Database from 'better-sqlite3'
import type { RunningShop } from './support/shop'
import { expect, expectAccessible, signIn, test } from './support/test'

test.use({ kind: 'demo' })

/** Every page of every room that needs no more than the demo shop; numbers and names are looked up on the way. */
const PAGES = [
  '/counter',
  '/counter/new',
  '/counter/orders',
  '/counter/customers',
  '/artdesk',
  '/floor',
  '/floor/stations',
  '/floor/day',
  '/floor/learned',
  '/floor/stations/press-a',
  '/floor/stations/garment-printer',
  '/floor/stations/screen-press',
  '/floor/stations/bench',
  '/stockroom',
  '/stockroom/items',
  '/stockroom/items/new',
  '/stockroom/items/T180-BLA-M',
  '/stockroom/items/PLASTISOL',
  '/stockroom/blanks',
  '/stockroom/screens',
  '/stockroom/purchases',
  '/stockroom/purchases/new',
  '/office',
  '/office/machines',
  '/office/people',
  '/office/hours',
  '/office/sign-ins',
  '/office/sign-ins/new',
  '/account',
  '/office/settings',
  '/office/recipes',
  '/office/recipes/screen-plastisol',
  '/office/printers',
  '/office/printers/new',
  '/office/printers/northgate',
  '/office/buying',
  '/office/history',
  '/parts',
]

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
    const over: string[] = []
    const all = [...PAGES, ...numbers(shop)]
    for (const path of all.filter((_, at) => at % SHARES === share)) {
      await page.emulateMedia({ colorScheme: 'light' })
      const answer = await page.goto(path)
      expect(answer?.status(), path).toBe(200)
      await expectAccessible(page)
      // The night changes colours alone.
      await page.emulateMedia({ colorScheme: 'dark' })
      await expectAccessible(page, ['color-contrast'])
      for (const width of WIDTHS) {
        await page.setViewportSize({ width, height: 900 })
        const beyond = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth)
        if (beyond > 0) over.push(`${path} by ${beyond} px at ${width}`)
      }
    }
    expect(over).toEqual([])
  })

/** Pages of the newest order in each state. */
function numbers(shop: RunningShop): string[] {
  const db = new Database(`${shop.data}/demo.db`, { readonly: true })
  try {
    const newest = db.prepare('SELECT MAX(number) FROM "Order" WHERE state = ?').pluck()
    const of = (state: string) => {
      const n = newest.get(state)
      expect(n, `an order that is ${state}`).toBeTruthy()
      return n
    }
    const pages = ['enquiry', 'offered', 'agreed', 'making', 'ready', 'handedOver', 'declined'].map(
      state => `/counter/orders/${of(state)}`,
    )
    return [
      ...pages,
      `/counter/orders/${of('enquiry')}/methods`,
      `/counter/orders/${of('enquiry')}/edit`,
      `/counter/orders/${of('offered')}/offer`,
      `/floor/jobs/${of('making')}`,
      `/floor/tickets/${of('making')}`,
      `/office/orders/${of('handedOver')}`,
    ]
  } finally {
    db.close()
  }
}
