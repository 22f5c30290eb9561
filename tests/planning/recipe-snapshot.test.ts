import { describe, expect, it } from 'vitest'
import { apartFrom } from '@/lib/planning/recipe-snapshot'

type Step = Parameters<typeof apartFrom>[0]
const step = (title: string, colour: string, size: string, more: Partial<Step['recipe']> = {}): Step => ({
  title,
  sizes: [{ size, colour, itemId: `${colour} ${size}`, quantity: 10 }],
  recipe: { print: { placement: 'full-front', artworkName: 'club.png' }, ...more },
})

describe('steps of a batch that are called the same', () => {
  it('need nothing said where the title is enough', () => {
    const steps = [step('Press', 'Navy', 'M'), step('Pack', 'Navy', 'M')]
    expect(steps.map(s => apartFrom(s, steps))).toEqual(['', ''])
  })
  it('are told apart by the colour of the blanks', () => {
    const steps = [step('Print', 'Navy', 'M'), step('Pack', 'Navy', 'M'), step('Print', 'White', 'M')]
    expect(steps.map(s => apartFrom(s, steps))).toEqual(['Navy', '', 'White'])
  })
  it('are told apart by where the print sits and for which sizes', () => {
    const back = { print: { placement: 'full-back', artworkName: 'club.png' } } as const
    const steps = [step('Print', 'Navy', 'M'), step('Print', 'Navy', 'XL'), step('Print', 'Navy', 'M', back)]
    expect(steps.map(s => apartFrom(s, steps))).toEqual(['full front, M', 'full front, XL', 'full back, M'])
  })
  it('are told apart by the artwork where all else is the same', () => {
    const other = { print: { placement: 'full-front', artworkName: 'numbers.png' } } as const
    const steps = [step('Print', 'Navy', 'M'), step('Print', 'Navy', 'M', other)]
    expect(steps.map(s => apartFrom(s, steps))).toEqual(['club.png', 'numbers.png'])
  })
})
