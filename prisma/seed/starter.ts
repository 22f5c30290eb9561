import type { Actor } from '@/lib/server/history'
import { defaultRates } from '@/lib/shop/rates'
import { addRateCard } from '@/lib/shop/store'
import type { Instant } from '@/lib/units/time'
import { layOutShelves, putUpStations } from './lay-out'

/**
 * What a new shop of one's own begins with, so that the first order can be taken in at once: rates to be replaced, a station
 * of each kind, the usual blanks and consumables, none of them in stock.
 */
export async function startShop(currency: string, owner: Actor, now: Instant): Promise<void> {
  await addRateCard({ validFrom: now, rates: defaultRates, byName: owner.name })
  await putUpStations()
  await layOutShelves(currency, owner, now)
}
