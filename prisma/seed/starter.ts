import type { Actor } from '@/lib/server/history'
import { defaultRates } from '@/lib/shop/rates'
import { keepStartingRecipes } from '@/lib/shop/recipes/store'
import { STATION_KINDS } from '@/lib/shop/stations'
import { addCrewMember, addRateCard } from '@/lib/shop/store'
import type { Instant } from '@/lib/units/time'
import { layOutShelves, putUpStations } from './lay-out'
import { SHOP_HOURS } from './stations'

/**
 * What a new shop of one's own begins with, so that the first order can be taken in at once: rates to be replaced, a station
 * of each kind and the owner at all of them, the usual blanks and consumables, none of them in stock.
 */
export async function startShop(currency: string, owner: Actor, now: Instant): Promise<void> {
  await addRateCard({ validFrom: now, rates: defaultRates, byName: owner.name })
  await keepStartingRecipes(owner.name, now)
  await putUpStations()
  await addCrewMember({
    name: owner.name,
    userId: owner.id,
    skills: [...STATION_KINDS],
    hours: SHOP_HOURS,
    closed: [],
    wagePerHour: defaultRates.wagePerHour,
  })
  await layOutShelves(currency, owner, now)
}
