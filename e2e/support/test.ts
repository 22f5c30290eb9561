import axe from 'axe-core'
import { test as base, expect, type Page } from 'playwright/test'
import { type Kept, OWNER, type RunningShop, type ShopKind, startShop } from './shop'

/**
 * Tests of the shop in a browser. `test.use({ kind: 'demo' })` at the top of a file chooses the shop; all tests of a
 * worker with that kind share one server. A page that logs an error fails its test.
 */
export const test = base.extend<{ quiet: undefined }, { kind: ShopKind; kept: Kept; shop: RunningShop }>({
  kind: ['own', { option: true, scope: 'worker' }],
  kept: ['file', { option: true, scope: 'worker' }],
  shop: [
    async ({ kind, kept }, use) => {
      const shop = await startShop(kind, kept)
      await use(shop)
      await shop.stop()
    },
    { scope: 'worker', timeout: 240_000 },
  ],
  baseURL: async ({ shop }, use) => use(shop.url),
  quiet: [
    async ({ page }, use) => {
      const errors: string[] = []
      page.on('pageerror', error => errors.push(error.message))
      page.on('console', message => {
        // What the network says is up to the test: a refusal is a proper answer.
        if (message.type() === 'error' && !/Failed to load resource/.test(message.text()))
          errors.push(message.text())
      })
      await use(undefined)
      expect(errors, 'errors in the browser').toEqual([])
    },
    { auto: true },
  ],
})

export { expect }

/** Signs in: as the owner of the empty shop, or in the demo as the first person with a role. */
export async function signIn(page: Page, shop: RunningShop, role: 'owner' | 'counter' | 'press' = 'owner') {
  await page.goto('/sign-in')
  if (shop.kind === 'demo')
    await page
      .getByRole('button', { name: new RegExp(`, ${role}$`) })
      .first()
      .click()
  else {
    await page.getByLabel('Your name').fill(OWNER.name)
    await page.getByLabel('Password').fill(OWNER.password)
    await page.getByRole('button', { name: 'Sign in' }).click()
  }
  await page.waitForURL(url => url.pathname !== '/sign-in')
}

/** Of texts that look alike, so many have their contrast measured. */
const OF_A_LOOK = 3

const CONTRAST = 'color-contrast'

/**
 * What axe finds on the page as it stands, a sentence each; with `rules`, by those alone.
 *
 * Contrast is nearly all of axe's time, and on a long list the same figures hundreds of times over: of texts whose own
 * style and colours behind are the same all the way up, the first three are measured. Every other rule sees every node.
 */
export async function axeFinds(page: Page, rules?: string[]): Promise<string[]> {
  if (!(await page.evaluate(() => 'axe' in window))) await page.evaluate(axe.source)
  const looked = await page.evaluate(
    async ({ rules, CONTRAST, OF_A_LOOK }) => {
      const here = (window as unknown as { axe: typeof axe }).axe
      const found: string[] = []
      const CONTRAST_ALONE = { runOnly: { type: 'rule', values: [CONTRAST] } }
      /** @returns what could not be decided */
      const look = async (context: Element[] | Document, options: object): Promise<Set<Element>> => {
        if (Array.isArray(context) && !context.length) return new Set()
        // Only what is wrong is told, so that nothing is written down about all that is right. No page has a frame from elsewhere.
        const { violations, incomplete } = await here.run(context as Document, {
          resultTypes: ['violations', 'incomplete'],
          elementRef: true,
          iframes: false,
          preload: false,
          ...options,
        })
        for (const one of violations)
          found.push(`${one.id}: ${one.help} at ${one.nodes.map(node => node.target.join(' ')).join(' | ')}`)
        return new Set(incomplete.flatMap(one => one.nodes.flatMap(node => node.element ?? [])))
      }

      const others = rules?.filter(rule => rule !== CONTRAST)
      if (!others) await look(document, { rules: { [CONTRAST]: { enabled: false } } })
      else if (others.length) await look(document, { runOnly: { type: 'rule', values: others } })

      if (!rules || rules.includes(CONTRAST)) {
        const behind = new Map<Element, string>()
        const numbers = new Map<string, string>()
        /** Number of all colours from an element up to the root. */
        const colours = (element: Element | null): string => {
          if (!element) return ''
          let said = behind.get(element)
          if (said === undefined) {
            const s = getComputedStyle(element)
            const whole = [
              colours(element.parentElement),
              ...[s.backgroundColor, s.backgroundImage, s.opacity, s.filter, s.mixBlendMode],
              s.position === 'absolute' || s.position === 'fixed' ? s.position : '',
            ].join(';')
            said = numbers.get(whole) ?? String(numbers.size)
            numbers.set(whole, said)
            behind.set(element, said)
          }
          return said
        }
        const looks = new Map<string, Element[]>()
        for (const element of document.body.querySelectorAll('*')) {
          const own = [...element.childNodes].some(
            node => node.nodeType === Node.TEXT_NODE && node.nodeValue?.trim(),
          )
          // A field shows what is in it.
          if (!own && !element.matches('input, select, textarea')) continue
          if (!element.checkVisibility()) continue
          const s = getComputedStyle(element)
          const key = [
            ...[
              colours(element),
              element.localName,
              element.matches(':disabled'),
              s.color,
              s.fontSize,
              s.fontWeight,
            ],
            ...[s.textShadow, s.webkitTextStrokeColor, s.webkitTextStrokeWidth],
            getComputedStyle(element, '::before').backgroundColor,
            getComputedStyle(element, '::after').backgroundColor,
          ].join(';')
          looks.set(key, [...(looks.get(key) ?? []), element])
        }
        const some = (of: (alike: Element[]) => Element[]) => [...looks.values()].flatMap(of)
        const undecided = await look(
          some(alike => alike.slice(0, OF_A_LOOK)),
          CONTRAST_ALONE,
        )
        // Where one lies half hidden axe says nothing of it: its like are asked then.
        await look(
          some(alike => (alike.some(one => undecided.has(one)) ? alike.slice(OF_A_LOOK) : [])),
          CONTRAST_ALONE,
        )
      }
      return { found, nodes: document.body.querySelectorAll('*').length }
    },
    { rules, CONTRAST, OF_A_LOOK },
  )
  expect(looked.nodes, 'a page was looked at').toBeGreaterThan(5)
  return looked.found
}

/** axe finds nothing on the page as it stands; with `rules`, by those alone. */
export async function expectAccessible(page: Page, rules?: string[]) {
  // The title of a page that is sent in parts comes with a later part.
  await expect.poll(() => page.title(), `title of ${page.url()}`).not.toBe('')
  expect(await axeFinds(page, rules), `axe at ${page.url()}`).toEqual([])
}
