import { CONSUMABLE } from '@/lib/shop/consumables'
import { unitPrice } from '@/lib/shop/rates'
import { isOnce } from '@/lib/shop/recipe'
import { STATION_WORDS } from '@/lib/shop/stations'
import { formatMoney, type Micro, microPerMinor } from '@/lib/units/money'
import type { Working, WorkingInput } from '@/lib/units/working'
import { type Use, unitsUsed, usedBy } from './consumption'
import { count, labourWhy, machineWhy, materialWhy, money, plain, span, spoilageWhy } from './explain'
import { artKey, artworkOf } from './order'
import type { Costing } from './prepare'
import {
  attendedExtra,
  attendedRun,
  attendedSetup,
  extraSeconds,
  runSeconds,
  type Visit,
  type Work,
} from './steps'
import type { CostLeaf } from './tree'

/**
 * A leaf of the cost that can be worked out again whenever the pieces are counted anew. One list of terms makes the tree of an order and
 * the curve over quantities: there is no second costing.
 */
export type Term = Omit<CostLeaf, 'amount' | 'minor' | 'quantity' | 'working'> & {
  quantity: () => number
  /** Stands in the tree even where it costs nothing: what was saved. */
  stands?: true
  /** Micro-units, not rounded. */
  exact: () => number
  /** How it falls to the lines. */
  weights: () => readonly number[]
  why: (amount: Micro) => Working
}

const sum = (numbers: readonly number[]): number => numbers.reduce((a, b) => a + b, 0)
const noStation = { consumable: null, stationKind: null } as const

/** Good pieces by line. */
const byPieces = (work: Work) => (): number[] => work.started.map(s => s.good)

function blankTerms(work: Work, costing: Costing): Term[] {
  const { show } = costing
  return work.order.lines.flatMap((line, i) => {
    const weights = () => work.started.map((_, k) => (k === i ? 1 : 0))
    const sizes = () => work.order.lines[i]?.sizes ?? []
    const blanks = line.sizes.map((size, k): Term => {
      const quantity = () => sizes()[k]?.quantity ?? 0
      return {
        ...noStation,
        key: `blank ${i}.${k}`,
        group: 'blanks',
        kind: 'blank',
        name: size.name,
        unit: 'piece',
        quantity,
        exact: () => quantity() * size.unitCost,
        weights,
        why: amount =>
          plain(
            'pieces × cost of a blank',
            [
              { name: 'Pieces', value: String(quantity()), from: 'agreed' },
              { name: 'One blank', value: money(size.unitCost, show), from: 'setting', source: 'stockroom' },
            ],
            amount,
            show,
          ),
      }
    })
    const extra: Term = {
      ...noStation,
      key: `spoiled blanks ${i}`,
      group: 'spoilage',
      kind: 'blank',
      name: 'Extra blanks',
      unit: 'piece',
      quantity: () => work.started[i]?.extra ?? 0,
      exact: () => {
        let all = 0
        line.sizes.forEach((size, k) => {
          all += (work.started[i]?.sizes[k]?.extra ?? 0) * size.unitCost
        })
        return all
      },
      weights,
      why: amount => spoilageWhy(work, i, amount, costing),
    }
    return [...blanks, extra]
  })
}

function materialTerms(work: Work, uses: readonly Use[], costing: Costing): Term[] {
  const merged = new Map<string, Use[]>()
  for (const use of uses) {
    const key = `${use.once ? 'set-up ' : ''}${use.consumable}`
    merged.set(key, [...(merged.get(key) ?? []), use])
  }
  return [...merged].map(([key, own]): Term => {
    const first = own[0] as Use
    const price = unitPrice(costing.rates, first.consumable)
    const quantity = () => {
      let all = 0
      for (const use of own) all += use.each * unitsUsed(use, work)[0]
      return all
    }
    return {
      key,
      group: first.once ? 'set-up' : 'material',
      kind: 'material',
      name: CONSUMABLE[first.consumable].name,
      unit: CONSUMABLE[first.consumable].unit,
      consumable: first.consumable,
      stationKind: null,
      quantity,
      exact: () => quantity() * price,
      weights: () => usedByLine(own, work),
      why: amount => materialWhy(own, work, quantity(), amount, costing),
    }
  })
}

