import { db } from '@/lib/server/database'
import type { Actor } from '@/lib/server/history'
import { CONSUMABLE, CONSUMABLES, type ConsumableId } from '@/lib/shop/consumables'
import { addStation } from '@/lib/shop/store'
import type { ItemKind } from '@/lib/stock/items'
import { addItem } from '@/lib/stock/items/store'
import { priceFor } from '@/lib/stock/purchase'
import { type Minor, minor, minorToMicro } from '@/lib/units/money'
import type { Instant } from '@/lib/units/time'
import { SHOP_HOURS, STATIONS } from './stations'
import { type SeedStyle, SIZE_SURCHARGE, STYLES, sku } from './styles'

const KIND: Record<ConsumableId, ItemKind> = {
  'transfer-sheet': 'transfer',
  'sublimation-ink': 'ink',
  'sublimation-paper': 'paper',
  'protection-paper': 'paper',
  parchment: 'paper',
  'dtg-colour': 'ink',
  'dtg-white': 'ink',
  pretreat: 'pretreat',
  plastisol: 'ink',
  'plastisol-white': 'ink',
  'water-based': 'ink',
  emulsion: 'emulsion',
  'film-positive': 'film',
  'screen-tape': 'screen',
  'platen-adhesive': 'screen',
  'film-colour': 'ink',
  'film-white': 'ink',
  'film-powder': 'powder',
  'print-film': 'film',
  'cut-film': 'film',
  bag: 'packaging',
}

/** How much of a consumable one order from its supplier brings, base units. */
export const PACK: Record<ConsumableId, number> = {
  'transfer-sheet': 10,
  'sublimation-ink': 500_000,
  'sublimation-paper': 100,
  'protection-paper': 500,
  parchment: 100,
  'dtg-colour': 1_000_000,
  'dtg-white': 1_000_000,
  pretreat: 5_000_000,
  plastisol: 5_000_000,
  'plastisol-white': 5_000_000,
  'water-based': 5_000_000,
  emulsion: 900_000,
  'film-positive': 60_000,
  'screen-tape': 66_000,
  'platen-adhesive': 1_000_000,
  'film-colour': 1_000_000,
  'film-white': 1_000_000,
  'film-powder': 1_000_000,
  'print-film': 60_000,
  'cut-film': 25_000,
  bag: 500,
}

/** How wide the rolls are that something is cut from, mm. */
const WIDTH: Partial<Record<ConsumableId, number>> = { 'print-film': 600, 'cut-film': 500 }

/** What one blank of a style and size costs, minor units. */
export const blankPrice = (style: SeedStyle, size: SeedStyle['sizes'][number]): Minor =>
  minor(style.price + (SIZE_SURCHARGE[size] ?? 0))

/** Puts up the stations of a shop, in its order. */
export async function putUpStations(): Promise<void> {
  for (const [position, { bed, ...station }] of STATIONS.entries())
    await addStation({
      ...station,
      position,
      hours: SHOP_HOURS,
      closed: [],
      bedWidthMm: bed?.[0] ?? null,
      bedHeightMm: bed?.[1] ?? null,
    })
}

/** Lays the shelves out with every blank and consumable, none of it in stock yet. @returns item ids by SKU */
export async function layOutShelves(currency: string, by: Actor, now: Instant): Promise<Map<string, string>> {
  const ids = new Map<string, string>()
  const add = async (item: Parameters<typeof addItem>[0]) => {
    const added = await addItem(item, by, now)
    if (!added.ok) throw new Error(added.message)
    ids.set(item.sku, added.value)
  }
  for (const style of STYLES) {
    const { id: styleId } = await db().blankStyle.create({
      data: { code: style.code, name: style.name, kind: style.kind, fibres: { ...style.fibres } },
    })
    for (const [colour, colourHex] of style.colours)
      for (const size of style.sizes)
        await add({
          sku: sku(style.code, colour, size),
          name: `${style.name}, ${colour}, ${size}`,
          kind: 'blank',
          unit: 'piece',
          price: minorToMicro(blankPrice(style, size), currency),
          styleId,
          colour,
          colourHex,
          size,
          supplier: 'Harrow Textile Wholesale',
          leadDays: style.leadDays,
          reorderPoint: 6,
          reorderTo: 24,
        })
  }
  for (const id of CONSUMABLES)
    await add({
      sku: id.toUpperCase(),
      name: CONSUMABLE[id].name,
      kind: KIND[id],
      unit: CONSUMABLE[id].unit,
      price: priceFor(PACK[id], CONSUMABLE[id].price.value, CONSUMABLE[id].per),
      pricePer: PACK[id],
      widthMm: WIDTH[id] ?? null,
      consumable: id,
      supplier: id === 'transfer-sheet' ? 'Tidewater Transfers' : 'Quayside Print Supply',
      leadDays: 3,
      reorderPoint: Math.round(PACK[id] / 5),
      reorderTo: PACK[id],
    })
  return ids
}
