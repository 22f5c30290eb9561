import { beforeEach, describe, expect, test } from 'vitest'
import { artKey } from '@/lib/costing/order'
import { takenPaces, takenRows, takePace } from '@/lib/costing/store'
import { type PriceList, readPriceList } from '@/lib/methods/contract'
import {
  dropScreens,
  keepScreens,
  keptAmong,
  preparedAmong,
  priceLists,
  retirePriceList,
  savePriceList,
  screensOnShelf,
  shopWaysAt,
} from '@/lib/methods/store'
import { agreeAndPlan, currentPlan } from '@/lib/planning/store'
import { db } from '@/lib/server/database'
import { defaultRates } from '@/lib/shop/rates'
import { defaultRecipes } from '@/lib/shop/recipes'
import { saveRecipe } from '@/lib/shop/recipes/store'
import { addRateCard, rateCardAt } from '@/lib/shop/store'
import { ANA, agreed, type Floor, later, NOW, openFloor } from '../floor/shop-floor'
import { offer } from '../orders/books'
import { freshDatabase } from '../support/database'

let floor: Floor
beforeEach(async () => {
  const close = await freshDatabase()
  floor = await openFloor()
  return close
}, 30_000)

const list = (given: Partial<PriceList> = {}): PriceList => {
  const read = readPriceList({
    key: 'quay',
    name: 'Quayside Screens',
    method: 'screen',
    days: 4,
    setupEach: 1500,
    freight: 1200,
    rows: [
      { from: 10, each: 320 },
      { from: 50, each: 190 },
    ],
    ...given,
  })
  if (!read.ok) throw new Error(read.message)
  return read.value
}

describe('price lists of other printers', () => {
  test('a newer version counts; the second of two people is told', async () => {
    expect((await savePriceList(list(), 0, ANA, NOW)).ok).toBe(true)
    expect((await savePriceList(list({ days: 6 }), 1, ANA, NOW)).ok).toBe(true)
    expect(await savePriceList(list({ days: 9 }), 1, ANA, NOW)).toMatchObject({
      ok: false,
      code: 'conflict',
      saved: { list: { days: 6 } },
    })
    expect((await shopWaysAt(NOW)).lists).toEqual([list({ days: 6 })])
  })
  test('two of one name cannot be told apart', async () => {
    await savePriceList(list(), 0, ANA, NOW)
    expect(await savePriceList(list({ key: 'other' }), 0, ANA, NOW)).toMatchObject({ code: 'name-taken' })
  })
  test('put away, it stands in no comparison', async () => {
    await savePriceList(list(), 0, ANA, NOW)
    await retirePriceList('quay', ANA, NOW)
    expect(await priceLists()).toEqual([])
    expect(await db().printerList.count()).toBe(2)
  })
})

describe('times taken over from the clocks', () => {
  const pace = { recipe: 'dtg', key: 'print', stationId: null, factor: 1.2, runs: 9, least: 1, most: 1.5 }
  test('the newest counts, costing reckons with it, and it can be taken back', async () => {
    await takePace(pace, ANA, NOW)
    await takePace({ ...pace, factor: 1.1, runs: 12 }, ANA, later(1))
    expect(await takenRows()).toMatchObject([{ factor: 1.1, runs: 12, byName: 'Ana' }])
    expect((await shopWaysAt(NOW)).costing.pace.get('dtg print')).toEqual({ factor: 1.1, runs: 12 })
    await takePace({ ...pace, runs: 0 }, ANA, later(2))
    expect(await takenPaces()).toEqual([])
    expect(await db().history.count({ where: { entity: 'recipe', ref: 'dtg' } })).toBe(3)
  })
  test('a station’s own pace is kept beside that of all, and costs nothing else', async () => {
    await takePace({ ...pace, stationId: 'dtg-2', factor: 0.9 }, ANA, NOW)
    expect(await takenRows()).toMatchObject([{ stationId: 'dtg-2', factor: 0.9 }])
    expect(await takenPaces()).toEqual([])
    await takePace(pace, ANA, later(1))
    expect(await takenPaces()).toEqual([{ recipe: 'dtg', key: 'print', factor: 1.2, runs: 9 }])
    await takePace({ ...pace, stationId: 'dtg-2', runs: 0 }, ANA, later(2))
    expect(await takenRows()).toMatchObject([{ stationId: null }])
  })
  test('a clock left running is refused', async () =>
    expect(await takePace({ ...pace, factor: 40 }, ANA, NOW)).toMatchObject({ ok: false, code: 'factor' }))
})

describe('screens on the shelf', () => {
  test('are there once, and gone when they are reclaimed', async () => {
    const kept = {
      artworkId: floor.artworkId,
      widthMm: 254,
      heightMm: 300,
      screens: 2,
      place: 'rack 3',
    }
    expect((await keepScreens(kept, ANA, NOW)).ok).toBe(true)
    expect(await keepScreens(kept, ANA, NOW)).toMatchObject({ code: 'kept' })
    const design = `${floor.artworkId}@2540x3000`
    expect(await keptAmong([design, 'y@1x1'])).toEqual([design])
    const [there] = await screensOnShelf()
    await dropScreens(there?.id ?? '', ANA, NOW)
    expect(await keptAmong([design])).toEqual([])
    expect(await dropScreens(there?.id ?? '', ANA, NOW)).toMatchObject({ code: 'gone' })
  })
})

