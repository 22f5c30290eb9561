import 'server-only'
import type { Result } from '@/lib/units/result'
import { transaction } from './database'
import type { Person } from './people'
import { addPerson } from './people'

/** What the owner says when setting up a shop. */
export type NewShop = {
  name: string
  currency: string
  timeZone: string
  measures: 'metric' | 'imperial'
  owner: string
  password: string
}

class Refused extends Error {
  constructor(readonly refusal: Result<Person>) {
    super()
  }
}

/** Writes the shop's row and its owner into an empty, migrated database: both or none. */
export async function writeNewShop(shop: NewShop): Promise<Result<Person>> {
  try {
    return await transaction(async tx => {
      const { name, currency, timeZone, measures } = shop
      await tx.shop.create({ data: { name, currency, timeZone, measures } })
      const owner = await addPerson({ name: shop.owner, password: shop.password, role: 'owner' })
      if (!owner.ok) throw new Refused(owner)
      return owner
    })
  } catch (error) {
    if (error instanceof Refused) return error.refusal
    throw error
  }
}
