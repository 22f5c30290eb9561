import { usualInvoicing } from '@/lib/books/invoices/invoice'
import { changeInvoicing } from '@/lib/books/invoices/store'
import { addCustomer } from '@/lib/orders/store'
import { replan, withoutPlanning } from '@/lib/planning/store'
import { db } from '@/lib/server/database'
import { DEMO_PASSWORD, type DemoSeed } from '@/lib/server/demo'
import type { Actor } from '@/lib/server/history'
import { addPerson } from '@/lib/server/people'
import { defaultRates, type Rates } from '@/lib/shop/rates'
import { keepStartingRecipes } from '@/lib/shop/recipes/store'
import { addCrewMember, addRateCard } from '@/lib/shop/store'
import { minor } from '@/lib/units/money'
import { type Instant, instant, monthBounds, monthOf, nextMonth, type ShopMonth } from '@/lib/units/time'
import { hangGallery, nameInks } from './gallery'
import { playHistory, type Stage } from './history'
import { layOutShelves, putUpStations } from './lay-out'
import { rng } from './rng'
import { CUSTOMERS, PEOPLE, SHOP } from './scenario'
import { learnWays, shelveScreens } from './ways'

const DAY = 86_400_000

/** The demo shop's own rates: value-added tax of 23 %, a margin, a deposit. */
const RATES: Rates = {
  ...defaultRates,
  wagePerHour: minor(1900),
  tax: { name: 'VAT', rateBp: 2300, inclusive: false },
}

/** What stands on its invoices: an address that is nobody's. */
const INVOICING = {
  ...usualInvoicing,
  seller: `${SHOP.name}\n4 Rope Walk\nPort Alder`,
  taxNumber: 'not a real one',
  bank: 'Harbour Savings, account 0000 0000 0000',
}

/** Fills an empty database with the demo shop: two closed months and an open one that is in full swing. */
export const seedDemo: DemoSeed = async ({ now, say }) => {
  // A new month is a few days old before it counts as the open one, so that there is something in it.
  const open = monthOf(instant(now - 3 * DAY), SHOP.timeZone)
  const closing = [nextMonth(open, -2), nextMonth(open, -1)]
  const began = instant(monthBounds(closing[0] as ShopMonth, SHOP.timeZone).from - 5 * DAY)
  say('Opening the demo shop')
  // The file gets its name when it is whole, so its writes need not wait for the disk.
  await db().$executeRawUnsafe('PRAGMA synchronous=OFF')
  await db().shop.create({ data: { ...SHOP, demo: true, createdAt: new Date(began) } })
  const people = await hire()
  const owner = people[0] as Actor
  await changeInvoicing(INVOICING, owner, began)
  await addRateCard({ validFrom: began, rates: RATES, byName: owner.name })
  await keepStartingRecipes(owner.name, began)
  await learnWays(owner, instant(began + DAY))
  await putUpStations()
  await layOutShelves(SHOP.currency, owner, began)
  say('Drawing the artwork')
  const artworks = await hangGallery(owner, began)
  await nameInks(owner, began)
  const customers = await meetCustomers(owner, began)
  const stage: Stage = { now: instant(now), random: rng(20_260_514), people, customers, artworks, say }
  await withoutPlanning(() => playHistory(stage, began, closing))
  await shelveScreens(people[2] as Actor, instant(now - DAY))
  say('Making the plan')
  const planned = await replan('the demo shop opened', instant(now))
  if (!planned.ok) throw new Error(planned.message)
}

/** Everybody who orders. @returns ids by key */
async function meetCustomers(by: Actor, now: Instant): Promise<Record<string, string>> {
  const ids: Record<string, string> = {}
  for (const { key, ...facts } of CUSTOMERS) {
    const customer = await addCustomer({ note: '', taxExempt: false, ...facts }, by, now)
    ids[key] = customer.id
  }
  return ids
}

/** Everybody of the demo shop: sign-in and a place on the plan. */
async function hire(): Promise<Actor[]> {
  const people: Actor[] = []
  for (const { name, role, wage, skills, hours } of PEOPLE) {
    const person = await addPerson({ name, role, password: DEMO_PASSWORD })
    if (!person.ok) throw new Error(person.message)
    await addCrewMember({
      name,
      userId: person.value.id,
      skills: [...skills],
      hours: [...hours],
      closed: [],
      wagePerHour: wage,
    })
    people.push(person.value)
  }
  return people
}
