import 'server-only'
import { CLEARANCE_WORDS } from '@/lib/artwork/clearance'
import { sizeOf } from '@/lib/artwork/print-sizes'
import { priceLists } from '@/lib/methods/store'
import { unclearedOf } from '@/lib/orders/offer'
import { artworksOf, type OrderView, orderTitle } from '@/lib/orders/order'
import { getOrder, getOrders } from '@/lib/orders/store'
import { lastChange } from '@/lib/planning/board/store'
import { instantOfMinute, openingsOf } from '@/lib/planning/openings'
import {
  type SizeCount,
  type StepRecipe,
  sizeCountsSchema,
  stepRecipeSchema,
} from '@/lib/planning/recipe-snapshot'
import {
  goodnessWords,
  type OrderStanding,
  standingOf,
  type Waiting,
  waitingList,
} from '@/lib/planning/standing'
import { isAfter, isRemake } from '@/lib/planning/steps'
import { type BoardRun, type CurrentPlan, currentPlan, sharedPlan } from '@/lib/planning/store'
import { db, type Prisma } from '@/lib/server/database'
import { untilChanged } from '@/lib/server/live'
import type { BlankKind, Size } from '@/lib/shop/blanks'
import { crew, type StationRow, shop, stations } from '@/lib/shop/store'
import {
  addDays,
  dayBounds,
  dayOf,
  type Instant,
  instant,
  instantOf,
  type ShopDay,
  weekdayOf,
} from '@/lib/units/time'
import { standing } from '../counter/counter'
import type { MisprintReason } from '../misprint'
import { nextRun } from '../next'
import { leftBySize, type SizeGood, type StepState } from '../reports'
import { stateWords } from '../state-words'
import { type BoardScreen, screenOf } from './screen'

const at = (date: Date | null): Instant | null => (date ? instantOf(date) : null)

const withAll = {
  station: { select: { id: true, code: true, name: true } },
  run: { include: { station: { select: { code: true, name: true } }, crew: { select: { name: true } } } },
  reports: { orderBy: [{ at: 'desc' }, { id: 'desc' }], take: 1 },
} as const satisfies Prisma.JobStepInclude
type Row = Prisma.JobStepGetPayload<{ include: typeof withAll }>

/** A step with everything a person at a station, or with a ticket, wants to see of it. */
export type StepView = {
  id: string
  job: string
  position: number
  title: string
  state: StepState
  stationKind: string
  stationState: string | null
  setupMinutes: number
  runMinutes: number
  pieces: number
  good: number
  spoiled: number
  sizes: SizeCount[]
  recipe: StepRecipe
  remake: boolean
  station: { id: string; code: string; name: string } | null
  startedAt: Instant | null
  finishedAt: Instant | null
  last: { kind: string; byName: string; at: Instant; note: string } | null
  planned: {
    code: string
    station: string
    crew: string | null
    startAt: Instant
    workAt: Instant
    endAt: Instant
    changeover: number
  } | null
}

const asStep = (r: Row): StepView => {
  const last = r.reports[0]
  return {
    id: r.id,
    job: r.job,
    position: r.position,
    title: r.title,
    state: r.state as StepState,
    stationKind: r.stationKind,
    stationState: r.stationState,
    setupMinutes: r.setupMinutes,
    runMinutes: r.runMinutes,
    pieces: r.pieces,
    good: r.good,
    spoiled: r.spoiled,
    sizes: sizeCountsSchema.parse(r.sizes),
    recipe: stepRecipeSchema.parse(r.recipe),
    remake: isRemake(r.job),
    station: r.station,
    startedAt: at(r.startedAt),
    finishedAt: at(r.finishedAt),
    last: last ? { kind: last.kind, byName: last.byName, at: instantOf(last.at), note: last.note } : null,
    planned: r.run && {
      code: r.run.station.code,
      station: r.run.station.name,
      crew: r.run.crew?.name ?? null,
      startAt: instantOf(r.run.startAt),
      workAt: instantOf(r.run.workAt),
      endAt: instantOf(r.run.endAt),
      changeover: r.run.changeover,
    },
  }
}

