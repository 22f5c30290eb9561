import { expect, test } from 'vitest'
import { FIRST_STEPS, firstSteps } from '@/lib/orders/first-steps/store'
import { db } from '@/lib/server/database'
import { defaultRates } from '@/lib/shop/rates'
import { addRateCard } from '@/lib/shop/store'
import { bookAtShelf } from '@/lib/stock/store'
import { micro } from '@/lib/units/money'
import { startShop } from '../../prisma/seed/starter'
import { freshDatabase } from '../support/database'
import { enquire, INES, stockUp } from './books'
import { NOW } from './builders'

test('a new shop has all of them before it; what its owner puts right is told, and the first hand-over ends them', async () => {
  const close = await freshDatabase()
  await startShop('EUR', INES, NOW)
  const done = async () => {
    const steps = await firstSteps()
    return steps && FIRST_STEPS.filter(s => steps[s])
  }
  expect(await done()).toEqual([])
  await addRateCard({ validFrom: NOW, rates: defaultRates, byName: INES.name })
  expect(await done()).toEqual(['rates'])
  await bookAtShelf(
    { sku: 'T180-WHI-M', by: INES.name, now: NOW },
    { kind: 'received', quantity: 12, value: micro(36_000_000), why: 'was there' },
  )
  // Goods that came are no change of what is bought.
  expect(await done()).toEqual(['rates', 'shelves'])
  await db().stockItem.update({ where: { sku: 'T180-WHI-M' }, data: { version: { increment: 1 } } })
  expect(await done()).toEqual(['rates', 'blanks', 'shelves'])
  const made = await enquire(await stockUp())
  expect(await done()).toEqual(['rates', 'blanks', 'shelves'])
  await db().order.update({
    where: { id: made.id },
    data: { state: 'handedOver', version: { increment: 1 } },
  })
  expect(await done()).toBeNull()
  await close()
})
