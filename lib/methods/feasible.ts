import { clothOf, methodOf } from '@/lib/costing/chains'
import {
  inksOf,
  type LineWork,
  type OrderWork,
  type PrintWork,
  piecesOf,
  type SizedPrint,
  sizedPrints,
} from '@/lib/costing/order'
import type { Costing } from '@/lib/costing/prepare'
import { perSheet } from '@/lib/costing/sheets'
import {
  FIBRE_CLASS_WORDS,
  type FibreContent,
  formatFibres,
  isYouth,
  polyesterShare,
} from '@/lib/shop/blanks'
import {
  DYE_MIGRATION_FROM,
  FULL_POLYESTER,
  HEAT_LIMIT,
  LEAST_PLANT_FIBRE,
  LEAST_POLYESTER,
  SUBLIMATION_HEAT_LIMIT,
} from '@/lib/shop/heat'
import { METHOD_WORDS, type MethodId } from '@/lib/shop/methods'
import { checkPlacement, fitsBlank, PLACEMENT } from '@/lib/shop/placements'
import { happensOn, settingFor } from '@/lib/shop/recipe'
import { fitsBed, STATION_WORDS, type Station, type StationKind } from '@/lib/shop/stations'
import { type Celsius, formatTemperature } from '@/lib/units/measure'

export const REASON_CODES = [
  'no-station',
  'bed-too-small',
  'sheet-too-small',
  'fibre',
  'least-polyester',
  'dark-ground',
  'plant-fibre',
  'scorch',
  'no-platen',
  'least-pieces',
  'too-many-screens',
  'too-many-colours',
  'art-too-small',
  'placement',
  'no-print',
] as const
/** Why a method cannot make an order. */
export type Reason = { code: (typeof REASON_CODES)[number]; message: string }

export const REMARK_CODES = [
  'post',
  'off-guide',
  'dye-migration',
  'faded',
  'tinted-ground',
  'tone',
  'stretch',
  'nylon',
  'wash',
  'sweaty',
  'art-below-house',
  'art-missing',
  'mug-press',
  'children',
] as const
/** What is good to know about a method that can. */
export type Remark = { code: (typeof REMARK_CODES)[number]; message: string; weight: 'warn' | 'note' }

/** Whether an order can be made by a method, with every reason against it and every remark. */
export type Feasibility = { can: boolean; reasons: Reason[]; remarks: Remark[]; waitDays: number }

const plantShare = (f: FibreContent): number => (f.cotton ?? 0) + (f.linen ?? 0) + (f.viscose ?? 0)

/** From this share of partly transparent pixels on, tones are more than soft edges. Common shop practice. */
export const TONE_FROM = 0.08
/** From this patch on, cm², a film feels stiff and holds sweat. Common shop practice. */
export const SWEATY_FROM_CM2 = 100

class Found {
  readonly reasons: Reason[] = []
  readonly remarks: Remark[] = []
  cannot(code: Reason['code'], message: string) {
    if (!this.reasons.some(r => r.code === code && r.message === message))
      this.reasons.push({ code, message })
  }
  note(code: Remark['code'], weight: Remark['weight'], message: string) {
    if (!this.remarks.some(r => r.code === code && r.message === message))
      this.remarks.push({ code, weight, message })
  }
}

const sizeWords = (print: PrintWork): string =>
  `${Math.round(print.widthMm)} × ${Math.round(print.heightMm)} mm`
const bedWords = (stations: readonly Station[]): string =>
  stations.map(s => `${s.name} ${s.bedWidthMm ?? '–'} × ${s.bedHeightMm ?? '–'} mm`).join(', ')

function stationsAgainst(
  kinds: readonly StationKind[],
  print: PrintWork,
  costing: Costing,
  found: Found,
): void {
  for (const kind of kinds) {
    const own = costing.stations.filter(s => s.kind === kind)
    const { name } = STATION_WORDS[kind]
    if (own.length === 0)
      found.cannot(
        'no-station',
        `The shop has no ${name.toLowerCase()}: add one in the office, or choose another method.`,
      )
    else if (!own.some(s => fitsBed(s, print.widthMm, print.heightMm)))
      found.cannot(
        'bed-too-small',
        `${sizeWords(print)} does not fit the ${name.toLowerCase()} (${bedWords(own)}): print smaller.`,
      )
  }
}