/** The order around a step, as the floor reads it. */
export type JobFacts = {
  number: number
  title: string
  customer: string
  state: string
  note: string
  promiseAt: Instant | null
  promiseHard: boolean
  rush: boolean
  uncleared: string[]
  /** Art that rests on somebody's word: a declaration or a licence. */
  rights: { name: string; basis: string; evidence: string }[]
}
const asJob = (o: OrderView): JobFacts => ({
  number: o.number,
  title: orderTitle(o),
  customer: o.customer.name,
  state: o.state,
  note: o.note,
  promiseAt: o.promiseAt,
  promiseHard: o.promiseHard,
  rush: o.rush,
  uncleared: unclearedOf(o).map(a => a.name),
  rights: artworksOf(o.lines).flatMap(({ name, rights: { basis, evidence } }) =>
    basis === 'customerDeclaration' || basis === 'licence'
      ? [{ name, basis: CLEARANCE_WORDS[basis].name.toLowerCase(), evidence }]
      : [],
  ),
})

/** The blank that a step works: what is drawn. Several colours: the first is drawn, all are named. */
export type Garment = {
  kind: BlankKind
  style: string
  colours: string[]
  cloth: string
  /** The size drawn: the one with most pieces among those that are worked. */
  size: Size
  /** Each print of the line, so that the whole garment is drawn. */
  prints: {
    id: string
    placement: string
    widthMm: number
    heightMm: number
    dropMm: number
    offsetMm: number
    artworkId: string | null
    name: string
  }[]
}

function garmentOf(order: OrderView, sizes: readonly SizeCount[]): Garment | null {
  const items = new Set(sizes.map(s => s.itemId))
  const lines = order.lines.filter(l => l.sizes.some(s => items.has(s.itemId)))
  const line = lines[0]
  if (!line) return null
  const most = line.sizes.filter(s => items.has(s.itemId)).sort((a, b) => b.quantity - a.quantity)[0]
  return {
    kind: line.style.kind,
    style: line.style.name,
    colours: [...new Set(lines.map(l => l.colour))],
    cloth: line.colourHex,
    size: most?.size ?? 'M',
    prints: line.prints.map(p => ({
      id: p.id,
      placement: p.placement,
      ...sizeOf(p, most?.size ?? 'M', p.bySize ?? []),
      dropMm: p.dropMm,
      offsetMm: p.offsetMm,
      artworkId: p.artwork?.id ?? null,
      name: p.artwork?.name ?? 'no artwork',
    })),
  }
}

/** One piece of work at a station. */
export type Task = {
  step: StepView
  job: JobFacts
  garment: Garment | null
  standing: OrderStanding
  /** Open pieces by size. */
  left: SizeGood[]
  /** Form keys of the reports that have come in on it. */
  heard: string[]
  /** The step that has to hand pieces on first, where it has not handed on any. */
  waitsFor: {
    title: string
    station: string | null
    code: string | null
    state: StepState
    /** Where it is done: until when the pieces rest. */
    restsUntil: Instant | null
  } | null
}

// ---- A job ----

export type JobMisprint = {
  id: string
  size: string
  quantity: number
  reason: MisprintReason
  note: string
  byName: string
  at: Instant
  step: string
  remake: string | null
  photo: boolean
  undone: boolean
}
export type JobView = {
  job: JobFacts
  standing: OrderStanding
  steps: StepView[]
  /** Which blank each step's chain works, by step id. */
  garments: Map<string, Garment | null>
  misprints: JobMisprint[]
  reports: {
    id: string
    step: string
    kind: string
    good: number
    spoiled: number
    note: string
    byName: string
    at: Instant
    /** When it came in, where it had waited for a line. */
    cameAt: Instant | null
    stepId: string
    /** Taken back by a counter-report. */
    undone: boolean
    /** The newest of its step that counts: it can be taken back. */
    newest: boolean
  }[]
}

