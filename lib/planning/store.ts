import 'server-only'
import { measuredFor } from '@/lib/artwork/store'
import type { ArtFacts, OrderWork } from '@/lib/costing/order'
import { type Costing, prepare } from '@/lib/costing/prepare'
import type { OrderView } from '@/lib/orders/order'
import { db } from '@/lib/server/database'
import type { MethodId } from '@/lib/shop/methods'
import { defaultRecipes, finish } from '@/lib/shop/recipes'
import { ratesAt, shop, stations } from '@/lib/shop/store'
import { type Micro, micro } from '@/lib/units/money'
import type { Instant } from '@/lib/units/time'
import { artFacts, workFrom } from './order-work'

/** The shop as costing needs it, with the rates that count at an instant. */
export async function costingAt(now: Instant): Promise<Costing> {
  const [facts, rates, machines] = await Promise.all([shop(), ratesAt(now), stations()])
  return prepare({
    recipes: defaultRecipes,
    finish,
    stations: machines,
    rates,
    show: { currency: facts.currency, locale: 'en', system: facts.measures },
  })
}

/** What costing needs of an order beyond its rows: its artworks as measured, and what its blanks cost. */
export async function orderFacts(
  order: OrderView,
  now: Instant,
): Promise<{ art: Map<string, ArtFacts>; blanks: Map<string, { unitCost: Micro; name: string }> }> {
  const rates = await ratesAt(now)
  const art = new Map<string, ArtFacts>()
  for (const line of order.lines)
    for (const print of line.prints) {
      if (!print.artwork) continue
      const measured = await measuredFor(print.artwork.id, {
        widthMm: print.widthMm,
        heightMm: print.heightMm,
        garmentHex: line.colourHex,
        method: order.method ?? 'transfer',
        ppiRules: {
          house: rates.artPpi.house,
          warnBelow: rates.artPpi.warn,
          stopBelow: rates.artPpi.floor,
        },
      })
      if (measured.ok) art.set(print.id, artFacts(print.artwork.id, measured.value))
    }
  const items = await db().stockItem.findMany({
    where: { id: { in: order.lines.flatMap(l => l.sizes.map(s => s.itemId)) } },
    select: { id: true, name: true, priceMicro: true, pricePer: true },
  })
  const blanks = new Map(
    items.map(i => [
      i.id,
      { unitCost: micro(Math.round(Number(i.priceMicro) / Math.max(1, i.pricePer))), name: i.name },
    ]),
  )
  return { art, blanks }
}

/** An order as it is costed by a method. Measures its artworks where nobody has yet, so call it outside a transaction. */
export async function orderWork(order: OrderView, method: MethodId, now: Instant): Promise<OrderWork> {
  return workFrom(order, method, await orderFacts(order, now))
}
