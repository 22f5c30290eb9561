import { describe, expect, it } from 'vitest'
import { readRun } from '@/app/parts/size-run-field'

const run = (text: string) => Object.fromEntries(readRun(text))

describe('a size run as people write it', () => {
  it.each([
    ['S 4, M 8, L 8, 2XL 4', { S: 4, M: 8, L: 8, '2XL': 4 }],
    ['s:4; m=8', { S: 4, M: 8 }],
    ['4 S, 8 × M, 4x2XL', { S: 4, M: 8, '2XL': 4 }],
    ['YM 3\nYL 5\n', { YM: 3, YL: 5 }],
    ['M\t8\tL\t8', {}],
    ['XS 1/XL 2', { XS: 1, XL: 2 }],
  ])('reads “%s”', (text, sizes) => {
    expect(run(text)).toEqual(sizes)
  })
  it.each(['', '24', 'about forty', 'S -4', 'M 8.5', 'M 12345678'])('is nothing in “%s”', text => {
    expect(run(text)).toEqual({})
  })
})