/** All steps of an order with what was planned and what really happened; null where there is no such order. */
export async function jobView(number: number): Promise<JobView | null> {
  const order = await getOrder(number)
  if (!order) return null
  const [facts, rows, misprints, reports] = await Promise.all([
    shop(),
    db().jobStep.findMany({
      where: { orderId: order.id },
      include: withAll,
      orderBy: [{ job: 'asc' }, { position: 'asc' }],
    }),
    db().misprint.findMany({
      where: { orderId: order.id },
      orderBy: { at: 'asc' },
      include: { step: { select: { title: true } } },
    }),
    db().report.findMany({
      where: { step: { orderId: order.id } },
      orderBy: [{ at: 'desc' }, { id: 'desc' }],
      take: 200,
      include: { step: { select: { title: true } } },
    }),
  ])
  // Batches first, then remakes, then the washing up.
  const rank = (job: string) => (isAfter(job) ? 2 : isRemake(job) ? 1 : 0)
  const steps = rows.map(asStep).sort((a, b) => rank(a.job) - rank(b.job))
  return {
    job: asJob(order),
    standing: standingOf({ promiseAt: order.promiseAt, readyAt: readyAt(steps) }, facts.timeZone),
    steps,
    garments: new Map(steps.map(s => [s.id, garmentOf(order, s.sizes)])),
    misprints: misprints.map(m => ({
      id: m.id,
      size: m.size,
      quantity: m.quantity,
      reason: m.reason as MisprintReason,
      note: m.note,
      byName: m.byName,
      at: instantOf(m.at),
      step: m.step.title,
      remake: m.remake,
      photo: m.photo !== null,
      undone: m.undone,
    })),
    reports: reports.map(r => ({
      id: r.id,
      step: r.step.title,
      kind: r.kind,
      good: r.good,
      spoiled: r.spoiled,
      note: r.note,
      byName: r.byName,
      at: instantOf(r.at),
      cameAt: at(r.cameAt),
      stepId: r.stepId,
      undone: reports.some(u => u.undoes === r.id),
      newest: standing(reports.filter(o => o.stepId === r.stepId)).at(0)?.id === r.id,
    })),
  }
}

/** When the last of the steps is, or was, done; null when one of them has no place on the plan. */
function readyAt(steps: readonly StepView[]): Instant | null {
  let ready: number | null = null
  for (const s of steps) {
    if (isAfter(s.job) || s.state === 'dropped') continue
    const end = s.state === 'done' ? s.finishedAt : (s.planned?.endAt ?? null)
    if (end === null) return null
    ready = Math.max(ready ?? 0, end)
  }
  return ready as Instant | null
}

/** Under which content the photo of a misprint is kept; null where it has none. */
export const misprintPhoto = async (id: string): Promise<string | null> =>
  (await db().misprint.findUnique({ where: { id }, select: { photo: true } }))?.photo ?? null

// ---- A station ----

export type StationView = {
  station: StationRow
  /** What runs here now. */
  now: Task | null
  /** What lies here half done. */
  paused: Task[]
  /** What is planned here, earliest first. */
  coming: Task[]
}

/**
 * A station's day: what runs, what is paused, what comes; null where there is no such station.
 * @param ticket an order whose steps are shown however late the plan has them
 */
