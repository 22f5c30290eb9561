import { CONSUMABLE, formatQuantity } from '@/lib/shop/consumables'
import { METHOD_WORDS } from '@/lib/shop/methods'
import type { Rates } from '@/lib/shop/rates'
import type { CountedBy } from '@/lib/shop/recipe'
import type { Sourced } from '@/lib/shop/sourced'
import { STATION_WORDS } from '@/lib/shop/stations'
import { type Cm2, formatArea } from '@/lib/units/measure'
import { formatMicro, formatMoney, type Micro } from '@/lib/units/money'
import type { Working, WorkingInput } from '@/lib/units/working'
import { depositVolume, type Use, unitsUsed } from './consumption'
import type { Costing, Show } from './prepare'
import type { StepTime, Work } from './steps'

const round = (n: number): Micro => Math.round(n) as Micro

/** Seconds for people: "40 s", "12.5 min", "2.3 h". */
export const span = (s: number): string =>
  s < 90
    ? `${Number(s.toFixed(1))} s`
    : s < 5400
      ? `${Number((s / 60).toFixed(1))} min`
      : `${Number((s / 3600).toFixed(2))} h`
/** A number for people: at most two digits after the point. */
export const count = (n: number): string => Number(n.toFixed(2)).toString()

/** A cost for people, down to the micro-unit. */
export const money = (n: Micro, show: Show) => formatMicro(n, show.currency, show.locale)

/** Where a value of a recipe or of the rates came from. */
const grounds = (s: Pick<Sourced<unknown>, 'from' | 'source'>) => ({
  from: s.from,
  ...(s.source ? { source: s.source } : {}),
})

function wageInput(rates: Rates, show: Show): WorkingInput {
  return {
    name: 'Wage',
    value: `${formatMoney(rates.wagePerHour, show.currency, show.locale)} an hour`,
    from: 'setting',
    source: 'rates',
  }
}

const UNIT_WORDS: Record<CountedBy, string> = {
  job: 'Jobs',
  design: 'Designs',
  'new-art': 'Artworks to prepare',
  screen: 'Screens to make',
  'press-screen': 'Screens on the press',
  sheet: 'Sheets',
  piece: 'Pieces',
  print: 'Prints',
}

/** How the time of one step came about: its set-up, its run, or both. */
function timeInput(step: StepTime, part: 'set-up' | 'run' | 'both', seconds: number): WorkingInput {
  const inputs: WorkingInput[] = []
  const put = (name: string, seconds: number, from: Sourced<number> | null) => {
    if (from && seconds > 0) inputs.push({ name, value: span(seconds), ...grounds(from) })
  }
  if (part !== 'run')
    for (const { step: s } of step.steps)
      if (s.setup)
        put(
          `${s.words}: set-up for each ${s.setup.per.replace('-', ' ')}`,
          s.setup.seconds.value,
          s.setup.seconds,
        )
  if (part !== 'set-up') {
    inputs.push({ name: UNIT_WORDS[step.per], value: count(step.units), from: 'agreed' })
    for (const { step: s, setting, dwellSeconds } of step.steps) {
      put(`${s.words}: dwell`, dwellSeconds, setting.dwellSeconds)
      put(`${s.words}: hands`, s.handlingSeconds.value, s.handlingSeconds)
      put(`${s.words}: each screen`, s.perInkSeconds?.value ?? 0, s.perInkSeconds)
      put(`${s.words}: one after another`, s.paceSeconds?.value ?? 0, s.paceSeconds)
    }
  }
  if (step.pace)
    inputs.push({
      name: 'Clocked here',
      value: `× ${Number(step.pace.factor.toFixed(3))} over ${step.pace.runs} ${step.pace.runs === 1 ? 'run' : 'runs'}`,
      from: 'measured',
      source: 'floor',
    })
  const value = span(seconds)
  const formula = {
    'set-up': 'set-ups × time for one',
    run: 'units × time for one',
    both: 'set-ups + units × time for one',
  }[part]
  return { name: 'Time', value, from: 'worked', working: { formula, inputs, result: value } }
}

