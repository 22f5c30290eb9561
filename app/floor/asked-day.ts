import { type ShopDay, shopDay } from '@/lib/units/time'

/** A day of an address; null where it names none. */
export function asDay(text: string | string[] | undefined): ShopDay | null {
  try {
    return typeof text === 'string' ? shopDay(text) : null
  } catch {
    return null
  }
}