export async function stationView(code: string, ticket?: number | null): Promise<StationView | null> {
  const [facts, machines] = await Promise.all([shop(), stations()])
  const station = machines.find(s => s.code === code)
  if (!station) return null
  const rows = await db().jobStep.findMany({
    where: {
      OR: [
        { stationId: station.id, state: { in: ['running', 'paused'] } },
        { state: 'waiting', run: { stationId: station.id } },
      ],
    },
    include: withAll,
  })
  const asked = ticket
    ? await db().order.findFirst({ where: { number: ticket }, select: { id: true } })
    : null
  const soonest = rows
    .filter(r => r.state === 'waiting')
    .sort((a, b) => Number(a.run?.workAt ?? 0) - Number(b.run?.workAt ?? 0))
    .filter((r, i) => i < 8 || r.orderId === asked?.id)
  const shown = [...rows.filter(r => r.state !== 'waiting'), ...soonest]
  const orderIds = [...new Set(shown.map(r => r.orderId))]
  const mine = { stepId: { in: shown.map(r => r.id) } }
  const [orders, siblings, reports, misprints] = await Promise.all([
    getOrders(orderIds),
    db().jobStep.findMany({ where: { orderId: { in: orderIds } }, include: withAll }),
    db().report.findMany({ where: mine }),
    db().misprint.findMany({ where: { ...mine, undone: false } }),
  ])
  const leftOf = (step: StepView) =>
    leftBySize(
      step.sizes,
      standing(reports.filter(r => r.stepId === step.id)).filter(r => r.kind === 'finish'),
      misprints.filter(m => m.stepId === step.id),
    )
  const tasks = shown.flatMap((r): (Task & { state: string })[] => {
    const order = orders.find(o => o.id === r.orderId)
    if (!order) return []
    const step = asStep(r)
    const mine = siblings.filter(s => s.orderId === r.orderId).map(asStep)
    const ready = readyAt(mine)
    return [
      {
        step,
        state: r.state,
        job: asJob(order),
        garment: garmentOf(order, step.sizes),
        standing: standingOf({ promiseAt: order.promiseAt, readyAt: ready }, facts.timeZone),
        left: leftOf(step),
        heard: reports.flatMap(one => (one.stepId === r.id && one.formKey ? [one.formKey] : [])),
        waitsFor: waitsFor(step, mine),
      },
    ]
  })
  return {
    station,
    now: tasks.find(t => t.state === 'running') ?? null,
    paused: tasks.filter(t => t.state === 'paused'),
    coming: tasks.filter(t => t.state === 'waiting'),
  }
}

/** The nearest step before this one in its chain that works the same blanks, where it has handed nothing on or its pieces rest. */
function waitsFor(step: StepView, steps: readonly StepView[]): Task['waitsFor'] {
  const items = new Set(step.sizes.map(s => s.itemId))
  const before = steps
    .filter(
      s =>
        s.job === step.job &&
        s.position < step.position &&
        s.state !== 'dropped' &&
        s.sizes.some(z => items.has(z.itemId)),
    )
    .sort((a, b) => b.position - a.position)[0]
  if (!before) return null
  const rest = before.recipe.restMinutes * 60_000
  const rests = before.state === 'done' && rest > 0 && before.finishedAt !== null
  if (!rests && (before.state === 'done' || before.good > 0)) return null
  return {
    restsUntil: rests ? (((before.finishedAt as Instant) + rest) as Instant) : null,
    title: before.title,
    state: before.state,
    station: before.station?.name ?? before.planned?.station ?? null,
    code: before.station?.code ?? before.planned?.code ?? null,
  }
}

// ---- The board ----

