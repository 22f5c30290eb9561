import { randomUUID } from 'node:crypto'
import type { OrderInput } from '@/lib/orders/input'
import type { OfferTerms } from '@/lib/orders/offer'
import { type OrderView, orderPieces } from '@/lib/orders/order'
import { addOrder, getOrder, makeOffer } from '@/lib/orders/store'
import { db } from '@/lib/server/database'
import { formatMoney, type Minor } from '@/lib/units/money'
import { aPrice, at, NOW, SHOP, someTerms } from './builders'

export const INES = { id: null, name: 'Ines' }
export const SHOP_FACTS = {
  ...SHOP,
  paper: 'a4' as const,
  publicAddress: '',
  firstPiece: false,
  demo: false,
  version: 1,
}
export const show = (amount: Minor) => formatMoney(amount, 'EUR')

/** A style of tee in one colour, four sizes, a customer and an artwork that nobody has cleared. */
export async function stockUp() {
  const style = await db().blankStyle.create({
    data: { code: 'T1', name: 'Heavy tee', kind: 'tee', fibres: { cotton: 100 } },
  })
  const sizes = ['S', 'M', 'L', '2XL']
  for (const size of sizes)
    await db().stockItem.create({
      data: {
        sku: `T1-BLK-${size}`,
        name: `Heavy tee black ${size}`,
        kind: 'blank',
        unit: 'piece',
        styleId: style.id,
        colour: 'Black',
        colourHex: '#111111',
        size,
        priceMicro: 3_000_000n,
      },
    })
  const customer = await db().customer.create({ data: { name: 'Gull Row Choir' } })
  const artwork = await db().artwork.create({
    data: {
      sha256: 'a'.repeat(64),
      name: 'heron.png',
      mime: 'image/png',
      bytes: 1000,
      widthPx: 3602,
      heightPx: 3543,
      alpha: true,
      byName: 'Ines',
    },
  })
  return { styleId: style.id, customerId: customer.id, artworkId: artwork.id }
}
export type Stocked = Awaited<ReturnType<typeof stockUp>>

export const anInput = (s: Stocked, more: Partial<OrderInput> = {}): OrderInput & { formKey: string } => ({
  customer: { id: s.customerId },
  title: 'Spring concert',
  note: '',
  promise: { at: at('2026-05-22', '17:00'), hard: true },
  rush: false,
  lines: [
    {
      key: '0',
      styleId: s.styleId,
      colour: 'Black',
      sizes: [
        { size: 'S', quantity: 4 },
        { size: '2XL', quantity: 4 },
      ],
      prints: [
        {
          key: '0',
          placement: 'full-front',
          widthMm: 305,
          heightMm: 300,
          dropMm: 57,
          artworkId: s.artworkId,
        },
      ],
    },
  ],
  formKey: randomUUID(),
  ...more,
})

/** An enquiry in the books. */
export async function enquire(s: Stocked, more: Partial<OrderInput> = {}): Promise<OrderView> {
  const made = await addOrder(anInput(s, more), INES, NOW)
  if (!made.ok) throw new Error(made.message)
  return (await getOrder(made.value.number)) as OrderView
}

/** Terms that fit the order: 300.00 before tax at 23 %. */
export const termsFor = (order: OrderView, more: Partial<OfferTerms> = {}): OfferTerms =>
  someTerms({ price: aPrice(order, 18_000, 30_000 / orderPieces(order)), ...more })

/** An offered order: the order, and the address of its offer. */
export async function offer(s: Stocked, more: Partial<OfferTerms> = {}) {
  const order = await enquire(s)
  const made = await makeOffer(order.number, order.version, termsFor(order, more), SHOP_FACTS, INES, NOW)
  if (!made.ok) throw new Error(made.message)
  return { number: order.number, token: made.value.token }
}
