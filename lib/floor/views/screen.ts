import { dayOf, type Instant, type ShopDay } from '@/lib/units/time'
import { isWanted, type Wanted } from '../find'

/** Orders named in each list beside the board before somebody asks for all of them. */
export const FIRST_NAMED = 8

/** A run as a screen draws it. Short, since every screen of the shop is sent all of them with every change. */
export type ScreenRun = {
  id: string
  orderId: string
  number: number
  customer: string
  title: string
  pieces: number
  good: number
  /** start to work is the changeover, work to end the work. */
  start: Instant
  work: Instant
  end: Instant
  /** What the station must stand at, in words. */
  to?: string
  state: 'planned' | 'running' | 'done'
  late?: 'late' | 'risk' | 'plain'
  /** How it stands, in words. */
  words?: string
  crewId?: string
  crew?: string
  pinned?: true
  rush?: true
  /** Whether it waits, and by their places in the list the stations that could take it. */
  can?: number[]
}
export type ScreenStation = {
  id: string
  code: string
  name: string
  /** What it stands at. */
  note?: string
  open: Span[]
  runs: ScreenRun[]
}
export type ScreenOrder = {
  id: string
  number: number
  customer: string
  promiseAt: Instant | null
  hard: boolean
  late: 'late' | 'risk' | 'plain' | 'ready'
  words: string
}
/** A list beside the board: how many there are, and those that are named. */
export type ScreenList<T> = { count: number; named: T[] }

type Span = { from: Instant; to: Instant }

/** What is taken of the board for a screen: a part of BoardView of the store beside this. */
export type SeenBoard = {
  range: Span & { skips?: Span[] }
  days: Span
  zone: string
  crew: { id: string; name: string }[]
  stations: {
    station: { id: string; code: string; name: string; state: string | null }
    open: Span[]
    runs: SeenRun[]
  }[]
  all: { number: number; customer: string; title: string; startAt: Instant }[]
  rests: { from: string; to: string; minutes: number }[]
  waiting: { orderId: string; number: number; title: string; holds: { text: string }[] }[]
  promises: SeenOrder[]
  late: SeenOrder[]
  next: { number: number; station: { code: string; name: string } } | null
  goodness: string
  plan: { madeAt: Instant | null; reason: string }
  done: number
}
type SeenRun = {
  stepId: string
  orderId: string
  number: number
  customer: string
  title: string
  pieces: number
  good: number
  startAt: Instant
  workAt: Instant
  endAt: Instant
  stationState: string | null
  state: string
  standing: { standing: string; words: string } | null
  crewId: string | null
  crew: string | null
  pinned: boolean
  rush: boolean
  can: string[]
}
type SeenOrder = {
  id: string
  number: number
  customer: string
  promiseAt: Instant | null
  promiseHard: boolean
  state: string
  standing: { standing: string; words: string }
}

/** All that a screen draws of the board, as plain values: what the page is drawn from first, and what every change sends. */
export type BoardScreen = {
  /** When it was read: a later one replaces it. */
  made: Instant
  zone: string
  range: SeenBoard['range']
  days: Span
  crew: { id: string; name: string }[]
  stations: ScreenStation[]
  rests: SeenBoard['rests']
  promises: ScreenList<ScreenOrder>
  late: ScreenList<ScreenOrder>
  waiting: ScreenList<{ id: string; number: number; title: string; holds: string[] }>
  next: { number: number; code: string; station: string } | null
  goodness: string
  planned: { at: Instant; reason: string } | null
  /** Steps finished on what is shown. */
  done: number
  /** What is looked for on other days: the first run of each, five days at most. */
  elsewhere: { day: ShopDay; at: Instant }[]
  /** For those who change the plan: what can be undone, and the printers that work can be sent to. */
  desk: {
    last: { id: string; words: string; byName: string } | null
    lists: { key: string; name: string }[]
  } | null
}

/**
 * What a screen draws of a board. Holds no wage, cost or price: it is sent to everybody who may see the floor.
 * @param find looked for on other days too
 * @param all names every order in the lists beside the board, not the first ones alone
 * @param words what a station stands at, in words of the shop's units
 */