export type BoardStation = {
  station: StationRow
  open: { from: Instant; to: Instant }[]
  runs: (BoardRun & {
    customer: string
    crew: string | null
    rush: boolean
    standing: OrderStanding | null
  })[]
}
export type BoardOrder = CurrentPlan['orders'][number] & { standing: OrderStanding }
export type BoardView = {
  /** What is shown; a week leaves out the nights. */
  range: StripSpan
  /** The whole day, or seven of them. */
  days: { from: Instant; to: Instant }
  zone: string
  /** Everybody who is on the plan. */
  crew: { id: string; name: string }[]
  stations: BoardStation[]
  /** Every run of the plan, for finding one that is on another day. */
  all: { number: number; customer: string; title: string; startAt: Instant }[]
  /** Settling between runs: minutes that pass at least. */
  rests: { from: string; to: string; minutes: number }[]
  waiting: Waiting[]
  /** Promised that day, or overdue and still open. */
  promises: BoardOrder[]
  late: BoardOrder[]
  next: (BoardRun & { station: { code: string; name: string }; customer: string }) | null
  goodness: string
  plan: Pick<CurrentPlan, 'madeAt' | 'reason' | 'version' | 'objective' | 'bound'>
  /** Steps done that day, and pieces packed. */
  done: number
}

/**
 * The board of one day, or of the week (Monday to Sunday) that it is in.
 * @param reading the plan, where it is being read already
 */
export async function boardView(
  day: ShopDay,
  now: Instant,
  week = false,
  reading: Promise<CurrentPlan> = currentPlan(now),
): Promise<BoardView> {
  const [facts, machines, people, plan] = await Promise.all([shop(), stations(), crew(), reading])
  const zone = facts.timeZone
  const monday = addDays(day, 1 - weekdayOf(day))
  const bounds = week
    ? { from: dayBounds(monday, zone).from, to: dayBounds(addDays(monday, 6), zone).to }
    : dayBounds(day, zone)
  const done = await doneRuns(bounds)
  const standings = new Map<string, OrderStanding>()
  const orders: BoardOrder[] = plan.orders
    .filter(o => o.state !== 'handedOver')
    .map(o => {
      const standing = standingOf({ promiseAt: o.promiseAt, readyAt: o.readyAt }, zone)
      standings.set(o.id, standing)
      return { ...o, standing }
    })
  const held = new Set(orders.filter(o => o.holds.length > 0).map(o => o.id))
  const free = new Set(orders.flatMap(o => o.freeParts.map(job => `${o.id}/${job}`)))
  const byOrder = new Map(plan.orders.map(o => [o.id, o]))
  const customers = new Map(plan.orders.map(o => [o.id, o.customer]))
  for (const r of done) customers.set(r.orderId, r.customer)
  const names = new Map(people.map(m => [m.id, m.name]))
  const inDay = [...plan.runs.filter(r => r.endAt > bounds.from && r.startAt < bounds.to), ...done]
  const busy = new Set(plan.runs.filter(r => r.state === 'running').map(r => r.stationId))
  const next = nextRun(
    plan.runs.map(r => ({ ...r, held: held.has(r.orderId) && !free.has(`${r.orderId}/${r.job}`) })),
    busy,
  )
  const at = next && machines.find(s => s.id === next.stationId)
  const lanes = machines.map(station => ({
    station,
    open: openingsOf(station.hours, station.closed, zone, bounds.from, bounds.to).map(o => ({
      from: instantOfMinute(o.from),
      to: instantOfMinute(o.to),
    })),
    runs: inDay
      .filter(r => r.stationId === station.id)
      .map(r => ({
        ...r,
        customer: customers.get(r.orderId) ?? '',
        crew: r.crewId === null ? null : (names.get(r.crewId) ?? null),
        rush: byOrder.get(r.orderId)?.rush ?? false,
        standing: standings.get(r.orderId) ?? null,
      })),
  }))
  return {
    range: week ? weekRange(bounds, lanes) : dayRange(bounds, lanes),
    days: bounds,
    zone,
    crew: people.map(({ id, name }) => ({ id, name })),
    stations: lanes,
    all: plan.runs.map(r => ({
      number: r.number,
      customer: customers.get(r.orderId) ?? '',
      title: r.title,
      startAt: r.startAt,
    })),
    rests: restsOf(inDay),
    waiting: waitingList(orders, plan.unplaced),
    promises: orders
      .filter(
        o =>
          o.promiseAt !== null && o.promiseAt < bounds.to && (o.promiseAt >= bounds.from || now < bounds.to),
      )
      .sort((a, b) => (a.promiseAt ?? 0) - (b.promiseAt ?? 0)),
    late: orders.filter(o => o.standing.standing === 'late'),
    next:
      next && at
        ? {
            ...next,
            station: { code: at.code, name: at.name },
            customer: orders.find(o => o.id === next.orderId)?.customer ?? '',
          }
        : null,
    goodness: goodnessWords(plan),
    plan,
    done: done.length,
  }
}

