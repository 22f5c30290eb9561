import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { contrast, inkOn, luminance } from '@/app/parts/cloth'

const css = readFileSync(new URL('../../app/look/tokens.css', import.meta.url), 'utf8')

/** The custom properties of one block of the tokens. */
function block(selector: string): Record<string, string> {
  const from = css.indexOf(selector)
  if (from < 0) throw new Error(`tokens.css has no ${selector}`)
  const body = css.slice(css.indexOf('{', from) + 1, css.indexOf('}', from))
  return Object.fromEntries([...body.matchAll(/--([\w-]+):\s*([^;]+);/g)].map(m => [m[1], m[2]?.trim()]))
}
const day = block(':root {')
const chosenNight = block(':root[data-palette="night"]')
const deviceNight = block(':root:not([data-palette="day"])')

describe('the palettes', () => {
  it('give the same night whether a person chose it or the device did', () => {
    expect(deviceNight).toEqual(chosenNight)
  })

  // WCAG 2.2, success criteria 1.4.3 (text, 4.5:1) and 1.4.11 (edges of controls, 3:1).
  const text: [string, string[]][] = [
    ['ink', ['ground', 'sheet', 'wash', 'late-wash', 'risk-wash', 'done-wash', 'action-wash']],
    ['muted', ['ground', 'sheet', 'wash']],
    ['action', ['ground', 'sheet', 'action-wash']],
    ['late', ['ground', 'sheet', 'late-wash']],
    ['risk', ['ground', 'sheet', 'risk-wash']],
    ['done', ['ground', 'sheet', 'done-wash', 'wash']],
    ['on-action', ['action', 'action-press']],
    ['on-ink', ['ink']],
  ]
  const edges: [string, string[]][] = [
    ['edge', ['ground', 'sheet']],
    ['ink', ['ground', 'sheet']],
  ]
  for (const [name, palette] of [
    ['day', day],
    ['night', { ...day, ...chosenNight }],
  ] as const) {
    it.each(text.flatMap(([fg, grounds]) => grounds.map(bg => [fg, bg])))(
      `${name}: %s is read on %s`,
      (fg, bg) => {
        expect(contrast(palette[fg] ?? '', palette[bg] ?? '')).toBeGreaterThanOrEqual(4.5)
      },
    )
    it.each(edges.flatMap(([fg, grounds]) => grounds.map(bg => [fg, bg])))(
      `${name}: %s is seen on %s`,
      (fg, bg) => {
        expect(contrast(palette[fg] ?? '', palette[bg] ?? '')).toBeGreaterThanOrEqual(3)
      },
    )
  }

  it('has no type below 12 px', () => {
    const sizes = Object.entries(day).filter(([k]) => k.startsWith('t-'))
    expect(sizes.length).toBeGreaterThan(5)
    for (const [, value] of sizes)
      expect(Number.parseFloat(value.replace('clamp(', '')) * 16).toBeGreaterThanOrEqual(12)
  })
})

describe('contrast', () => {
  it('is 21 for black on white, and 1 for a colour on itself (WCAG 2.2, definition of contrast ratio)', () => {
    expect(contrast('#000000', '#ffffff')).toBeCloseTo(21, 6)
    expect(contrast('#0c5460', '#0c5460')).toBe(1)
  })
  it('knows the greys at the limit: #767676 is the lightest that passes on white, #777777 fails', () => {
    expect(contrast('#767676', '#ffffff')).toBeGreaterThanOrEqual(4.5)
    expect(contrast('#777777', '#ffffff')).toBeLessThan(4.5)
  })
  it('weighs red, green and blue as sRGB does', () => {
    expect(luminance('#ff0000')).toBeCloseTo(0.2126, 6)
    expect(luminance('#00ff00')).toBeCloseTo(0.7152, 6)
    expect(luminance('#0000ff')).toBeCloseTo(0.0722, 6)
  })
  it('writes dimensions in white on dark cloth and in black on light', () => {
    expect(inkOn('#141416')).toBe('#ffffff')
    expect(inkOn('#fbfaf7')).toBe('#000000')
    for (const cloth of ['#000000', '#ffffff', '#767676', '#b0502b', '#2b6a6c', '#ffd400'])
      expect(contrast(inkOn(cloth), cloth)).toBeGreaterThanOrEqual(4.5)
  })
})
