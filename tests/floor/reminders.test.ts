import { expect, test } from 'vitest'
import { remindersOf } from '@/lib/floor/reminders'

const plain = { sizes: [{ size: 'M' }], promise: null, rights: [] }

test('an ordinary step has none', () => {
  expect(remindersOf(plain)).toEqual([])
})

test('children’s sizes, an event, and art on somebody’s word are named', () => {
  const all = remindersOf({
    sizes: [{ size: 'YM' }, { size: 'YM' }, { size: 'L' }],
    promise: 'Sat 16 May, 09:00',
    rights: [{ name: 'heron.png', basis: 'the customer’s declaration', evidence: 'Marta Lopes' }],
  })
  expect(all.map(r => r.kind)).toEqual(['child', 'promise', 'rights'])
  expect(all[0]?.words).toMatch(/^Children’s sizes \(YM\)/)
  expect(all[1]?.words).toMatch(/Sat 16 May, 09:00/)
  expect(all[2]?.words).toMatch(/heron\.png rests on the customer’s declaration \(Marta Lopes\)/)
})