/** What a board screen asks for: the day, what is looked for elsewhere too, whether every list is named in full, and whether it can change the plan. */
export type ScreenAsked = { day: ShopDay; week: boolean; find: string; all: boolean; plans: boolean }

/** The board of a day, read once for all screens that hear of one change: the plan itself once for all days. */
export const sharedBoard = (day: ShopDay, week: boolean, now: Instant): Promise<BoardView> => {
  const minute = Math.floor(now / 60_000)
  return untilChanged(`board ${day} ${week} ${minute}`, () =>
    boardView(
      day,
      now,
      week,
      untilChanged(`plan ${minute}`, () => sharedPlan(now)),
    ),
  )
}

/** The board as screens draw it, made once for all screens that ask for the same while nothing changes. */
export const sharedScreen = (asked: ScreenAsked, now: Instant): Promise<BoardScreen> =>
  untilChanged(screenKey('screen', asked, now), async () => {
    const [facts, view, desk] = await Promise.all([
      shop(),
      sharedBoard(asked.day, asked.week, now),
      asked.plans ? deskOf(now) : null,
    ])
    return {
      ...screenOf(view, instantOf(new Date()), asked, state => stateWords(state, facts.measures)),
      desk,
    }
  })

/** The same as text: thirty screens are sent what was written once. */
export const sentScreen = (asked: ScreenAsked, now: Instant): Promise<string> =>
  untilChanged(screenKey('sent', asked, now), async () => JSON.stringify(await sharedScreen(asked, now)))

const screenKey = (what: string, { day, week, find, all, plans }: ScreenAsked, now: Instant) =>
  JSON.stringify([what, day, week, find, all, plans, Math.floor(now / 60_000)])

async function deskOf(now: Instant): Promise<BoardScreen['desk']> {
  const [last, lists] = await Promise.all([lastChange(now), priceLists()])
  return {
    last: last && { id: last.id, words: last.words, byName: last.byName },
    lists: lists.map(l => ({ key: l.list.key, name: l.list.name })),
  }
}

/** What was finished in a span, where it was worked. */
async function doneRuns({
  from,
  to,
}: {
  from: Instant
  to: Instant
}): Promise<(BoardRun & { customer: string })[]> {
  const rows = await db().jobStep.findMany({
    // By the day alone: asked for its state too, the database would read every step that was ever done.
    where: {
      stationId: { not: null },
      startedAt: { not: null, lt: new Date(to) },
      finishedAt: { gte: new Date(from) },
    },
    include: { order: { select: { number: true, customer: { select: { name: true } } } } },
  })
  return rows
    .filter(r => r.state === 'done')
    .map(r => {
      const startAt = instantOf(r.startedAt as Date)
      const endAt = instantOf(r.finishedAt as Date)
      return {
        stepId: r.id,
        stationId: r.stationId as string,
        crewId: null,
        startAt,
        workAt: startAt,
        endAt,
        changeover: 0,
        setup: 0,
        run: 0,
        orderId: r.orderId,
        number: r.order.number,
        customer: r.order.customer.name,
        title: r.title,
        job: r.job,
        position: r.position,
        pieces: r.pieces,
        good: r.good,
        state: 'done',
        stationState: r.stationState,
        gapMin: r.gapMin,
        pinned: false,
        can: [],
      }
    })
}