export function screenOf(
  view: SeenBoard,
  made: Instant,
  { find, all }: { find: string; all: boolean },
  words: (state: string | null) => string | null,
): Omit<BoardScreen, 'desk'> {
  const place = new Map(view.stations.map((s, i) => [s.station.id, i]))
  const list = <T, S>(items: readonly T[], named: (item: T) => S): ScreenList<S> => ({
    count: items.length,
    named: (all ? items : items.slice(0, FIRST_NAMED)).map(named),
  })
  return {
    made,
    zone: view.zone,
    range: view.range,
    days: view.days,
    crew: view.crew,
    stations: view.stations.map(({ station, open, runs }) => {
      const note = words(station.state)
      return {
        id: station.id,
        code: station.code,
        name: station.name,
        ...(note && { note }),
        open,
        runs: runs.map(r => runOf(r, place, words)),
      }
    }),
    rests: view.rests,
    promises: list(view.promises, orderOf),
    late: list(view.late, orderOf),
    waiting: list(view.waiting, w => ({
      id: w.orderId,
      number: w.number,
      title: w.title,
      holds: w.holds.map(h => h.text),
    })),
    next: view.next && {
      number: view.next.number,
      code: view.next.station.code,
      station: view.next.station.name,
    },
    goodness: view.goodness,
    planned: view.plan.madeAt === null ? null : { at: view.plan.madeAt, reason: view.plan.reason },
    done: view.done,
    elsewhere: elsewhere(view, find),
  }
}

function runOf(
  r: SeenRun,
  place: ReadonlyMap<string, number>,
  words: (state: string | null) => string | null,
): ScreenRun {
  const to = words(r.stationState)
  return {
    id: r.stepId,
    orderId: r.orderId,
    number: r.number,
    customer: r.customer,
    title: r.title,
    pieces: r.pieces,
    good: r.good,
    start: r.startAt,
    work: r.workAt,
    end: r.endAt,
    ...(to && { to }),
    state: r.state === 'done' ? 'done' : r.state === 'running' ? 'running' : 'planned',
    ...(r.standing && { late: lateOf(r.standing.standing), words: r.standing.words }),
    ...(r.crewId !== null && { crewId: r.crewId }),
    ...(r.crew !== null && { crew: r.crew }),
    ...(r.pinned && { pinned: true }),
    ...(r.rush && { rush: true }),
    ...(r.state === 'waiting' && {
      can: r.can.flatMap(id => place.get(id) ?? []).sort((a, b) => a - b),
    }),
  }
}

const lateOf = (standing: string): 'late' | 'risk' | 'plain' =>
  standing === 'late' || standing === 'risk' ? standing : 'plain'

const orderOf = (o: SeenOrder): ScreenOrder => ({
  id: o.id,
  number: o.number,
  customer: o.customer,
  promiseAt: o.promiseAt,
  hard: o.promiseHard,
  late: o.state === 'ready' ? 'ready' : lateOf(o.standing.standing),
  words: o.standing.words,
})

function elsewhere(view: SeenBoard, find: string): BoardScreen['elsewhere'] {
  if (!find.trim()) return []
  const wanted: Wanted = { find, who: '', station: '' }
  const days = new Map<ShopDay, Instant>()
  for (const r of [...view.all].sort((a, b) => a.startAt - b.startAt)) {
    if (r.startAt >= view.days.from && r.startAt < view.days.to) continue
    if (!isWanted({ ...r, crewId: null, stationCode: '' }, wanted)) continue
    const day = dayOf(r.startAt, view.zone)
    if (!days.has(day)) days.set(day, r.startAt)
    if (days.size === 5) break
  }
  return [...days].map(([day, at]) => ({ day, at }))
}

/**
 * A newer screen with everything that says the same as before taken over from the older one, so that what has not changed is not
 * drawn again.
 */
export function sameWhereSame<T>(before: unknown, after: T): T {
  if (Object.is(before, after)) return after
  if (Array.isArray(after)) {
    if (!Array.isArray(before)) return after
    const known = new Map(before.flatMap(b => (isNamed(b) ? [[b.id, b] as const] : [])))
    const made = after.map((a, i) => sameWhereSame(isNamed(a) ? known.get(a.id) : before[i], a))
    const same = made.length === before.length && made.every((m, i) => Object.is(m, before[i]))
    return (same ? before : made) as T
  }
  if (typeof after !== 'object' || after === null || typeof before !== 'object' || before === null)
    return after
  const old = before as Record<string, unknown>
  const made = Object.fromEntries(Object.entries(after).map(([k, v]) => [k, sameWhereSame(old[k], v)]))
  const keys = Object.keys(made)
  const same = keys.length === Object.keys(old).length && keys.every(k => Object.is(made[k], old[k]))
  return (same ? old : made) as T
}

const isNamed = (value: unknown): value is { id: string } =>
  typeof value === 'object' && value !== null && 'id' in value && typeof value.id === 'string'
