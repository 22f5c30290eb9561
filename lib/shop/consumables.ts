import type { BaseUnit } from '@/lib/units/base-unit'
import type { Micro } from '@/lib/units/money'
import { practice, published, type Sourced } from './sourced'

/** What printing uses up besides blanks. */
export const CONSUMABLES = [
  'transfer-sheet',
  'sublimation-ink',
  'sublimation-paper',
  'protection-paper',
  'parchment',
  'dtg-colour',
  'dtg-white',
  'pretreat',
  'plastisol',
  'plastisol-white',
  'water-based',
  'emulsion',
  'film-positive',
  'screen-tape',
  'platen-adhesive',
  'film-colour',
  'film-white',
  'film-powder',
  'print-film',
  'cut-film',
  'bag',
] as const
export type ConsumableId = (typeof CONSUMABLES)[number]

/** Words, base unit and starting price: micro-units of the currency's major unit for `per` base units, as it is bought. */
export type Consumable = { name: string; unit: BaseUnit; price: Sourced<Micro>; per: number }

const about = (major: number): Sourced<Micro> =>
  practice(Math.round(major * 1e6) as Micro, 'starting price: put in what you pay')
/** A litre, a kilogram, a roll of 50 m, a square metre, in base units. */
const LITRE = 1_000_000
const KILO = 1_000_000
const ROLL = 50_000
const SQUARE_METRE = 10_000

export const CONSUMABLE: Record<ConsumableId, Consumable> = {
  'transfer-sheet': { name: 'Printed transfer sheet', unit: 'piece', price: about(9.5), per: 1 },
  'sublimation-ink': { name: 'Sublimation ink', unit: 'ul', price: about(180), per: LITRE },
  'sublimation-paper': { name: 'Sublimation paper, A3', unit: 'piece', price: about(18), per: 100 },
  'protection-paper': { name: 'Protection paper', unit: 'piece', price: about(20), per: 500 },
  parchment: { name: 'Silicone parchment', unit: 'piece', price: about(15), per: 100 },
  'dtg-colour': { name: 'DTG colour ink', unit: 'ul', price: about(220), per: LITRE },
  'dtg-white': { name: 'DTG white ink', unit: 'ul', price: about(200), per: LITRE },
  pretreat: { name: 'Pretreat', unit: 'mg', price: about(12), per: KILO },
  plastisol: {
    name: 'Plastisol ink',
    unit: 'mg',
    price: published(60_000_000 as Micro, 'ink maker’s cost sheet, 2011: 60 a US gallon of 5,443 g'),
    per: 5_443_000,
  },
  'plastisol-white': { name: 'Plastisol underbase white', unit: 'mg', price: about(14), per: KILO },
  'water-based': { name: 'Water-based ink', unit: 'mg', price: about(16), per: KILO },
  emulsion: { name: 'Screen emulsion', unit: 'mg', price: about(25), per: KILO },
  'film-positive': { name: 'Film positive', unit: 'cm2', price: about(6.5), per: SQUARE_METRE },
  'screen-tape': { name: 'Screen tape', unit: 'mm', price: about(4.5), per: ROLL },
  'platen-adhesive': { name: 'Platen adhesive', unit: 'mg', price: about(15), per: KILO },
  'film-colour': { name: 'Film colour ink', unit: 'ul', price: about(110), per: LITRE },
  'film-white': { name: 'Film white ink', unit: 'ul', price: about(110), per: LITRE },
  'film-powder': { name: 'Hot-melt powder', unit: 'mg', price: about(22), per: KILO },
  'print-film': { name: 'Print film', unit: 'cm2', price: about(1.7), per: SQUARE_METRE },
  'cut-film': { name: 'Cut film', unit: 'cm2', price: about(14), per: SQUARE_METRE },
  bag: { name: 'Packing bag', unit: 'piece', price: about(6), per: 100 },
}

const SHOWN: Record<BaseUnit, [unit: string, per: number]> = {
  ul: ['ml', 1000],
  mg: ['g', 1000],
  cm2: ['cm²', 1],
  mm: ['m', 1000],
  piece: ['', 1],
}
/** A quantity for people: 12,340 µl → "12.34 ml", 3 pieces → "3". */
export function formatQuantity(quantity: number, unit: BaseUnit): string {
  const [name, per] = SHOWN[unit]
  const n = Number((quantity / per).toFixed(unit === 'cm2' ? 1 : 2))
  return name ? `${n} ${name}` : String(n)
}