/** The day to open the board with: today, or the next on which some station is open. Today where nothing opens within two weeks. */
export async function openingDay(now: Instant): Promise<ShopDay> {
  const [{ timeZone: zone }, machines] = await Promise.all([shop(), stations()])
  const today = dayOf(now, zone)
  for (let ahead = 0; ahead < 14; ahead++) {
    const day = addDays(today, ahead)
    const { from, to } = dayBounds(day, zone)
    if (machines.some(s => openingsOf(s.hours, s.closed, zone, from, to).length > 0)) return day
  }
  return today
}

const HOUR = 3_600_000

/** A span of time with what is left out of it. */
type StripSpan = { from: Instant; to: Instant; skips?: { from: Instant; to: Instant }[] }

/** Seven days without the hours in which nothing is open and nothing runs; all of them where nothing ever opens. */
function weekRange(
  bounds: { from: Instant; to: Instant },
  lanes: readonly { open: { from: Instant; to: Instant }[]; runs: readonly BoardRun[] }[],
): StripSpan {
  const spans = lanes.flatMap(l => [
    ...l.open,
    // What goes on over a night is torn there; what runs wholly in one is shown.
    ...l.runs.map(r => ({ from: r.startAt, to: instant(Math.min(r.endAt, r.startAt + HOUR)) })),
  ])
  const shown: { from: number; to: number }[] = []
  for (const s of spans.sort((a, b) => a.from - b.from)) {
    const from = Math.max(bounds.from, Math.floor(s.from / HOUR) * HOUR)
    const to = Math.min(bounds.to, Math.ceil(s.to / HOUR) * HOUR)
    if (to <= from) continue
    const last = shown.at(-1)
    if (last && from <= last.to) last.to = Math.max(last.to, to)
    else shown.push({ from, to })
  }
  const first = shown[0]
  const last = shown.at(-1)
  if (!first || !last) return bounds
  const skips = shown.slice(1).map((s, i) => ({
    from: instant(shown[i]?.to ?? s.from),
    to: instant(s.from),
  }))
  return { from: instant(first.from), to: instant(last.to), skips }
}

/**
 * From half an hour before the first opening or run to half an hour after the last, in whole hours, inside the day. What goes on after
 * the night is cut at closing time: it is drawn torn.
 */
function dayRange(
  bounds: { from: Instant; to: Instant },
  lanes: readonly { open: { from: Instant; to: Instant }[]; runs: readonly BoardRun[] }[],
): StripSpan {
  const inside = (t: number) => t >= bounds.from && t <= bounds.to
  const times = lanes
    .flatMap(l => [...l.open.flatMap(o => [o.from, o.to]), ...l.runs.flatMap(r => [r.startAt, r.endAt])])
    .filter(inside)
  if (times.length === 0)
    return { from: (bounds.from + 7 * HOUR) as Instant, to: (bounds.from + 19 * HOUR) as Instant }
  const from = Math.max(bounds.from, Math.floor((Math.min(...times) - HOUR / 2) / HOUR) * HOUR)
  const to = Math.min(bounds.to, Math.ceil((Math.max(...times) + HOUR / 2) / HOUR) * HOUR)
  return { from: from as Instant, to: Math.max(to, from + HOUR) as Instant }
}

/** Settling and drying from a run to the next one of its chain. */
function restsOf(runs: readonly BoardRun[]): BoardView['rests'] {
  const chains = new Map<string, BoardRun[]>()
  for (const r of runs) {
    const key = `${r.orderId}/${r.job}`
    const chain = chains.get(key)
    if (chain) chain.push(r)
    else chains.set(key, [r])
  }
  return [...chains.values()].flatMap(chain =>
    chain
      .sort((a, b) => a.position - b.position)
      .flatMap((r, i) => {
        const next = chain[i + 1]
        return r.gapMin > 0 && next ? [{ from: r.stepId, to: next.stepId, minutes: r.gapMin }] : []
      }),
  )
}