/** How a consumable falls to the lines: sheets by pieces, else by what each batch uses of it and its pieces by line. */
function usedByLine(uses: readonly Use[], work: Work): number[] {
  const share = work.started.map(() => 0)
  for (const use of uses) {
    const lines = use.deposit ? use.chain.byLine : work.started.map(s => s.good)
    const good = sum(lines)
    const quantity = use.each * unitsUsed(use, work)[0]
    lines.forEach((pieces, i) => {
      if (good > 0) share[i] = (share[i] ?? 0) + (quantity * pieces) / good
    })
  }
  return share
}

function visitTerms({ step, chain }: Visit, work: Work, costing: Costing): Term[] {
  const once = chain !== null && isOnce(step.per)
  const key = `${step.chain ?? ''} ${step.key}`
  const shared = {
    unit: 'second',
    consumable: null,
    stationKind: step.stationKind,
    weights: chain && step.per !== 'sheet' ? () => chain.byLine : byPieces(work),
  } as const
  const setup = attendedSetup(step)
  const wage = costing.wagePerSecond
  const rate = (costing.machine[step.stationKind]?.total ?? 0) / 3600
  const terms: Term[] = []
  if (setup > 0)
    terms.push({
      ...shared,
      key: `set-up labour ${key}`,
      group: 'set-up',
      kind: 'labour',
      name: `Set-up: ${step.words}`,
      quantity: () => setup,
      exact: () => setup * wage,
      why: amount => labourWhy(step, setup, amount, costing, true),
    })
  if (step.attended === 'all')
    terms.push({
      ...shared,
      key: `labour ${key}`,
      group: once ? 'set-up' : 'labour',
      kind: 'labour',
      name: step.words,
      quantity: () => runSeconds(step),
      exact: () => runSeconds(step) * wage,
      why: amount => labourWhy(step, runSeconds(step), amount, costing, false),
    })
  if (rate > 0) {
    const quantity = () => step.setupSeconds + runSeconds(step)
    terms.push({
      ...shared,
      key: `machine ${key}`,
      group: 'machine',
      kind: 'machine',
      name: `${STATION_WORDS[step.stationKind].name}: ${step.words}`,
      quantity,
      exact: () => quantity() * rate,
      why: amount => machineWhy(step, quantity(), amount, costing),
    })
  }
  return terms
}

function spoiledTerms(work: Work, uses: readonly Use[], costing: Costing): Term[] {
  const { rates, show } = costing
  const priced = uses
    .filter(u => !u.once)
    .map(use => ({ use, price: use.each * unitPrice(rates, use.consumable) }))
  const steps = work.visits.map(v => ({
    step: v.step,
    rate: (costing.machine[v.step.stationKind]?.total ?? 0) / 3600,
  }))
  const pieces = () => sum(work.started.map(s => s.extra))
  const time = () => steps.reduce((all, { step }) => all + extraSeconds(step), 0)
  const term = (what: string, kind: Term['kind'], exact: () => number): Term => ({
    ...noStation,
    key: `spoiled ${what}`,
    group: 'spoilage',
    kind,
    name: `${what[0]?.toUpperCase()}${what.slice(1)} of the extra pieces`,
    unit: 'piece',
    quantity: pieces,
    exact,
    weights: byPieces(work),
    why: amount =>
      plain(
        `${what} of the extra pieces`,
        [
          {
            name: 'Extra pieces',
            value: count(pieces()),
            from: 'worked',
            source: rates.spoilageCharge === 'expected' ? 'expected to spoil' : 'set aside',
          },
          ...(kind === 'material' ? [] : [{ name: 'Time', value: span(time()), from: 'worked' as const }]),
        ],
        amount,
        show,
      ),
  })
  return [
    term('material', 'material', () => {
      let all = 0
      for (const { use, price } of priced) all += unitsUsed(use, work)[1] * price
      return all
    }),
    term('labour', 'labour', () => {
      let all = 0
      for (const { step } of steps) all += attendedExtra(step)
      return all * costing.wagePerSecond
    }),
    term('machine time', 'machine', () => {
      let all = 0
      for (const { step, rate } of steps) all += extraSeconds(step) * rate
      return all
    }),
  ]
}

