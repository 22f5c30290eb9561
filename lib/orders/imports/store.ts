import 'server-only'
import { createHash } from 'node:crypto'
import { db } from '@/lib/server/database'
import type { Actor } from '@/lib/server/history'
import type { BlankKind, FibreContent } from '@/lib/shop/blanks'
import { addItem, changeItem } from '@/lib/stock/items/store'
import { attempt, must } from '@/lib/stock/store'
import { findItem, microOf } from '@/lib/stock/views/store'
import { minorToMicro } from '@/lib/units/money'
import { type Result, refuse } from '@/lib/units/result'
import type { Instant } from '@/lib/units/time'
import { addCustomer, editCustomer } from '../store'
import { type BlankEdit, type KnownBlank, type KnownStyle, type NewBlank, planBlanks } from './blanks'
import { type CustomerEdit, type CustomerValues, planCustomers } from './customers'
import { countPlan, type ImportPlan, type Matching, planText, type Table } from './table'

/** What an import did, row by row. */
export type Counts = ReturnType<typeof countPlan>
/** A short mark of a plan: two that do the same have the same. */
export const markOf = (plan: ImportPlan<unknown, unknown>): string =>
  createHash('sha256').update(planText(plan)).digest('hex')
/** Seconds that writing a large file may take. */
const LONG = 120

/** What a file of customers would do to those who are known now. */
export async function customersPlan(
  table: Table,
  matching: Matching,
): Promise<ImportPlan<CustomerValues, CustomerEdit>> {
  return planCustomers(table, matching, await db().customer.findMany({ orderBy: { id: 'asc' } }))
}

const changedMeanwhile = () =>
  refuse(
    'changed',
    'Something changed here meanwhile: look again at what the file would do, then take it in.',
  )

/**
 * Takes a file of customers in: all its good rows, or nothing.
 * @param seen mark of the plan that a person looked at: another is not carried out
 */
export function importCustomers(
  table: Table,
  matching: Matching,
  seen: string,
  by: Actor,
  now: Instant,
): Promise<Result<Counts>> {
  return attempt(async () => {
    const plan = await customersPlan(table, matching)
    if (markOf(plan) !== seen) return must(changedMeanwhile())
    for (const c of plan.changes) {
      if (c.kind === 'new') await addCustomer(c.value, by, now)
      if (c.kind === 'change')
        must(await editCustomer(c.value.id, { ...c.value.to, version: c.value.version }, by, now))
    }
    return countPlan(plan)
  }, LONG)
}

async function knownBlanks(): Promise<{ styles: KnownStyle[]; blanks: KnownBlank[] }> {
  const styles = await db().blankStyle.findMany({
    orderBy: { id: 'asc' },
    include: { items: { orderBy: { id: 'asc' } } },
  })
  return {
    styles: styles.map(({ id, code, name, kind, fibres }) => ({
      id,
      code,
      name,
      kind: kind as BlankKind,
      fibres: fibres as FibreContent,
    })),
    blanks: styles.flatMap(s =>
      s.items.map(i => ({
        sku: i.sku,
        styleCode: s.code,
        colour: i.colour ?? '',
        colourHex: i.colourHex ?? '',
        size: i.size ?? '',
        price: microOf(i.priceMicro),
        supplier: i.supplier,
        leadDays: i.leadDays,
        reorderPoint: i.reorderPoint,
        reorderTo: i.reorderTo,
        version: i.version,
      })),
    ),
  }
}

/** What a file of blanks would do to those that are known now. */
export async function blanksPlan(
  table: Table,
  matching: Matching,
  currency: string,
): Promise<ImportPlan<NewBlank, BlankEdit>> {
  return planBlanks(table, matching, await knownBlanks(), currency)
}

/** Takes a file of blanks in: all its good rows, or nothing. What lies on the shelf is not touched. @param seen see importCustomers */
export function importBlanks(
  table: Table,
  matching: Matching,
  seen: string,
  currency: string,
  by: Actor,
  now: Instant,
): Promise<Result<Counts>> {
  return attempt(async tx => {
    const plan = await blanksPlan(table, matching, currency)
    if (markOf(plan) !== seen) return must(changedMeanwhile())
    const made = new Map<string, string>()
    for (const c of plan.changes) {
      if (c.kind === 'new') {
        const { style, price, size, ...blank } = c.value
        const styleId =
          style.known ??
          made.get(style.code) ??
          (
            await tx.blankStyle.create({
              data: { code: style.code, name: style.name, kind: style.kind, fibres: { ...style.fibres } },
            })
          ).id
        made.set(style.code, styleId)
        must(
          await addItem(
            {
              ...blank,
              name: `${style.name}, ${blank.colour}, ${size}`,
              size,
              styleId,
              kind: 'blank',
              unit: 'piece',
              price: minorToMicro(price, currency),
            },
            by,
            now,
          ),
        )
      }
      if (c.kind === 'change') {
        const { sku, version, ...to } = c.value
        const item = await findItem(sku)
        if (!item) return must(changedMeanwhile())
        const { name, retired, minOrder, breaks } = item
        must(await changeItem(sku, version, { name, retired, minOrder, breaks, ...to }, by, now))
      }
    }
    return countPlan(plan)
  }, LONG)
}
