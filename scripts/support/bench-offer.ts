import { randomUUID } from 'node:crypto'
import { comparisonOf, termsOf } from '@/app/counter/comparison'
import { offerInput } from '@/lib/orders/input'
import { addOrder, getOrder, makeOffer } from '@/lib/orders/store'
import { database } from '@/lib/server/database'
import type { Size } from '@/lib/shop/blanks'
import { PLACEMENT } from '@/lib/shop/placements'
import { shop, styles } from '@/lib/shop/store'
import { addDays, dayOf, instantOf } from '@/lib/units/time'

const BENCH = { id: null, name: 'bench' }

/** Offers an order of so many blanks, each with a print of its own, as the counter does. @returns the address of the offer */
export async function offerOf(lines: number): Promise<string> {
  const now = instantOf(new Date())
  const [facts, catalogue, art, customer] = await Promise.all([
    shop(),
    styles(),
    database().artwork.findMany({ where: { clearances: { some: {} } }, orderBy: { id: 'asc' } }),
    database().customer.findFirstOrThrow({ orderBy: { id: 'asc' } }),
  ])
  const blanks = catalogue
    .filter(s => PLACEMENT['full-front'].kinds.includes(s.kind))
    .flatMap(s => s.colours.map(c => ({ styleId: s.id, colour: c.name, sizes: c.sizes })))
  const written = await addOrder(
    {
      customer: { id: customer.id },
      title: `${lines} blanks`,
      note: '',
      promise: null,
      rush: false,
      formKey: randomUUID(),
      lines: Array.from({ length: lines }, (_, i) => {
        const blank = blanks[i % blanks.length]
        const artwork = art[i % art.length]
        if (!blank || !artwork) throw new Error('The demo shop has no blank or no artwork.')
        return {
          key: String(i),
          styleId: blank.styleId,
          colour: blank.colour,
          sizes: blank.sizes.slice(0, 4).map((s, k) => ({ size: s.size as Size, quantity: 4 + k })),
          prints: [
            {
              key: '0',
              placement: 'full-front',
              widthMm: 220,
              heightMm: 220,
              dropMm: 57,
              artworkId: artwork.id,
            },
          ],
        }
      }) as Parameters<typeof addOrder>[0]['lines'],
    },
    BENCH,
    now,
  )
  if (!written.ok) throw new Error(written.message)
  const order = await getOrder(written.value.number)
  if (!order) throw new Error('The order is not there.')
  const found = await comparisonOf(order, now)
  if (!found.ok) throw new Error(found.message)
  const row = found.value.rows.find(r => r.can)
  if (!row) throw new Error('No way can print this order.')
  const today = dayOf(now, facts.timeZone)
  const input = offerInput({
    measures: facts.measures,
    currency: facts.currency,
    zone: facts.timeZone,
    now,
  }).parse({
    method: row.method,
    way: row.key === row.method ? '' : row.key,
    validUntil: addDays(today, 14),
    promiseDay: addDays(today, 30),
    belowCostWhy: 'a measurement',
    version: '1',
  })
  const made = await makeOffer(
    order.number,
    order.version,
    termsOf(row, found.value, input, facts.timeZone),
    facts,
    BENCH,
    now,
  )
  if (!made.ok) throw new Error(made.message)
  return made.value.token
}