function overheadTerm(work: Work, costing: Costing): Term {
  const { rates, show } = costing
  const quantity = () => {
    let all = 0
    for (const { step } of work.visits) all += attendedSetup(step) + attendedRun(step) + attendedExtra(step)
    return all
  }
  return {
    ...noStation,
    key: 'overhead',
    group: 'overhead',
    kind: 'overhead',
    name: 'Rent, insurance, office',
    unit: 'second',
    quantity,
    exact: () => quantity() * costing.overheadPerSecond,
    weights: byPieces(work),
    why: amount =>
      plain(
        'labour time × overhead for an hour of labour',
        [
          { name: 'Labour time', value: span(quantity()), from: 'worked' },
          {
            name: 'Overhead an hour',
            value: formatMoney(rates.overheadPerLabourHour, show.currency, show.locale),
            from: 'setting',
            source: 'rates',
          },
        ],
        amount,
        show,
      ),
  }
}

function outsideTerms(work: Work, costing: Costing): Term[] {
  const { rates, show } = costing
  const whole = (
    key: string,
    group: 'outside' | 'freight',
    name: string,
    from: 'agreed' | 'setting',
    exact: () => number,
  ): Term => ({
    ...noStation,
    key,
    group,
    kind: group,
    name,
    unit: 'order',
    quantity: () => 1,
    exact,
    weights: byPieces(work),
    why: amount => plain('for the whole order', [{ name, value: money(amount, show), from }], amount, show),
  })
  const post = rates.transferFreight * microPerMinor(show.currency)
  const posted = work.chains.some(c => c.recipe.supply === 'bought-in')
  return [
    ...(posted ? [whole('post', 'freight', 'Post of the transfers', 'setting', () => post)] : []),
    ...(['outside', 'freight'] as const).flatMap(group =>
      (work.order[group] ?? []).map((extra, i) =>
        whole(`${group} ${i}`, group, extra.name, 'agreed', () => work.order[group]?.[i]?.amount ?? 0),
      ),
    ),
  ]
}

/** What an earlier order left and this one need not make: it costs nothing, and the tree says so. None where nothing is spared. */
function sparedTerm(
  what: { key: string; name: string; formula: string; inputs: WorkingInput[]; spared: number },
  work: Work,
  costing: Costing,
): Term[] {
  const { key, name, formula, inputs, spared } = what
  if (spared === 0) return []
  return [
    {
      ...noStation,
      key,
      group: 'set-up',
      kind: 'labour',
      name,
      unit: 'second',
      stands: true,
      quantity: () => 0,
      exact: () => 0,
      weights: byPieces(work),
      why: amount => plain(formula, inputs, amount, costing.show),
    },
  ]
}

/** Screens that stand on the shelf, and art that was prepared before. */
function sparedTerms(work: Work, costing: Costing): Term[] {
  const screens = sum(work.chains.map(c => c.newScreens - c.madeScreens))
  const asks = work.chains.filter(c => c.recipe.steps.some(s => s.per === 'new-art'))
  const artworks = (chains: typeof asks) =>
    new Set(chains.map(c => artKey(c.recipe.id, artworkOf(c.design)))).size
  const art = artworks(asks.filter(c => c.preparedArt))
  return [
    ...sparedTerm(
      {
        key: 'screens from the shelf',
        name: `Screens from the shelf: ${screens} not made again`,
        formula: 'screens to make: those that the design needs − those on the shelf',
        inputs: [
          { name: 'Screens needed', value: count(sum(work.chains.map(c => c.newScreens))), from: 'worked' },
          { name: 'On the shelf', value: count(screens), from: 'measured', source: 'stockroom' },
        ],
        spared: screens,
      },
      work,
      costing,
    ),
    ...sparedTerm(
      {
        key: 'art prepared before',
        name: `Art from an earlier order: ${art} not prepared again`,
        formula: 'artworks to prepare: those of the order − those printed this way before',
        inputs: [
          { name: 'Artworks of the order', value: count(artworks(asks)), from: 'worked' },
          { name: 'Printed this way before', value: count(art), from: 'measured', source: 'earlier orders' },
        ],
        spared: art,
      },
      work,
      costing,
    ),
  ]
}

/** The leaves of an order's cost, to be worked out for the pieces that its work counts at the time. */
export function termsOf(work: Work, costing: Costing): Term[] {
  const uses = usedBy(work)
  return [
    ...blankTerms(work, costing),
    ...materialTerms(work, uses, costing),
    ...sparedTerms(work, costing),
    ...work.visits.flatMap(v => visitTerms(v, work, costing)),
    ...spoiledTerms(work, uses, costing),
    overheadTerm(work, costing),
    ...outsideTerms(work, costing),
  ]
}
