import { CONSUMABLE } from '@/lib/shop/consumables'
import { unitPrice } from '@/lib/shop/rates'
import { isOnce } from '@/lib/shop/recipe'
import { STATION_WORDS } from '@/lib/shop/stations'
import { formatMoney, type Micro, microPerMinor } from '@/lib/units/money'
import { ok, type Result } from '@/lib/units/result'
import type { Working } from '@/lib/units/working'
import { checkOrder } from './check-order'
import { type Use, usedBy } from './consumption'
import { count, labourWhy, machineWhy, materialWhy, money, plain, round, span, spoilageWhy } from './explain'
import type { OrderWork } from './order'
import type { Costing } from './prepare'
import {
  attendedExtra,
  attendedRun,
  attendedSetup,
  extraSeconds,
  runSeconds,
  type StepTime,
  type Work,
  workOf,
} from './steps'
import { type Cost, type Draft, growTree, totalOf } from './tree'

/** The leaves of an order's cost. Amounts are rounded to micro-units leaf by leaf. */
export function draftsOf(order: OrderWork, costing: Costing, work: Work): Draft[] {
  const { rates, show } = costing
  const drafts: Draft[] = []
  const lines = order.lines.length
  const byPieces = work.started.map(s => s.good)
  const add = (
    d: Pick<Draft, 'key' | 'group' | 'kind' | 'name' | 'quantity' | 'unit' | 'why'> &
      Partial<Pick<Draft, 'consumable' | 'stationKind' | 'weights'>>,
    exact: number,
  ) => {
    const amount = round(exact)
    if (amount === 0) return
    drafts.push({ consumable: null, stationKind: null, weights: byPieces, ...d, amount })
  }
  const weightsOf = (step: StepTime): readonly number[] =>
    work.chains.length === 1 || step.chain === null || step.per === 'sheet'
      ? byPieces
      : (work.chains.find(c => c.key === step.chain)?.byLine ?? byPieces)

  order.lines.forEach((line, i) => {
    const own = lines === 1 ? byPieces : byPieces.map((_, k) => (k === i ? 1 : 0))
    line.sizes.forEach((size, k) => {
      const exact = size.quantity * size.unitCost
      add(
        {
          key: `blank ${i}.${k}`,
          group: 'blanks',
          kind: 'blank',
          name: size.name,
          quantity: size.quantity,
          unit: 'piece',
          weights: own,
          why: () =>
            plain(
              'pieces × cost of a blank',
              [
                { name: 'Pieces', value: String(size.quantity), from: 'agreed' },
                {
                  name: 'One blank',
                  value: money(size.unitCost, show),
                  from: 'setting',
                  source: 'stockroom',
                },
              ],
              round(exact),
              show,
            ),
        },
        exact,
      )
    })
    const started = work.started[i]
    if (!started || started.extra === 0) return
    const exact = line.sizes.reduce((sum, size, k) => sum + (started.sizes[k]?.extra ?? 0) * size.unitCost, 0)
    add(
      {
        key: `spoiled blanks ${i}`,
        group: 'spoilage',
        kind: 'blank',
        name: 'Extra blanks',
        quantity: started.extra,
        unit: 'piece',
        weights: own,
        why: () => spoilageWhy(work, order, i, round(exact), costing),
      },
      exact,
    )
  })

  const uses = usedBy(work)
  const merged = new Map<string, Use[]>()
  let extraMaterial = 0
  for (const use of uses) {
    const key = `${use.once ? 'set-up ' : ''}${use.consumable}`
    const same = merged.get(key)
    if (same) same.push(use)
    else merged.set(key, [use])
    extraMaterial += use.extra * unitPrice(rates, use.consumable)
  }
  for (const [key, own] of merged) {
    const first = own[0] as Use
    const quantity = own.reduce((sum, u) => sum + u.quantity, 0)
    const exact = quantity * unitPrice(rates, first.consumable)
    add(
      {
        key,
        group: first.once ? 'set-up' : 'material',
        kind: 'material',
        name: CONSUMABLE[first.consumable].name,
        quantity,
        unit: CONSUMABLE[first.consumable].unit,
        consumable: first.consumable,
        weights: work.chains.length === 1 ? byPieces : shareOf(own, lines),
        why: () => materialWhy(own, quantity, round(exact), costing),
      },
      exact,
    )
  }

  let attended = 0
  let extraLabour = 0
  let extraMachine = 0
  let extraTime = 0
  for (const step of work.steps) {
    const once = step.chain !== null && isOnce(step.per)
    const key = `${step.chain ?? ''} ${step.key}`
    const run = runSeconds(step)
    const extra = extraSeconds(step)
    const atSetup = attendedSetup(step)
    const atRun = attendedRun(step)
    const atExtra = attendedExtra(step)
    const rate = (costing.machine[step.stationKind]?.total ?? 0) / 3600
    attended += atSetup + atRun + atExtra
    extraLabour += atExtra * costing.wagePerSecond
    extraMachine += extra * rate
    extraTime += extra
    const shared = { unit: 'second', stationKind: step.stationKind, weights: weightsOf(step) } as const
    add(
      {
        ...shared,
        key: `set-up labour ${key}`,
        group: 'set-up',
        kind: 'labour',
        name: `Set-up: ${step.words}`,
        quantity: atSetup,
        why: () => labourWhy(step, atSetup, round(atSetup * costing.wagePerSecond), costing, true),
      },
      atSetup * costing.wagePerSecond,
    )
    add(
      {
        ...shared,
        key: `labour ${key}`,
        group: once ? 'set-up' : 'labour',
        kind: 'labour',
        name: step.words,
        quantity: atRun,
        why: () => labourWhy(step, atRun, round(atRun * costing.wagePerSecond), costing, false),
      },
      atRun * costing.wagePerSecond,
    )
    if (rate === 0) continue
    const onMachine = step.setupSeconds + run
    add(
      {
        ...shared,
        key: `machine ${key}`,
        group: 'machine',
        kind: 'machine',
        name: `${STATION_WORDS[step.stationKind].name}: ${step.words}`,
        quantity: onMachine,
        why: () => machineWhy(step, onMachine, round(onMachine * rate), costing),
      },
      onMachine * rate,
    )
  }
  const expected = rates.spoilageCharge === 'expected'
  const forExtra = (what: string, amount: Micro): Working =>
    plain(
      `${what} of the extra pieces`,
      [
        {
          name: 'Extra pieces',
          value: count(work.started.reduce((sum, s) => sum + s.extra, 0)),
          from: 'default',
          source: expected ? 'expected to spoil' : 'set aside',
        },
        ...(what === 'material' ? [] : [{ name: 'Time', value: span(extraTime), from: 'default' as const }]),
      ],
      amount,
      show,
    )
  const extraPieces = work.started.reduce((sum, s) => sum + s.extra, 0)
  const spoiled = { group: 'spoilage', quantity: extraPieces, unit: 'piece' } as const
  add(
    {
      ...spoiled,
      key: 'spoiled material',
      kind: 'material',
      name: 'Material of the extra pieces',
      why: () => forExtra('material', round(extraMaterial)),
    },
    extraMaterial,
  )
  add(
    {
      ...spoiled,
      key: 'spoiled labour',
      kind: 'labour',
      name: 'Labour of the extra pieces',
      why: () => forExtra('labour', round(extraLabour)),
    },
    extraLabour,
  )
  add(
    {
      ...spoiled,
      key: 'spoiled machine',
      kind: 'machine',
      name: 'Machines of the extra pieces',
      why: () => forExtra('machine time', round(extraMachine)),
    },
    extraMachine,
  )
  add(
    {
      key: 'overhead',
      group: 'overhead',
      kind: 'overhead',
      name: 'Rent, insurance, office',
      quantity: attended,
      unit: 'second',
      why: () =>
        plain(
          'labour time × overhead for an hour of labour',
          [
            { name: 'Labour time', value: span(attended), from: 'default' },
            {
              name: 'Overhead an hour',
              value: formatMoney(rates.overheadPerLabourHour, show.currency, show.locale),
              from: 'setting',
              source: 'rates',
            },
          ],
          round(attended * costing.overheadPerSecond),
          show,
        ),
    },
    attended * costing.overheadPerSecond,
  )

  const post = work.chains.some(c => c.recipe.supply === 'bought-in')
  if (post)
    add(
      {
        key: 'post',
        group: 'freight',
        kind: 'freight',
        name: 'Post of the transfers',
        quantity: 1,
        unit: 'order',
        why: () =>
          plain(
            'one parcel',
            [
              {
                name: 'Parcel',
                value: formatMoney(rates.transferFreight, show.currency, show.locale),
                from: 'setting',
                source: 'rates',
              },
            ],
            round(rates.transferFreight * microPerMinor(show.currency)),
            show,
          ),
      },
      rates.transferFreight * microPerMinor(show.currency),
    )
  for (const [group, extras] of [
    ['outside', order.outside ?? []],
    ['freight', order.freight ?? []],
  ] as const)
    extras.forEach((extra, i) => {
      add(
        {
          key: `${group} ${i}`,
          group,
          kind: group,
          name: extra.name,
          quantity: 1,
          unit: 'order',
          why: () =>
            plain(
              'as agreed',
              [{ name: extra.name, value: money(extra.amount, show), from: 'agreed' }],
              extra.amount,
              show,
            ),
        },
        extra.amount,
      )
    })
  return drafts
}

/** How a consumable falls to the lines: by what each batch uses of it, and its pieces by line. */
function shareOf(uses: readonly Use[], lines: number): number[] {
  const share = new Array<number>(lines).fill(0)
  for (const u of uses) {
    const good = u.chain.byLine.reduce((a, b) => a + b, 0)
    u.chain.byLine.forEach((pieces, i) => {
      share[i] = (share[i] ?? 0) + (u.quantity * pieces) / good
    })
  }
  return share
}

/** A cost with the work it was made of. */
export type CostedOrder = { cost: Cost; work: Work }

/** The cost of an order as a tree with its workings, or why there is none. */
export function costOrder(order: OrderWork, costing: Costing): Result<CostedOrder> {
  const checked = checkOrder(order)
  if (!checked.ok) return checked
  const work = workOf(order, costing)
  return ok({
    cost: growTree(draftsOf(order, costing, work), checked.value, order.lines.length, costing.show.currency),
    work,
  })
}

/** The total alone, micro-units: the very same leaves without their workings. For curves; check the order first. */
export const costAmount = (order: OrderWork, costing: Costing): Micro =>
  totalOf(draftsOf(order, costing, workOf(order, costing)))
