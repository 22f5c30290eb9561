import 'server-only'
import { record } from '@/lib/server/history'
import type { BaseUnit } from '@/lib/units/base-unit'
import type { Micro } from '@/lib/units/money'
import { type Result, refuse } from '@/lib/units/result'
import type { Instant } from '@/lib/units/time'
import { readBreaks } from '../breaks'
import { itemDifference } from '../item-difference'
import type { ItemKind } from '../items'
import { revalue } from '../movements'
import { actor, attempt, type By, must, Refused, stockRules, write } from '../store'
import { fifoWorth, type Valuation } from '../valuation'
import { type ItemLine, microOf, openShelf } from '../views/store'

// The list of items itself: new ones, changed ones, and how the shop values them.

/** A new item. Quantities in base units; `price` micro-units buy `pricePer` of them. */
export type NewItem = {
  sku: string
  name: string
  kind: ItemKind
  unit: BaseUnit
  price: Micro
  pricePer?: number
  styleId?: string
  colour?: string
  colourHex?: string
  size?: string
  consumable?: string
  supplier?: string
  reorderPoint?: number
  reorderTo?: number
  leadDays?: number
  widthMm?: number | null
}

/** Adds an item, in the caller's transaction where there is one. @returns its id, or a refusal about the SKU */
export async function addItem(item: NewItem, by: By, now: Instant): Promise<Result<string>> {
  return attempt(async tx => {
    if (await tx.stockItem.count({ where: { sku: item.sku } }))
      throw new Refused(refuse('taken', `There is an item ${item.sku} already: choose another SKU.`, 'sku'))
    const { price, ...rest } = item
    const row = await tx.stockItem.create({ data: { ...rest, priceMicro: BigInt(price) } })
    await record({
      by: actor(by),
      what: `added ${item.name} to the stockroom`,
      entity: 'item',
      ref: row.id,
      after: { sku: item.sku, name: item.name },
      at: new Date(now),
    })
    return row.id
  })
}

/** A style with all its blanks, as lib/shop describes them. */
export type StyleWithBlanks = {
  code: string
  name: string
  kind: string
  fibres: Record<string, number>
  items: Omit<NewItem, 'styleId' | 'kind' | 'unit'>[]
}

/** Adds a style with its blanks, all of it or nothing. A code or SKU that is taken is refused. */
export function addStyle(style: StyleWithBlanks, by: By, now: Instant): Promise<Result<string>> {
  return attempt(async tx => {
    const { items, ...facts } = style
    if (await tx.blankStyle.count({ where: { code: style.code } }))
      throw new Refused(
        refuse('taken', `There is a style ${style.code} already: choose another code.`, 'code'),
      )
    const { id } = await tx.blankStyle.create({ data: facts })
    for (const item of items)
      must(await addItem({ ...item, styleId: id, kind: 'blank', unit: 'piece' }, by, now))
    return id
  })
}

/** What can be changed of an item later. */
export type ItemChange = Pick<
  ItemLine,
  | 'name'
  | 'supplier'
  | 'reorderPoint'
  | 'reorderTo'
  | 'leadDays'
  | 'price'
  | 'minOrder'
  | 'breaks'
  | 'retired'
> & { widthMm?: number | null }

/** Changes an item, if nobody changed it since `version` was read. The refusal shows what stands there now. */
export function changeItem(
  sku: string,
  version: number,
  change: ItemChange,
  by: By,
  now: Instant,
): Promise<Result<void>> {
  return attempt(async tx => {
    const row = await tx.stockItem.findUnique({ where: { sku } })
    if (!row)
      throw new Refused(refuse('no-item', `There is no item ${sku.slice(0, 60)}: choose one from the list.`))
    if (row.version !== version) {
      const shop = await tx.shop.findUnique({ where: { id: 1 }, select: { currency: true } })
      const saved = { ...row, price: microOf(row.priceMicro) }
      const other = itemDifference(saved, change, row.unit as BaseUnit, shop?.currency ?? 'EUR')
      throw new Refused(
        refuse(
          'changed',
          `Somebody changed ${row.name} meanwhile${other ? `; saved now: ${other}` : ''}. Load the page again, then change what you wish.`,
        ),
      )
    }
    const { price, breaks, ...rest } = change
    await tx.stockItem.update({
      where: { sku },
      data: {
        ...rest,
        priceMicro: BigInt(price),
        breaks: breaks.map(b => ({ ...b })),
        version: { increment: 1 },
      },
    })
    const before = Object.fromEntries(Object.keys(rest).map(k => [k, row[k as keyof typeof rest]]))
    await record({
      by: actor(by),
      what: `changed ${row.name}`,
      entity: 'item',
      ref: row.id,
      before: { ...before, price: Number(row.priceMicro), breaks: readBreaks(row.breaks) },
      after: { ...rest, price, breaks },
      at: new Date(now),
    })
  })
}

/**
 * Changes how the shop values stock. Toward first in, first out each shelf whose worth differs gets one line that moves no
 * goods; toward moving average nothing has to be written.
 */
export function changeValuation(valuation: Valuation, by: By, now: Instant): Promise<Result<number>> {
  return attempt(async tx => {
    const before = await stockRules(tx)
    if (before.valuation === valuation) return 0
    await tx.shop.update({ where: { id: 1 }, data: { valuation, version: { increment: 1 } } })
    let lines = 0
    if (valuation === 'fifo')
      for (const item of await tx.stockItem.findMany({ select: { id: true } })) {
        const { shelf, position } = await openShelf(tx, item.id)
        const entry = revalue(
          shelf,
          fifoWorth(shelf.layers, shelf.onHand),
          'Valued first in, first out from now on',
        )
        if (!entry) continue
        await write(tx, item.id, position, [entry], by, now, {})
        lines++
      }
    await record({
      by: actor(by),
      what: 'changed how stock is valued',
      entity: 'shop',
      ref: 'valuation',
      before: { valuation: before.valuation },
      after: { valuation },
      at: new Date(now),
    })
    return lines
  })
}