describe('art that an earlier order had prepared', () => {
  const artSteps = (orderId: string) => db().jobStep.findMany({ where: { orderId, key: 'art' } })
  test('is not prepared again by the same method, once somebody has done it', async () => {
    const first = await agreed(floor, true, 'dtg')
    expect(await artSteps(first.id)).toMatchObject([{ stationKind: 'bench', runMinutes: 12 }])
    // Agreed, but nobody has prepared it yet.
    expect(await preparedAmong([floor.artworkId], '')).toEqual([])
    await db().jobStep.updateMany({
      where: { orderId: first.id, key: 'art' },
      data: { state: 'done', version: { increment: 1 } },
    })
    expect(await preparedAmong([floor.artworkId], '')).toEqual([artKey('dtg', floor.artworkId)])
    expect(await preparedAmong([floor.artworkId], first.id)).toEqual([])
    expect(await artSteps((await agreed(floor, true, 'dtg')).id)).toEqual([])
    expect(await artSteps((await agreed(floor, true, 'screen')).id)).toHaveLength(1)
    // A bought-in transfer was prepared by whoever printed it: the shop's own film still wants its file.
    const bought = await agreed(floor)
    await db().jobStep.updateMany({
      where: { orderId: bought.id },
      data: { state: 'done', version: { increment: 1 } },
    })
    const known = await preparedAmong([floor.artworkId], '')
    expect(known).toContain(artKey('transfer-bought-in', floor.artworkId))
    expect(known).not.toContain(artKey('transfer-film', floor.artworkId))
  })
  test('that an offer counted on stays counted, whatever is found since', async () => {
    const { id, version, name } = defaultRecipes.dtg
    const work = {
      way: 'dtg',
      recipe: { id, version, name },
      outside: null,
      rateCard: (await rateCardAt(NOW)).id,
      taken: [],
      keptScreens: [],
      preparedArt: [artKey('dtg', floor.artworkId)],
    }
    const { token, number } = await offer(floor, { method: 'dtg', work })
    expect((await agreeAndPlan({ token, name: 'Marta Lopes', declares: true, now: NOW })).ok).toBe(true)
    const order = await db().order.findUniqueOrThrow({ where: { number } })
    expect(await artSteps(order.id)).toEqual([])
  })
})

describe('what was agreed', () => {
  const way = async () => ({
    way: 'transfer',
    recipe: { id: defaultRecipes.transfer.id, version: 1, name: defaultRecipes.transfer.name },
    outside: null,
    rateCard: (await rateCardAt(NOW)).id,
    taken: [],
    keptScreens: [],
    preparedArt: [],
  })
  const press = async () => {
    const step = await db().jobStep.findFirstOrThrow({ where: { key: 'press' } })
    const recipe = step.recipe as {
      recipe: { version: number }
      parts: { key: string; dwellSeconds: number }[]
    }
    return [recipe.recipe.version, recipe.parts.find(p => p.key === 'press')?.dwellSeconds]
  }
  const change = async () => {
    const edited = structuredClone(defaultRecipes.transfer)
    const setting = edited.steps.find(s => s.key === 'press')?.settings[0]
    if (setting) setting.dwellSeconds.value = 90
    expect((await saveRecipe(edited.id, 1, edited, { from: 'setting' }, ANA, NOW)).ok).toBe(true)
    await addRateCard({
      validFrom: NOW,
      rates: { ...defaultRates, transferDays: 9 },
      byName: 'Ana',
    })
  }

  test('is made by the recipe and the rates of the offer, though both were changed before the customer agreed', async () => {
    const { token } = await offer(floor, { method: 'transfer', work: await way() })
    await change()
    const made = await agreeAndPlan({ token, name: 'Marta Lopes', declares: true, now: NOW })
    expect(made.ok).toBe(true)
    expect(await press()).toEqual([1, 16])
    expect((await currentPlan(NOW)).orders[0]?.holds).toEqual([])
  })
  test('an offer made after the change is made by the new one', async () => {
    await change()
    const now = await way()
    const recipe = { ...now.recipe, version: 2 }
    const { token } = await offer(floor, { method: 'transfer', work: { ...now, recipe } })
    expect((await agreeAndPlan({ token, name: 'Marta Lopes', declares: true, now: NOW })).ok).toBe(true)
    expect(await press()).toEqual([2, 90])
    expect((await currentPlan(NOW)).orders[0]?.holds[0]?.text).toMatch(/^The transfers are in the post/)
  })
  test('printed elsewhere, it comes back to be checked and packed, and the plan waits for it', async () => {
    const work = { ...(await way()), way: 'printer:quay', recipe: null, outside: list() }
    const { token, number } = await offer(floor, { method: 'screen', way: 'printer:quay', work })
    expect((await agreeAndPlan({ token, name: 'Marta Lopes', declares: true, now: NOW })).ok).toBe(true)
    expect((await db().jobStep.findMany()).map(s => s.key)).toEqual(['pack'])
    const [order] = (await currentPlan(NOW)).orders
    expect(order?.holds[0]?.text).toBe('Printed by Quayside Screens: back Wed 20 May.')
    expect(order?.readyAt).toBeGreaterThan(later(5 * 24 * 60))
    expect((await db().order.findUnique({ where: { number } }))?.way).toBe('printer:quay')
  })
})
