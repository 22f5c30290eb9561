import 'server-only'
import { db } from '@/lib/server/database'
import { record } from '@/lib/server/history'
import type { Micro } from '@/lib/units/money'
import { type Result, refuse } from '@/lib/units/result'
import type { Instant } from '@/lib/units/time'
import { actor, attempt, type By, Refused } from '../store'
import { microOf } from '../views/store'

/** Who the shop buys from. `least`: worth of the smallest order that is taken, micro-units; version 0: nothing written yet. */
export type SupplierFacts = {
  name: string
  email: string
  phone: string
  address: string
  note: string
  least: Micro
  version: number
}

/** What is written of a supplier; nothing written is an empty card. */
export async function supplier(name: string): Promise<SupplierFacts> {
  const row = await db().supplier.findUnique({ where: { name } })
  if (!row) return { name, email: '', phone: '', address: '', note: '', least: microOf(0), version: 0 }
  const { leastMicro, ...facts } = row
  return { ...facts, least: microOf(leastMicro) }
}

/** Writes down what is known of a supplier, if nobody changed it since `version` was read. */
export function changeSupplier(
  { version, least, ...facts }: SupplierFacts,
  by: By,
  now: Instant,
): Promise<Result<void>> {
  return attempt(async tx => {
    const before = await tx.supplier.findUnique({ where: { name: facts.name } })
    if ((before?.version ?? 0) !== version)
      throw new Refused(
        refuse(
          'changed',
          `Somebody changed ${facts.name} meanwhile: load the page again, then change what you wish.`,
        ),
      )
    const data = { ...facts, leastMicro: BigInt(least) }
    await tx.supplier.upsert({
      where: { name: facts.name },
      create: data,
      update: { ...data, version: { increment: 1 } },
    })
    await record({
      by: actor(by),
      what: `wrote down what is known of ${facts.name}`,
      entity: 'supplier',
      ref: facts.name,
      before: before ? { email: before.email, phone: before.phone, least: Number(before.leastMicro) } : {},
      after: { email: facts.email, phone: facts.phone, least },
      at: new Date(now),
    })
  })
}
