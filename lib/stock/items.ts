import type { BaseUnit } from '@/lib/units/base-unit'
import { roundHalfAway } from '@/lib/units/money'
import { ok, type Result, refuse } from '@/lib/units/result'

/** What stands on the shelves. */
export const ITEM_KINDS = [
  'blank',
  'ink',
  'transfer',
  'film',
  'paper',
  'powder',
  'pretreat',
  'emulsion',
  'screen',
  'packaging',
] as const
export type ItemKind = (typeof ITEM_KINDS)[number]

/** What a list of items is sorted by; the shop's own order is kind and SKU. */
export const ITEM_SORTS = ['name', 'sku', 'onHand', 'promised', 'free', 'onTheWay', 'worth'] as const
export type ItemSort = (typeof ITEM_SORTS)[number]

/** Kinds that come with a lot and a date. */
export const LOT_KINDS: readonly ItemKind[] = ['ink', 'pretreat', 'emulsion', 'powder', 'film', 'transfer']

/** What people read for a kind, in the plural. */
export const KIND_WORDS: Record<ItemKind, string> = {
  blank: 'blanks',
  ink: 'inks',
  transfer: 'transfers',
  film: 'film',
  paper: 'paper',
  powder: 'powder',
  pretreat: 'pretreat',
  emulsion: 'emulsion',
  screen: 'screens',
  packaging: 'packaging',
}

/** The base unit that an item of a kind usually has. */
export const USUAL_UNIT: Record<ItemKind, BaseUnit> = {
  blank: 'piece',
  ink: 'ul',
  transfer: 'piece',
  film: 'cm2',
  paper: 'piece',
  powder: 'mg',
  pretreat: 'mg',
  emulsion: 'mg',
  screen: 'piece',
  packaging: 'piece',
}

/** A unit that people type: so many base units, exactly `times` ÷ `over`. */
export type Unit = { word: string; base: BaseUnit; times: number; over: number }

const unit = (word: string, base: BaseUnit, times: number, over = 1): Unit => ({ word, base, times, over })

/**
 * Every unit with its exact size in base units. Metric by definition; inch 25.4 mm, pound 453.59237 g (international
 * yard and pound, 1959); US gallon 231 cubic inches.
 */
export const UNITS = {
  piece: unit('pieces', 'piece', 1),
  pair: unit('pairs', 'piece', 2),
  dozen: unit('dozen', 'piece', 12),
  ul: unit('µl', 'ul', 1),
  ml: unit('ml', 'ul', 1_000),
  cl: unit('cl', 'ul', 10_000),
  l: unit('l', 'ul', 1_000_000),
  floz: unit('US fl oz', 'ul', 3_785_411_784, 128_000),
  qt: unit('US qt', 'ul', 3_785_411_784, 4_000),
  gal: unit('US gal', 'ul', 3_785_411_784, 1_000),
  mg: unit('mg', 'mg', 1),
  g: unit('g', 'mg', 1_000),
  kg: unit('kg', 'mg', 1_000_000),
  oz: unit('oz', 'mg', 45_359_237, 1_600),
  lb: unit('lb', 'mg', 45_359_237, 100),
  mm: unit('mm', 'mm', 1),
  cm: unit('cm', 'mm', 10),
  m: unit('m', 'mm', 1_000),
  in: unit('in', 'mm', 254, 10),
  ft: unit('ft', 'mm', 3_048, 10),
  yd: unit('yd', 'mm', 9_144, 10),
  cm2: unit('cm²', 'cm2', 1),
  m2: unit('m²', 'cm2', 10_000),
  in2: unit('in²', 'cm2', 64_516, 10_000),
} as const satisfies Record<string, Unit>
export type UnitId = keyof typeof UNITS

