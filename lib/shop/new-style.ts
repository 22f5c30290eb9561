import { z } from 'zod'
import { line, needed, wholeNumber } from '@/lib/units/form-fields'
import { type Minor, minor, parseMoney } from '@/lib/units/money'
import { BLANK_KINDS, FIBRES, type Fibre, type FibreContent, HEX, SIZES, type Size } from './blanks'

/** A style of blank as it is written down: every colour in every size. */
export type NewStyle = {
  code: string
  name: string
  kind: (typeof BLANK_KINDS)[number]
  fibres: FibreContent
  colours: { name: string; hex: string }[]
  sizes: Size[]
  /** What one piece costs, minor units; and how much more from 2XL up. */
  price: Minor
  larger: Minor
  supplier: string
  leadDays: number
  reorderPoint: number
  reorderTo: number
}

/** Most colours of one style. */
const COLOURS = 40

const money = (currency: string) =>
  z.string({ error: 'The amount is missing.' }).transform((t, issue): Minor => {
    const read = t.trim() === '' ? { ok: true as const, value: minor(0) } : parseMoney(t, currency)
    if (read.ok && read.value >= 0) return read.value
    issue.addIssue({ code: 'custom', message: read.ok ? 'A price is not below 0.' : read.message })
    return z.NEVER
  })

/** "60 cotton, 40 polyester" in percent. @returns the shares, or one sentence */
export function readFibres(typed: string): FibreContent | string {
  const shares: FibreContent = {}
  for (const part of typed.split(/(?<!\d),|,(?!\d)|[;\n]/).map(p => p.trim().toLowerCase())) {
    if (!part) continue
    const m =
      /^(\d{1,3}(?:[.,]\d{1,2})?)\s*%?\s*([a-z ]+)$/.exec(part) ??
      /^([a-z ]+?)\s*(\d{1,3}(?:[.,]\d{1,2})?)\s*%?$/.exec(part)
    const [number, word] = m ? (/^\d/.test(m[1] ?? '') ? [m[1], m[2]] : [m[2], m[1]]) : []
    const fibre = FIBRES.find(f => f === word?.trim()) as Fibre | undefined
    if (!fibre || !number)
      return `“${part.slice(0, 30)}” is not a share of a fibre: type it like 60 cotton. Known are ${FIBRES.join(', ')}.`
    shares[fibre] = (shares[fibre] ?? 0) + Number(number.replace(',', '.'))
  }
  const sum = Object.values(shares).reduce((a, b) => a + b, 0)
  return Math.abs(sum - 100) < 0.01
    ? shares
    : `The shares of fibre add up to ${Number(sum.toFixed(2))}, not to 100.`
}

/** One colour on each line: "Black #1b1b1e". @returns the colours, or one sentence */
export function readColours(typed: string): { name: string; hex: string }[] | string {
  const colours: { name: string; hex: string }[] = []
  for (const line of typed.split('\n').map(l => l.trim())) {
    if (!line) continue
    const m = /^(.{1,40}?)\s+(#[0-9a-f]{6})$/i.exec(line)
    if (!m?.[1] || !m[2] || !HEX.test(m[2]))
      return `“${line.slice(0, 30)}” is not a colour with its value: type it like Black #1b1b1e.`
    const name = m[1]
    if (colours.some(c => c.name.toLowerCase() === name.toLowerCase())) return `${name} stands there twice.`
    colours.push({ name, hex: m[2].toLowerCase() })
  }
  if (colours.length === 0) return 'Type at least one colour, like Black #1b1b1e.'
  return colours.length > COLOURS ? `A style has at most ${COLOURS} colours here.` : colours
}

const told = <T>(read: (typed: string) => T | string) =>
  z.string({ error: 'This is missing.' }).transform((t, issue): T => {
    const value = read(t)
    if (typeof value !== 'string') return value
    issue.addIssue({ code: 'custom', message: value })
    return z.NEVER
  })

/** The form that writes a style down. `sizes` is a list. */
export const newStyleInput = (currency: string) =>
  z
    .object({
      code: line('The code', 12).pipe(
        z.string().regex(/^[A-Za-z0-9]{1,12}$/, 'A code has one to twelve letters and digits, like T180.'),
      ),
      name: needed('The name', 'type what people call it', 80),
      kind: z.enum(BLANK_KINDS, { error: 'Choose what kind of blank it is.' }),
      fibres: told(readFibres),
      colours: told(readColours),
      sizes: z.array(z.enum(SIZES)).min(1, 'Choose at least one size.'),
      price: money(currency),
      larger: money(currency).default(minor(0)),
      supplier: line('The supplier', 120).default(''),
      leadDays: wholeNumber('The lead time', 365),
      reorderPoint: wholeNumber('The reorder point', 100_000),
      reorderTo: wholeNumber('The level', 100_000),
    })
    .superRefine((s, issue) => {
      if (s.reorderTo < s.reorderPoint)
        issue.addIssue({
          code: 'custom',
          path: ['reorderTo'],
          message: 'Order up to at least the reorder point.',
        })
    })

const LARGER: readonly Size[] = ['2XL', '3XL', '4XL', '5XL']

/** Every blank of a style: colour by colour, size by size, with a SKU of its own and what it costs. */
export function blanksOf(
  style: NewStyle,
): { sku: string; name: string; colour: string; hex: string; size: Size; price: Minor }[] {
  const used = new Set<string>()
  return style.colours.flatMap(colour => {
    const short = shortColour(colour.name, used)
    used.add(short)
    return style.sizes.map(size => ({
      sku: `${style.code}-${short}-${size === 'One size' ? 'ONE' : size}`,
      name: `${style.name}, ${colour.name}, ${size}`,
      colour: colour.name,
      hex: colour.hex,
      size,
      price: minor(style.price + (LARGER.includes(size) ? style.larger : 0)),
    }))
  })
}

/** The first letters of a colour, as many as tell it from the others; then a number. */
function shortColour(name: string, used: ReadonlySet<string>): string {
  const letters = name.replace(/[^\p{L}\p{N}]/gu, '').toUpperCase() || 'C'
  for (let n = Math.min(3, letters.length); n <= letters.length; n++)
    if (!used.has(letters.slice(0, n))) return letters.slice(0, n)
  let n = 2
  while (used.has(`${letters}${n}`)) n++
  return `${letters}${n}`
}
