import { describe, expect, test } from 'vitest'
import { addKey, closeBurst, NO_BURST, readCode, readScan, scanCode } from '@/lib/floor/scan'

describe('what a scanner typed', () => {
  test('the address of a ticket, from any host', () => {
    for (const host of ['http://192.168.1.20:3000', 'https://shop.example'])
      expect(readScan(`${host}/floor/scan/${scanCode(1044, 'batch-2')}`)).toEqual({
        number: 1044,
        job: 'batch-2',
        address: true,
      })
    expect(readScan('http://shop/floor/jobs/1044')).toEqual({ number: 1044, job: null, address: true })
  })
  test('typed for another keyboard', () => {
    expect(readScan('httpÑ--shop-floor-scan-1044ßremake/1')?.number).toBe(1044)
  })
  test('a number alone; nothing else', () => {
    expect(readScan('1044')).toEqual({ number: 1044, job: null, address: false })
    for (const no of ['', '12', 'blanks', 'http://elsewhere/1044x', '1044 shirts'])
      expect(readScan(no)).toBeNull()
  })
})

test('keys of a scanner come fast, keys of a person do not', () => {
  const type = (text: string, gap: number) =>
    [...text].reduce((b, key, i) => addKey(b, key, i * gap), NO_BURST)
  expect(closeBurst(type('1044', 10), 45)?.number).toBe(1044)
  expect(closeBurst(type('1044', 200), 610)).toBeNull()
  expect(closeBurst(type('1044', 10), 2000)).toBeNull()
  // Shift and the like are no signs.
  expect(addKey(type('104', 10), 'Shift', 25).text).toBe('104')
})

test('the end of an address', () => {
  expect(readCode('1044-remake-1')).toEqual({ number: 1044, job: 'remake-1' })
  expect(readCode('1044')).toEqual({ number: 1044, job: null })
  for (const no of ['x', '1044-', '1044-after-1', '1044-batch', '-1']) expect(readCode(no)).toBeNull()
})