/** Other ways in which people write a unit. */
const SPELLINGS: Record<string, UnitId> = {
  pieces: 'piece',
  pcs: 'piece',
  pc: 'piece',
  pairs: 'pair',
  dozens: 'dozen',
  dz: 'dozen',
  µl: 'ul',
  μl: 'ul',
  litre: 'l',
  litres: 'l',
  liter: 'l',
  liters: 'l',
  'fl oz': 'floz',
  quart: 'qt',
  quarts: 'qt',
  gallon: 'gal',
  gallons: 'gal',
  gram: 'g',
  grams: 'g',
  kilo: 'kg',
  kilos: 'kg',
  pound: 'lb',
  pounds: 'lb',
  lbs: 'lb',
  metre: 'm',
  metres: 'm',
  meter: 'm',
  meters: 'm',
  inch: 'in',
  inches: 'in',
  feet: 'ft',
  foot: 'ft',
  yard: 'yd',
  yards: 'yd',
  'cm²': 'cm2',
  'm²': 'm2',
  sqm: 'm2',
  'in²': 'in2',
}

/** Words for the pack in which an item is bought: their size is the item's own, so a roll of film is not a roll of foil. */
const PACK_WORDS = [
  'pack',
  'packs',
  'roll',
  'rolls',
  'box',
  'boxes',
  'bottle',
  'bottles',
  'bag',
  'bags',
  'ream',
  'tub',
]

/** The most that one movement or one shelf holds, in base units: 2,000 litres, 2 tonnes, 2,000 km². */
export const MOST = 2_000_000_000

/** Typed in the item's smallest everyday unit when no unit is given: 250 of an ink is 250 ml. */
export const EVERYDAY: Record<BaseUnit, UnitId> = { piece: 'piece', ul: 'ml', mg: 'g', mm: 'm', cm2: 'cm2' }

/** What reading and showing an amount needs to know of an item. */
export type Counting = {
  unit: BaseUnit
  /** Base units in the pack in which it is bought; without it "3 rolls" has no size and is refused. */
  pack?: number
  /** How wide the roll is that it comes off, mm, where it is counted by area: then "12 m" is so long of it. */
  widthMm?: number | null
}

/** The widest roll, mm. */
export const WIDEST_ROLL = 5_000

/**
 * An amount as typed ("1.25 l", "2 dozen", "3 rolls", "40") in whole base units of an item.
 * Pieces must come out whole; other amounts are rounded to the nearest base unit, halves away from zero.
 */
export function readAmount(text: string, { unit: base, pack, widthMm }: Counting): Result<number> {
  const shown = text.trim().slice(0, 40)
  const everyday = UNITS[EVERYDAY[base]].word
  const m = /^(\d{1,12}(?:[.,]\d{1,9})?)\s*([^\d\s].*)?$/.exec(text.trim())
  if (!m?.[1])
    return refuse('amount', `“${shown}” is not an amount: type it like 40 or 2.5 ${everyday}, 0 or more.`)
  const typed = m[2]?.trim().toLowerCase().replace(/\.$/, '')
  let times: bigint
  let over: bigint
  if (typed === undefined || !PACK_WORDS.includes(typed)) {
    const id = typed === undefined ? EVERYDAY[base] : (SPELLINGS[typed] ?? typed)
    const found = Object.hasOwn(UNITS, id) ? UNITS[id as UnitId] : undefined
    if (!found)
      return refuse('unit', `“${m[2]?.slice(0, 20)}” is not a unit known here: use ${unitWords(base)}.`)
    const offRoll = base === 'cm2' && found.base === 'mm'
    if (offRoll ? !widthMm : found.base !== base)
      return refuse(
        'unit',
        `${found.word} cannot be turned into ${UNITS[base].word}: use ${unitWords(base)}${offRoll ? ', or say on the item how wide its roll is' : ''}.`,
      )
    // 1 mm of a roll is its width in mm², 100 of which are 1 cm²: exact.
    times = BigInt(found.times) * (offRoll ? BigInt(widthMm ?? 0) : 1n)
    over = BigInt(found.over) * (offRoll ? 100n : 1n)
  } else {
    // A pack of one base unit is none: nobody has said what is in it.
    if (!pack || pack <= 1)
      return refuse(
        'unit',
        `“${typed}” has no size for this item: use ${unitWords(base)}, or set what a pack holds.`,
      )
    times = BigInt(pack)
    over = 1n
  }
  const [whole = '0', fraction = ''] = m[1].replace(',', '.').split('.')
  const numerator = BigInt(whole + fraction) * times
  const denominator = 10n ** BigInt(fraction.length) * over
  if (base === 'piece' && numerator % denominator !== 0n)
    return refuse('amount', `“${shown}” is not a whole number of pieces.`)
  if (numerator > BigInt(MOST) * denominator)
    return refuse('amount', `“${shown}” is more than one shelf holds here: check the amount and its unit.`)
  const amount = Number((2n * numerator + denominator) / (2n * denominator))
  if (amount === 0 && numerator > 0n)
    return refuse('amount', `“${shown}” is less than the book counts (1 ${UNITS[base].word}).`)
  return ok(amount)
}