/** How the labour of one step came about: its set-up, or its run. */
export const labourWhy = (
  step: StepTime,
  seconds: number,
  amount: Micro,
  costing: Costing,
  setup: boolean,
): Working => ({
  formula: setup ? 'set-up time × wage' : 'time × wage',
  inputs: [timeInput(step, setup ? 'set-up' : 'run', seconds), wageInput(costing.rates, costing.show)],
  result: money(amount, costing.show),
})

/** How the machine time of one step came about. */
export function machineWhy(step: StepTime, seconds: number, amount: Micro, costing: Costing): Working {
  const rate = costing.machine[step.stationKind]
  return {
    formula: 'time on the machine × machine-hour rate',
    inputs: [
      timeInput(step, 'both', seconds),
      {
        name: `${STATION_WORDS[step.stationKind].name}, one hour`,
        value: money(round(rate?.total ?? 0), costing.show),
        from: 'setting',
        source: 'machines',
        ...(rate
          ? {
              working: {
                formula: 'purchase + upkeep + power, mean over the machines of the kind',
                inputs: [
                  {
                    name: 'Purchase',
                    value: money(round(rate.purchase), costing.show),
                    from: 'setting' as const,
                  },
                  {
                    name: 'Upkeep',
                    value: money(round(rate.upkeep), costing.show),
                    from: 'setting' as const,
                  },
                  { name: 'Power', value: money(round(rate.power), costing.show), from: 'setting' as const },
                  { name: 'Machines', value: String(rate.machines), from: 'setting' as const },
                ],
                result: `${money(round(rate.total), costing.show)} an hour`,
              },
            }
          : {}),
      },
    ],
    result: money(amount, costing.show),
  }
}

/** At which size the print is on these garment sizes, where it differs by them. */
const sizeInputs = ({ chain, deposit }: Use): WorkingInput[] =>
  chain.onSizes && deposit
    ? [
        {
          name: `Print on ${chain.onSizes}`,
          value: `${count(chain.widthMm)} × ${count(chain.heightMm)} mm`,
          from: 'agreed',
        },
      ]
    : []

/** How much of a deposit one unit takes, with its sources. */
function depositInputs(use: Use, costing: Costing): WorkingInput[] {
  const { deposit, chain } = use
  const unit = CONSUMABLE[use.consumable].unit
  const area = (n: number) => formatArea(n as Cm2, costing.show.system)
  const art = {
    from: chain.assumed ? ('default' as const) : ('measured' as const),
    source: chain.assumed ? 'assumed until the art is in' : 'artwork',
  }
  if (!deposit) {
    const size = costing.rates.sheets[chain.recipe.sheet ?? 'transfer-sheet']
    return [
      {
        name: 'Sheet',
        value: `${size.widthMm} × ${size.heightMm} mm, ${size.gapMm} mm between`,
        from: 'setting',
        source: 'rates',
      },
      { name: 'Print', value: `${count(chain.widthMm)} × ${count(chain.heightMm)} mm`, from: 'agreed' },
    ]
  }
  switch (deposit.by) {
    case 'unit':
      return [
        {
          name: `For one ${deposit.per.replace('-', ' ')}`,
          value: formatQuantity(deposit.each.value, unit),
          ...grounds(deposit.each),
        },
      ]
    case 'area':
      return [
        {
          name: deposit.area === 'covered' ? 'Covered area' : 'Printed area',
          value: area(deposit.area === 'covered' ? chain.coveredCm2 : chain.printedCm2),
          ...(deposit.area === 'covered' ? art : { from: 'agreed' as const }),
        },
        {
          name: 'On one m²',
          value: formatQuantity(deposit.perCm2.value * 10_000, unit),
          ...grounds(deposit.perCm2),
        },
      ]
    case 'mesh':
      return [
        { name: 'Covered area', value: area(chain.coveredCm2), ...art },
        {
          name: 'Theoretical ink volume',
          value: `${depositVolume(deposit).toFixed(1)} cm³/m²`,
          from: 'worked',
          source: `${deposit.threadsPerCm.value} threads/cm, ${deposit.threadUm.value} µm thread`,
        },
        {
          name: 'Density',
          value: `${deposit.densityGPerCm3.value} g/cm³`,
          ...grounds(deposit.densityGPerCm3),
        },
        {
          name: 'Share transferred',
          value: `${deposit.transferred.value * 100} %`,
          ...grounds(deposit.transferred),
        },
      ]
  }
}

