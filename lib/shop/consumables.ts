import type { Micro } from '@/lib/units/money'
import { practice, published, type Sourced } from './sourced'

/** Base units in which consumables are counted: microlitres, milligrams, cm², millimetres, pieces. Always whole. */
export const BASE_UNITS = ['ul', 'mg', 'cm2', 'mm', 'piece'] as const
export type BaseUnit = (typeof BASE_UNITS)[number]

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

/** Words, base unit and starting price (micro-units of the currency's major unit for one base unit). */
export type Consumable = { name: string; unit: BaseUnit; price: Sourced<Micro> }

const about = (n: number): Sourced<Micro> => practice(n as Micro, 'starting price: put in what you pay')

export const CONSUMABLE: Record<ConsumableId, Consumable> = {
  'transfer-sheet': { name: 'Printed transfer sheet', unit: 'piece', price: about(9_500_000) },
  'sublimation-ink': { name: 'Sublimation ink', unit: 'ul', price: about(180) },
  'sublimation-paper': { name: 'Sublimation paper, A3', unit: 'piece', price: about(180_000) },
  'protection-paper': { name: 'Protection paper', unit: 'piece', price: about(40_000) },
  parchment: { name: 'Silicone parchment', unit: 'piece', price: about(150_000) },
  'dtg-colour': { name: 'DTG colour ink', unit: 'ul', price: about(220) },
  'dtg-white': { name: 'DTG white ink', unit: 'ul', price: about(200) },
  pretreat: { name: 'Pretreat', unit: 'mg', price: about(12) },
  plastisol: {
    name: 'Plastisol ink',
    unit: 'mg',
    // $60 a US gallon of 5,443 g.
    price: published(11 as Micro, 'ink maker’s cost sheet, 2011: 60 a gallon of 5,443 g'),
  },
  'plastisol-white': { name: 'Plastisol underbase white', unit: 'mg', price: about(14) },
  'water-based': { name: 'Water-based ink', unit: 'mg', price: about(16) },
  emulsion: { name: 'Screen emulsion', unit: 'mg', price: about(25) },
  'film-positive': { name: 'Film positive', unit: 'cm2', price: about(650) },
  'screen-tape': { name: 'Screen tape', unit: 'mm', price: about(90) },
  'platen-adhesive': { name: 'Platen adhesive', unit: 'mg', price: about(15) },
  'film-colour': { name: 'Film colour ink', unit: 'ul', price: about(110) },
  'film-white': { name: 'Film white ink', unit: 'ul', price: about(110) },
  'film-powder': { name: 'Hot-melt powder', unit: 'mg', price: about(22) },
  'print-film': { name: 'Print film', unit: 'cm2', price: about(170) },
  'cut-film': { name: 'Cut film', unit: 'cm2', price: about(1_400) },
  bag: { name: 'Packing bag', unit: 'piece', price: about(60_000) },
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
  const n = Number((quantity / per).toFixed(per === 1 ? 1 : 2))
  return name ? `${n} ${name}` : String(n)
}