const unitWords = (base: BaseUnit): string =>
  Object.values(UNITS)
    .filter(u => u.base === base)
    .map(u => u.word)
    .join(', ')

const grouping = new Map<number, Intl.NumberFormat>()
function grouped(n: number, digits: number): string {
  const format = grouping.get(digits) ?? new Intl.NumberFormat('en', { maximumFractionDigits: digits })
  grouping.set(digits, format)
  return format.format(n).replace('-', '−')
}

/** The unit in which an amount reads best. */
function bestUnit(size: number, base: BaseUnit): UnitId {
  if (base === 'ul') return size >= 1_000_000 ? 'l' : size >= 1_000 ? 'ml' : 'ul'
  if (base === 'mg') return size >= 1_000_000 ? 'kg' : size >= 1_000 ? 'g' : 'mg'
  if (base === 'mm') return size >= 1_000 ? 'm' : 'mm'
  if (base === 'cm2') return size >= 10_000 ? 'm2' : 'cm2'
  return 'piece'
}

/**
 * An amount in base units for people: "1.25 l", "80 g", "32.5 m", "24". Rounded: three digits after the point below 10, two
 * below 100, one from there. {@link exactAmount} and {@link typedAmount} say all. Pieces, and nothing at all, have no unit.
 */
export function formatAmount(amount: number, base: BaseUnit): string {
  if (base === 'piece' || amount === 0) return grouped(amount, 0)
  const found = UNITS[bestUnit(Math.abs(amount), base)]
  const n = amount / found.times
  const digits = Math.abs(n) >= 100 ? 1 : Math.abs(n) >= 10 ? 2 : 3
  return `${grouped(roundHalfAway(n * 10 ** digits) / 10 ** digits, digits)} ${found.word}`
}

/** An amount as one would type it into a form, without loss: "1.2504 l". {@link readAmount} gives the same amount back. */
export function typedAmount(amount: number, base: BaseUnit): string {
  if (base === 'piece' || amount === 0) return String(amount)
  const found = UNITS[bestUnit(amount, base)]
  return `${amount / found.times} ${found.word}`
}

/** An amount with its sign, for the book: "+24", "−1.25 l", "0". */
export const formatSigned = (amount: number, base: BaseUnit): string =>
  (amount > 0 ? '+' : '') + formatAmount(amount, base)

/** An amount in whole base units: "1,250,400 µl". */
export const exactAmount = (amount: number, base: BaseUnit): string =>
  `${grouped(amount, 0)} ${UNITS[base].word}`

/**
 * How long a piece of a roll has an area, in mm: area ÷ width, rounded to the nearest. Null where it is not counted by area, or nobody has
 * said how wide the roll is.
 */
export const lengthOfRoll = (amount: number, { unit, widthMm }: Counting): number | null =>
  unit === 'cm2' && widthMm ? roundHalfAway((amount * 100) / widthMm) : null
