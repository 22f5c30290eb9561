import { customerNames } from '@/lib/orders/store'
import { shop, styles } from '@/lib/shop/store'
import { levels } from '@/lib/stock/views/store'
import { dayOf, instantOf } from '@/lib/units/time'
import { formCatalogue } from './form-catalogue'

/** What the order form shows beside the order itself. */
export async function formSetting() {
  const [facts, all, customers] = await Promise.all([shop(), styles(), customerNames()])
  const shelf = await levels(all.flatMap(s => s.colours.flatMap(c => c.sizes.map(z => z.itemId))))
  // More may be promised than is there; to the person who asks that is none.
  const free = new Map([...shelf].map(([id, level]) => [id, Math.max(0, level.free)]))
  return {
    facts,
    customers,
    catalogue: formCatalogue(all, free),
    today: dayOf(instantOf(new Date()), facts.timeZone),
  }
}
