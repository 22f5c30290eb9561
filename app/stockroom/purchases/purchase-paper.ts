import { shop } from '@/lib/shop/store'
import type { PurchasePaper } from '@/lib/stock/purchase-words'
import type { PurchaseView } from '@/lib/stock/purchases/store'
import { supplier } from '@/lib/stock/suppliers/store'
import { formatLongDay } from '@/lib/units/time'

/** A purchase as its supplier reads it, and where it is sent. */
export async function paperOf(purchase: PurchaseView): Promise<PurchasePaper & { email: string }> {
  const [facts, from] = await Promise.all([shop(), supplier(purchase.supplier)])
  const { number, note, lines, value: total } = purchase
  return {
    number,
    note,
    lines,
    total,
    shop: facts.name,
    supplier: from.name,
    address: from.address,
    email: from.email,
    ordered: formatLongDay(purchase.createdAt, facts.timeZone),
    due: purchase.dueAt && formatLongDay(purchase.dueAt, facts.timeZone),
    currency: facts.currency,
    paper: facts.paper,
  }
}