/** How a material came about: what was used of it, by which deposits, at what price. */
export function materialWhy(
  uses: readonly Use[],
  work: Work,
  quantity: number,
  amount: Micro,
  costing: Costing,
): Working {
  const first = uses[0] as Use
  const c = CONSUMABLE[first.consumable]
  const price = costing.rates.consumables[first.consumable]
  return {
    formula:
      first.deposit === null
        ? 'sheets × price'
        : first.deposit.by === 'mesh'
          ? 'covered area × ink volume × density × share transferred × pieces × price'
          : first.deposit.by === 'area'
            ? 'area × deposit × pieces × price'
            : 'units × use × price',
    inputs: [
      { name: 'Used', value: formatQuantity(quantity, c.unit), from: 'worked' },
      ...uses.flatMap(u => [
        {
          name: u.once ? 'Set-ups' : u.deposit ? 'Pieces' : 'Sheets',
          value: count(unitsUsed(u, work)[0]),
          from: 'agreed' as const,
        },
        ...sizeInputs(u),
        ...depositInputs(u, costing),
      ]),
      {
        name: 'Price',
        value: `${money(price.price, costing.show)} for ${c.unit === 'piece' && price.per === 1 ? 'one' : formatQuantity(price.per, c.unit)}${c.unit === 'piece' && price.per > 1 ? ' pieces' : ''}`,
        ...grounds(price),
      },
    ],
    result: money(amount, costing.show),
  }
}

/** How the extra blanks of a line came about. */
export function spoilageWhy(work: Work, line: number, amount: Micro, costing: Costing): Working {
  const started = work.started[line]
  const { rates, show } = costing
  const methods = [...new Set(work.chains.filter(c => (c.byLine[line] ?? 0) > 0).map(c => c.method))]
  const expected = rates.spoilageCharge === 'expected'
  return {
    formula: expected
      ? 'good pieces × spoilage ÷ (1 − spoilage) × cost of a blank'
      : 'least extra blanks by size so that P(enough good) ≥ confidence, binomial, × cost of a blank',
    inputs: [
      ...methods.map(m => {
        const s = rates.spoilage[m]
        return {
          name: `Spoilage, ${METHOD_WORDS[m].short}`,
          value: `${Number((s.rate * 100).toFixed(2))} % (${s.spoiled} of ${s.pieces} counted)`,
          ...grounds(s),
        }
      }),
      {
        name: 'Confidence for each size',
        value: `${Number((rates.spoilageConfidence * 100).toFixed(2))} %`,
        from: 'setting' as const,
        source: 'rates',
      },
      ...(work.order.lines[line]?.sizes ?? []).flatMap((size, i) => {
        const s = started?.sizes[i]
        return s && s.good > 0
          ? [{ name: size.name, value: `${s.good} good, ${s.start} to start`, from: 'worked' as const }]
          : []
      }),
      { name: 'Extra blanks charged', value: count(started?.extra ?? 0), from: 'worked' as const },
    ],
    result: money(amount, show),
    note: 'Blanks that are set aside and do not spoil go back to the shelf: month end shows what really spoiled.',
  }
}

/** A working of a formula and its inputs. */
export const plain = (formula: string, inputs: WorkingInput[], amount: Micro, show: Show): Working => ({
  formula,
  inputs,
  result: money(amount, show),
})