function clothAgainst(method: MethodId, line: LineWork, costing: Costing, found: Found): void {
  const { blank } = line
  const recipe = costing.recipes[method]
  const { fibre, ground } = clothOf(blank)
  const of = `${blank.style} is ${formatFibres(blank.fibres)}`
  const temperature = (t: number) => formatTemperature(t as Celsius, costing.show.system)
  if (method === 'sublimation') {
    const share = polyesterShare(blank.fibres)
    if (share < LEAST_POLYESTER.value)
      found.cannot(
        'least-polyester',
        `Sublimation needs at least ${LEAST_POLYESTER.value} % polyester; ${of}. Take a polyester blank.`,
      )
    else if (share < FULL_POLYESTER.value)
      found.note(
        'faded',
        'warn',
        `Only the polyester takes the dye: at ${share} % the print looks washed out. Show the customer a sample.`,
      )
    if (ground === 'dark')
      found.cannot(
        'dark-ground',
        `Sublimation dye is transparent and has no white; ${blank.colour.name} is too dark. Take a white or light blank.`,
      )
    else if (ground === 'light')
      found.note(
        'tinted-ground',
        'warn',
        `White in the art becomes ${blank.colour.name}, and every colour shifts toward it.`,
      )
  }
  if (method === 'dtg' && plantShare(blank.fibres) < LEAST_PLANT_FIBRE.value)
    found.cannot(
      'plant-fibre',
      `DTG ink needs at least ${LEAST_PLANT_FIBRE.value} % cotton or other plant fibre; ${of}. Take a cotton blank.`,
    )
  if (method === 'dtg' && ground === 'light')
    found.note('tinted-ground', 'note', `Without white ink the colours take on some ${blank.colour.name}.`)

  const limit =
    method === 'sublimation' && ground !== 'dark' && fibre !== 'hard'
      ? SUBLIMATION_HEAT_LIMIT
      : HEAT_LIMIT[fibre]
  let hottest = 0
  let missing = false
  for (const step of recipe.steps) {
    if (step.stationKind === 'bench' || !happensOn(step.when, ground)) continue
    const setting = settingFor(step, fibre)
    if (!setting) missing = true
    else if (setting.temperature) hottest = Math.max(hottest, setting.temperature.value)
  }
  if (missing && !found.reasons.some(r => r.code === 'least-polyester' || r.code === 'plant-fibre'))
    found.cannot(
      'fibre',
      `The recipe “${recipe.name}” has no setting for ${FIBRE_CLASS_WORDS[fibre]}; ${of}. Choose another method or blank.`,
    )
  if (!missing && hottest > limit.value)
    found.cannot(
      'scorch',
      `${temperature(hottest)} is too hot for ${FIBRE_CLASS_WORDS[fibre]}, which takes up to ${temperature(limit.value)}: it scorches or melts. Use a cooler recipe.`,
    )
  const dyed = ground !== 'white' && (blank.fibres.polyester ?? 0) > 0
  if (
    !missing &&
    dyed &&
    method !== 'sublimation' &&
    hottest > DYE_MIGRATION_FROM.value &&
    polyesterShare(blank.fibres) > 15
  )
    found.note(
      'dye-migration',
      'warn',
      `The cloth’s dye may wander into the print above ${temperature(DYE_MIGRATION_FROM.value)}, and show days later: use low-bleed ink or a blocker, and test first.`,
    )
  if ((blank.fibres.elastane ?? 0) >= 3 && (method === 'transfer' || method === 'screen'))
    found.note(
      'stretch',
      'warn',
      'The cloth stretches more than the print: ask for stretch ink or film, or the print cracks.',
    )
  // Common shop practice: socks are pressed on a jig; no shirt platen or printing table takes them flat.
  if (blank.kind === 'sock' && (method === 'screen' || method === 'dtg'))
    found.cannot(
      'no-platen',
      `A sock does not lie flat under ${method === 'screen' ? 'a screen' : 'the garment printer'}: press it as a transfer, or by sublimation on polyester.`,
    )
  if (!missing && fibre === 'nylon' && method === 'screen')
    found.note(
      'nylon',
      'warn',
      'Plain ink does not grip nylon: mix the bonding additive in, and try a rub test before the run.',
    )
  if (fibre === 'hard')
    found.note('mug-press', 'note', 'Needs the press insert for the shape: mug, plate or bottle.')
}

