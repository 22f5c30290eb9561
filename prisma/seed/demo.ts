import { db } from '@/lib/server/database'
import { DEMO_PASSWORD, type DemoSeed } from '@/lib/server/demo'
import type { Actor } from '@/lib/server/history'
import { addPerson } from '@/lib/server/people'
import { defaultRates, type Rates } from '@/lib/shop/rates'
import { addCrewMember, addRateCard } from '@/lib/shop/store'
import { minor } from '@/lib/units/money'
import { type Instant, instant } from '@/lib/units/time'
import { hangGallery } from './gallery'
import { layOutShelves, putUpStations } from './lay-out'
import { PEOPLE, SHOP } from './scenario'

const DAY = 86_400_000

/** The demo shop's own rates: value-added tax of 23 %, a margin, a deposit. */
const RATES: Rates = {
  ...defaultRates,
  wagePerHour: minor(1900),
  tax: { name: 'VAT', rateBp: 2300, inclusive: false },
}

/** Fills an empty database with the demo shop: two closed months and an open one that is in full swing. */
export const seedDemo: DemoSeed = async ({ now, say }) => {
  const began = instant(now - 200 * DAY)
  say('Opening the demo shop')
  await db().shop.create({ data: { ...SHOP, demo: true } })
  const people = await hire()
  const [owner] = people as [Actor]
  await addRateCard({ validFrom: began, rates: RATES, byName: owner.name })
  await putUpStations()
  say('Filling the shelves')
  await layOutShelves(SHOP.currency, owner, began as Instant)
  say('Drawing the artwork')
  await hangGallery(owner)
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
