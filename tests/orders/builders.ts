import { type Price, type PriceChoices, priceOrder } from '@/lib/costing/price'
import type { OfferSnapshot, OfferTerms } from '@/lib/orders/offer'
import type { OfferRecord, OrderLine, OrderView } from '@/lib/orders/order'
import { defaultRates, type Rates } from '@/lib/shop/rates'
import { minor } from '@/lib/units/money'
import { atTime, instant, shopDay } from '@/lib/units/time'

export const ZONE = 'Europe/Lisbon'
export const at = (day: string, time = '10:00') => atTime(shopDay(day), time, ZONE)
export const NOW = at('2026-05-14')
export const uuid = (n: number) => `0197a000-0000-7000-8000-${String(n).padStart(12, '0')}`

export const aLine = (more: Partial<OrderLine> = {}): OrderLine => ({
  id: uuid(10),
  position: 0,
  style: { id: uuid(11), code: 'T1', name: 'Heavy tee', kind: 'tee', fibres: { cotton: 100 } },
  colour: 'Black',
  colourHex: '#111111',
  sizes: [
    { itemId: uuid(21), size: 'S', quantity: 4 },
    { itemId: uuid(22), size: 'M', quantity: 8 },
    { itemId: uuid(23), size: 'L', quantity: 8 },
    { itemId: uuid(24), size: '2XL', quantity: 4 },
  ],
  prints: [
    {
      id: uuid(30),
      position: 0,
      placement: 'full-front',
      widthMm: 305,
      heightMm: 300,
      dropMm: 57,
      offsetMm: 0,
      artwork: {
        id: uuid(40),
        name: 'heron.png',
        widthPx: 3602,
        heightPx: 3543,
        alpha: true,
        rights: { basis: 'ownWork', takenBack: false, evidence: '', byName: 'Ines', at: at('2026-05-13') },
      },
    },
  ],
  ...more,
})

/** 24 pieces for Gull Row Choir, promised for 22 May; an enquiry unless told otherwise. */
export const anOrder = (more: Partial<OrderView> = {}): OrderView => ({
  id: uuid(1),
  number: 1042,
  customer: {
    id: uuid(2),
    name: 'Gull Row Choir',
    contact: 'Marta',
    email: 'marta@example.com',
    phone: '555 0142',
    address: '',
    note: '',
    taxExempt: false,
    version: 1,
  },
  state: 'enquiry',
  title: 'Spring concert',
  note: '',
  asked: '',
  promiseAt: at('2026-05-22', '17:00'),
  promiseHard: true,
  rush: false,
  method: null,
  way: null,
  enquiredAt: at('2026-05-13'),
  offeredAt: null,
  agreedAt: null,
  agreedBy: null,
  readyAt: null,
  handedOverAt: null,
  endedAt: null,
  endedWhy: '',
  agreed: null,
  net: null,
  tax: null,
  gross: null,
  deposit: null,
  credit: minor(0),
  version: 1,
  lines: [aLine()],
  offers: [],
  payments: [],
  ...more,
})

/** The default rates with a tax of 23 %, a price rounded to nothing, and no price breaks. */
export const RATES: Rates = {
  ...defaultRates,
  breaks: [],
  rounding: { step: 1, ending: 0 },
  tax: { name: 'VAT', rateBp: 2300, inclusive: false },
}

/** The price of an order that costs so much: each piece for 12.50 unless told otherwise. */
export const aPrice = (order: OrderView, cost = 18_000, each = 1250, choices: PriceChoices = {}): Price =>
  priceOrder(
    order.lines.map((line, i) => ({
      name: line.style.name,
      pieces: line.sizes.reduce((sum, s) => sum + s.quantity, 0),
      cost: minor(i === 0 ? cost : 0),
    })),
    RATES,
    { typed: order.lines.map(() => minor(each)), ...choices },
    { currency: 'EUR', locale: 'en' },
  )

/** 24 pieces at 12.50 are 300.00, with tax at 23 % 369.00, of which a half is the deposit; they cost 180.00. */
export const someTerms = (more: Partial<OfferTerms> = {}): OfferTerms => ({
  method: 'transfer',
  feel: 'a smooth film that can be felt',
  price: aPrice(anOrder()),
  taxTerms: RATES.tax,
  promise: { at: at('2026-05-22', '17:00'), hard: true },
  validUntil: at('2026-05-28', '23:59'),
  message: '',
  care: [],
  cautions: [],
  belowCostWhy: '',
  work: null,
  ...more,
})

export const SHOP = { name: 'Tidewater Print', currency: 'EUR', timeZone: ZONE, measures: 'metric' } as const

/** An offer as saved from a snapshot, not yet answered. */
export const anOffer = (snapshot: OfferSnapshot, more: Partial<OfferRecord> = {}): OfferRecord => ({
  id: uuid(50),
  version: snapshot.page.version,
  token: 'not-a-secret-here',
  method: 'transfer',
  snapshot,
  net: snapshot.page.net,
  tax: snapshot.page.tax,
  gross: snapshot.page.gross,
  cost: minor(18_000),
  validUntil: snapshot.page.validUntil,
  createdAt: instant(NOW),
  byName: 'Ines',
  openedAt: null,
  agreedAt: null,
  agreedName: null,
  declinedAt: null,
  endedAt: null,
  ...more,
})