function printAgainst(
  method: MethodId,
  line: LineWork,
  made: SizedPrint,
  costing: Costing,
  found: Found,
): void {
  const { print } = made
  const { rates } = costing
  const recipe = costing.recipes[method]
  const { ground } = clothOf(line.blank)
  const kinds = [...new Set(recipe.steps.filter(s => happensOn(s.when, ground)).map(s => s.stationKind))]
  stationsAgainst(kinds, print, costing, found)
  if (recipe.sheet) {
    const sheet = rates.sheets[recipe.sheet]
    if (perSheet({ widthMm: print.widthMm, heightMm: print.heightMm, count: 1 }, sheet) === 0)
      found.cannot(
        'sheet-too-small',
        `${sizeWords(print)} does not fit a sheet of ${sheet.widthMm} × ${sheet.heightMm} mm: print smaller, or set a larger sheet in the rates.`,
      )
  }
  const sizes = made.sizes ?? line.sizes.filter(s => s.quantity > 0).map(s => s.size)
  const { kind } = line.blank
  const fits = fitsBlank(print.placement, kind, sizes, print.widthMm, print.heightMm)
  const usual = checkPlacement(print.placement, kind, sizes, print.widthMm, print.heightMm)
  if (!fits.ok) found.cannot('placement', fits.message)
  else if (!usual.ok) found.note('off-guide', 'warn', usual.message)

  if (recipe.screens) {
    const inks = inksOf(print)
    const screens = inks + (ground === 'dark' ? 1 : 0)
    const heads = Math.max(
      0,
      ...costing.stations.filter(s => s.kind === 'screen-press').map(s => s.heads ?? 1),
    )
    if (heads > 0 && screens > heads)
      found.cannot(
        'too-many-screens',
        `${PLACEMENT[print.placement].name} needs ${screens} screens (${inks} ${inks === 1 ? 'ink' : 'inks'}${ground === 'dark' ? ' and a white underbase' : ''}); the press takes ${heads}. Use fewer colours.`,
      )
  }
  if (recipe.maxInks !== undefined && inksOf(print) > recipe.maxInks)
    found.cannot(
      'too-many-colours',
      `“${recipe.name}” prints ${recipe.maxInks} ${recipe.maxInks === 1 ? 'colour' : 'colours'}; the art has ${inksOf(print)}. Use fewer, or choose another way.`,
    )
  const { art } = print
  if (!art) {
    found.note(
      'art-missing',
      'warn',
      'The art is not in yet: area and inks are assumed, and the price may change.',
    )
    return
  }
  if (art.ppi !== null && art.ppi < rates.artPpi.floor)
    found.cannot(
      'art-too-small',
      `The art has ${Math.floor(art.ppi)} pixels per inch at ${sizeWords(print)}; the shop prints from ${rates.artPpi.floor}. Print smaller, or ask for larger art.`,
    )
  else if (art.ppi !== null && art.ppi < rates.artPpi.house)
    found.note(
      'art-below-house',
      art.ppi < rates.artPpi.warn ? 'warn' : 'note',
      `The art has ${Math.floor(art.ppi)} pixels per inch at this size; the house rule is ${rates.artPpi.house}.`,
    )
  if (art.partlyTransparent >= TONE_FROM) {
    if (method === 'screen')
      found.note(
        'tone',
        'warn',
        'Tones and fades print as halftone dots: finer mesh, and the softest tones are lost.',
      )
    if (method === 'transfer' || (method === 'dtg' && ground === 'dark'))
      found.note(
        'tone',
        'warn',
        'Partly transparent pixels print over white and look milky: make them full or empty.',
      )
  }
  if (method === 'transfer' && art.largestSolidCm2 >= SWEATY_FROM_CM2)
    found.note(
      'sweaty',
      'warn',
      `The largest solid patch is ${Math.round(art.largestSolidCm2)} cm²: stiff, and it holds sweat. Knock out the garment’s colour, or break the patch up.`,
    )
}

const WASH: Record<MethodId, string> = {
  transfer: 'Wash inside out, cool; do not iron the print.',
  sublimation: 'The dye is in the fibre: it neither cracks nor peels. Do not bleach.',
  dtg: 'Do not wash for 24 hours after the cure; then inside out, cool.',
  screen: 'Cured through it lasts as long as the shirt; do not iron the print.',
}

/**
 * Whether an order can be made by its methods in this shop. Every reason is told, not the first one alone. Whether blanks are on the
 * shelf and when it would be ready are other questions.
 */
export function feasible(order: OrderWork, costing: Costing): Feasibility {
  const found = new Found()
  const { rates } = costing
  const pieces = order.lines.reduce((sum, line) => sum + piecesOf(line), 0)
  const methods = new Map<MethodId, number>()
  let waitDays = 0
  order.lines.forEach((line, lineAt) => {
    const here = new Set<MethodId>()
    line.prints.forEach((print, printAt) => {
      const method = methodOf(order, { line: lineAt, print: printAt })
      if (!here.has(method)) clothAgainst(method, line, costing, found)
      here.add(method)
      for (const made of sizedPrints(line, print)) printAgainst(method, line, made, costing, found)
    })
    for (const method of here) methods.set(method, (methods.get(method) ?? 0) + piecesOf(line))
    if (line.sizes.some(s => s.quantity > 0 && isYouth(s.size)))
      found.note(
        'children',
        'note',
        'For children: check the rules on inks, labels and sleepwear where you sell.',
      )
  })
  if (methods.size === 0)
    found.cannot('no-print', 'There is no print on any line yet: add one at a placement.')
  for (const [method, printed] of methods) {
    if (pieces > 0 && printed < rates.leastPieces[method])
      found.cannot(
        'least-pieces',
        `${METHOD_WORDS[method].name} starts at ${rates.leastPieces[method]} pieces; this is ${printed}. Print more, or choose another method.`,
      )
    if (costing.recipes[method].supply === 'bought-in') {
      waitDays = Math.max(waitDays, rates.transferDays)
      found.note(
        'post',
        'note',
        `The transfers are bought in: ${rates.transferDays} working ${rates.transferDays === 1 ? 'day' : 'days'} in the post before pressing.`,
      )
    }
    found.note('wash', 'note', WASH[method])
  }
  return { can: found.reasons.length === 0, reasons: found.reasons, remarks: found.remarks, waitDays }
}
