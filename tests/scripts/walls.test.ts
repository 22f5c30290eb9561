import { mkdirSync, mkdtempSync, writeFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { expect, inject, test } from 'vitest'
import { cruiseHouse } from '../../scripts/support/cruise'

/** Builds a small house of the given files, and names the rules that it breaks. */
async function broken(files: Record<string, string>): Promise<string[]> {
  const house = mkdtempSync(join(inject('scratch'), 'house-'))
  for (const [name, content] of Object.entries(files)) {
    mkdirSync(dirname(join(house, name)), { recursive: true })
    writeFileSync(join(house, name), content)
  }
  const seen = await cruiseHouse(house, ['lib'])
  expect(seen.modules).toBeGreaterThanOrEqual(Object.keys(files).length)
  return seen.broken.map(one => one.rule)
}

const value = 'export const value = 1\n'
const importing = (path: string) => `import { value } from '${path}'\nexport const other = value\n`

test('a house that stands breaks no rule', async () => {
  expect(
    await broken({
      'lib/units/money.ts': value,
      'lib/server/database.ts': importing('../units/money'),
      'lib/shop/rates.ts': importing('../units/money'),
      'lib/shop/store.ts': "import { other } from '../server/database'\nexport const third = other\n",
      'lib/books/month.ts': importing('../units/money'),
    }),
  ).toEqual([])
})

test.each([
  ['floor-shop', 'lib/shop/rates.ts', '../costing/price', 'lib/costing/price.ts'],
  ['floor-orders', 'lib/orders/lines.ts', '../methods/compare', 'lib/methods/compare.ts'],
  ['floor-costing', 'lib/costing/price.ts', '../books/month', 'lib/books/month.ts'],
  ['floor-units', 'lib/units/money.ts', '../shop/rates', 'lib/shop/rates.ts'],
  ['server-below-the-trade', 'lib/server/files.ts', '../artwork/check', 'lib/artwork/check.ts'],
  ['engine-knows-no-shop', 'lib/planning/engine/plan.ts', '../steps', 'lib/planning/steps.ts'],
  ['database-through-stores', 'lib/shop/rates.ts', '../server/database', 'lib/server/database.ts'],
  ['plain-knows-no-server', 'lib/shop/rates.ts', './store', 'lib/shop/store.ts'],
])('%s: %s may not import %s', async (rule, from, path, to) => {
  expect(await broken({ [from]: importing(path), [to]: value })).toContain(rule)
})

test('a plain file may not read files', async () => {
  const file = "import { readFileSync } from 'node:fs'\nexport const read = readFileSync\n"
  expect(await broken({ 'lib/shop/rates.ts': file })).toContain('plain-knows-no-machine')
})

test('two files may not need each other', async () => {
  const two = (path: string, name: string) =>
    `import * as next from '${path}'\nexport const ${name} = () => next\n`
  expect(await broken({ 'lib/shop/a.ts': two('./b', 'a'), 'lib/shop/b.ts': two('./a', 'b') })).toContain(
    'no-circles',
  )
})
