import 'server-only'
import { db } from '@/lib/server/database'

/** What a new shop begins with and its owner puts right, in the order in which it matters. */
export const FIRST_STEPS = ['rates', 'machines', 'blanks', 'shelves', 'address', 'people'] as const
export type FirstStep = (typeof FIRST_STEPS)[number]

/**
 * Which of what a new shop began with somebody has put right since.
 * @returns null once an order was handed over: then the shop is not new any more
 */
export async function firstSteps(): Promise<Record<FirstStep, boolean> | null> {
  const tx = db()
  if (await tx.order.findFirst({ where: { state: 'handedOver' }, select: { id: true } })) return null
  const changed = { where: { version: { gt: 1 } }, select: { id: true } }
  const [rates, machine, item, movement, shop, people] = await Promise.all([
    tx.rateCard.count(),
    tx.station.findFirst(changed),
    tx.stockItem.findFirst(changed),
    tx.movement.findFirst({ select: { id: true } }),
    tx.shop.findFirst({ select: { publicAddress: true } }),
    tx.person.count(),
  ])
  return {
    rates: rates > 1,
    machines: machine !== null,
    blanks: item !== null,
    shelves: movement !== null,
    address: (shop?.publicAddress ?? '') !== '',
    people: people > 1,
  }
}
