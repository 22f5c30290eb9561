import { randomUUID } from 'node:crypto'
import { recordClearance } from '@/lib/artwork/store'
import { writeInvoice } from '@/lib/books/invoices/store'
import { closeMonth } from '@/lib/books/store'
import { MISPRINT_REASONS } from '@/lib/floor/misprint'
import { finishStep, reportMisprint, startStep } from '@/lib/floor/store'
import { compare } from '@/lib/methods/compare'
import { shopWaysAt } from '@/lib/methods/store'
import { accountOf } from '@/lib/orders/payments'
import { addOrder, bookPayment, declineOffer, getOrder, handOver, makeOffer } from '@/lib/orders/store'
import { isAfter, isRemake } from '@/lib/planning/steps'
import { agreeAndPlan, orderWork, withdrawAndReplan } from '@/lib/planning/store'
import { db } from '@/lib/server/database'
import type { Actor } from '@/lib/server/history'
import type { Size } from '@/lib/shop/blanks'
import { PLACEMENT } from '@/lib/shop/placements'
import { type StationRow, type StyleRow, shop, stations, styles } from '@/lib/shop/store'
import { findPurchase, purchaseSent, receivePurchase, writePurchase } from '@/lib/stock/purchases/store'
import { listItems } from '@/lib/stock/views/store'
import { formatMoney, type Minor, roundToMicro } from '@/lib/units/money'
import type { Result } from '@/lib/units/result'
import {
  addDays,
  dayOf,
  type Instant,
  instant,
  instantOf,
  monthBounds,
  type ShopMonth,
  weekdayOf,
} from '@/lib/units/time'
import { DRAWINGS } from './drawings'
import type { DrawingKey } from './gallery'
import type { Rng } from './rng'
import { JOBS, type Job, type JobKey, PEOPLE, SHOP } from './scenario'
import { afterWork, beforeWork, nextOpen, onWorkingDay } from './shop-clock'
import { hangFrames } from './ways'

const ZONE = SHOP.timeZone
const MINUTE = 60_000

/** What the history is written with. */
export type Stage = {
  now: Instant
  random: Rng
  people: Actor[]
  customers: Record<string, string>
  artworks: Record<DrawingKey, string>
  say: (step: string) => void
}

/** Something that wants to happen at an instant; it may say what comes of it. */
type Event = { at: Instant; happen: () => Promise<Event[]> }

const must = <T>(result: Result<T>): T => {
  if (!result.ok) throw new Error(result.message)
  return result.value
}

/**
 * Plays the shop's life through the very actions that people use, in the order of time, until now: what would come later is left
 * as it stands. Closed months are closed on the way.
 */
export async function playHistory(stage: Stage, from: Instant, closing: readonly ShopMonth[]): Promise<void> {
  const events: Event[] = [
    ...firstDays(stage, from),
    ...weeklyOrders(stage, from),
    ...closing.map((month): Event => closingOf(stage, month)),
    inHand(stage),
  ]
  let said = 0
  while (events.length > 0) {
    let first = 0
    for (let i = 1; i < events.length; i++)
      if ((events[i] as Event).at < (events[first] as Event).at) first = i
    const [event] = events.splice(first, 1) as [Event]
    if (event.at > stage.now) continue
    events.push(...(await event.happen()))
    const share = Math.floor((10 * (event.at - from)) / (stage.now - from))
    if (share > said) {
      said = share
      stage.say(`Living through the last months: ${share * 10}%`)
    }
  }
}

/** The stock a shop opens with. */
function firstDays(stage: Stage, from: Instant): Event[] {
  return [
    {
      at: from,
      happen: async () => {
        const items = await listItems()
        await buy(
          stage,
          from,
          items.map(i => ({ ...i, quantity: Math.max(i.reorderTo, i.pricePer) })),
          from,
        )
        await hangFrames(stage.people[0] as Actor, from)
        return []
      },
    },
  ]
}

type Wanted = { id: string; supplier: string; price: number; pricePer: number; quantity: number }

/** Writes purchases by supplier; they come in at `due`, where that is not after now. */
async function buy(stage: Stage, at: Instant, wanted: readonly Wanted[], due: Instant): Promise<Event[]> {
  const [owner] = stage.people as [Actor]
  const events: Event[] = []
  for (const supplier of new Set(wanted.map(w => w.supplier))) {
    const rows = wanted
      .filter(w => w.supplier === supplier && w.quantity > 0)
      .map(w => ({
        itemId: w.id,
        quantity: w.quantity,
        // Prices move a little from purchase to purchase.
        value: roundToMicro((w.quantity * w.price * stage.random.between(0.97, 1.04)) / w.pricePer),
      }))
    if (rows.length === 0) continue
    const number = must(await writePurchase({ supplier, dueAt: due, note: '', rows, by: owner, now: at }))
    must(await purchaseSent(number, 1, owner, at))
    const come: Event = { at: due, happen: () => comeIn(stage, number, due) }
    if (due <= at) await come.happen()
    else events.push(come)
  }
  return events
}

async function comeIn(stage: Stage, number: number, now: Instant): Promise<Event[]> {
  const purchase = await findPurchase(number)
  if (!purchase) return []
  const came = purchase.lines.map(l => ({ lineId: l.id, quantity: l.quantity - l.received }))
  must(await receivePurchase(number, purchase.version, came, stage.people[2] as Actor, now))
  return []
}

/** Asked once, at the end: the birthday tee with its far too small picture, and the one that many ways can make. */
const ONCE: readonly JobKey[] = ['ashdownGift', 'helperTees']

/** Orders come in as the weeks go: three a week at first, three or four a day in the last fortnight; consumables are looked over on Mondays. */
function weeklyOrders(stage: Stage, from: Instant): Event[] {
  const { random, now } = stage
  const events: Event[] = []
  const keys = (Object.keys(JOBS) as JobKey[]).filter(key => !ONCE.includes(key))
  let turn = 0
  for (let day = dayOf(from, ZONE); day <= dayOf(now, ZONE); day = addDays(day, 1)) {
    if (weekdayOf(day) > 5) continue
    const recent = now - onWorkingDayOf(day, '12:00') < 15 * 86_400_000
    for (let k = 0; k < (recent ? random.whole(3, 4) : random.whole(0, 1)); k++) {
      const job = JOBS[keys[turn++ % keys.length] as JobKey]
      const at = instant(onWorkingDayOf(day, '08:40') + random.whole(0, 420) * MINUTE)
      events.push({ at, happen: () => enquire(stage, job, at) })
    }
    if (weekdayOf(day) === 1) {
      const at = onWorkingDayOf(day, '08:20')
      events.push({ at, happen: () => lookOver(stage, at) })
    }
  }
  const asked = onWorkingDay(now, -1, '15:20', ZONE)
  events.push({ at: asked, happen: () => enquire(stage, JOBS.ashdownGift, asked) })
  // It stands unanswered: by which way is the question.
  const open = onWorkingDay(now, -1, '14:05', ZONE)
  const askOnly = async () => {
    await ask(stage, JOBS.helperTees, open)
    return []
  }
  events.push({ at: open, happen: askOnly })
  return events
}

const onWorkingDayOf = (day: Parameters<typeof addDays>[0], time: string): Instant =>
  onWorkingDay(instant(Date.parse(`${day}T12:00:00Z`)), 0, time, ZONE)

/** Consumables that run low are ordered; they come two days later. */
async function lookOver(stage: Stage, at: Instant): Promise<Event[]> {
  const low = (await listItems()).filter(i => i.kind !== 'blank' && i.toOrder > 0)
  return buy(
    stage,
    at,
    low.map(i => ({ ...i, quantity: i.toOrder })),
    onWorkingDay(at, 2, '10:15', ZONE),
  )
}

let catalogue: readonly StyleRow[] = []
let machines: StationRow[] = []
/** Offers made so far, and orders whose work has begun. */
let offers = 0
const begun = new Set<number>()

async function enquire(stage: Stage, job: Job, at: Instant): Promise<Event[]> {
  const number = await ask(stage, job, at)
  const next = afterWork(at, stage.random.whole(20, 300), ZONE)
  return [{ at: next, happen: () => offer(stage, job, number, next) }]
}

/** Writes an enquiry down. @returns its number */
async function ask(stage: Stage, job: Job, at: Instant): Promise<number> {
  if (catalogue.length === 0) catalogue = await styles()
  const { random } = stage
  const style = catalogue.find(s => s.code === job.style) as StyleRow
  const colour = style.colours.find(c => c.name === job.colour)
  const scale = job.customer === 'ashdown' ? 1 : random.between(0.6, 1.3)
  const drawing = DRAWINGS[job.art]
  const sizes = Object.entries(job.sizes).map(([size, n]) => ({
    itemId: colour?.sizes.find(s => s.size === size)?.itemId ?? '',
    size: size as Size,
    quantity: Math.max(1, Math.round(n * scale)),
  }))
  const adult = !(Object.keys(job.sizes)[0] ?? '').startsWith('Y')
  const place = PLACEMENT[job.placement][adult ? 'adult' : 'youth']
  const { number } = must(
    await addOrder(
      {
        formKey: randomUUID(),
        customer: { id: stage.customers[job.customer] as string },
        title: job.title,
        note: '',
        promise: { at: onWorkingDay(at, random.whole(9, 13), '16:00', ZONE), hard: random.chance(0.25) },
        rush: false,
        lines: [
          {
            key: '0',
            styleId: style.id,
            colour: job.colour,
            sizes,
            prints: [
              {
                key: '0',
                placement: job.placement,
                widthMm: job.width,
                heightMm: Math.round((job.width * drawing.height) / drawing.width),
                dropMm: place.drop.value,
                artworkId: stage.artworks[job.art],
              },
            ],
          },
        ],
      },
      stage.people[2] as Actor,
      at,
    ),
  )
  return number
}

async function offer(stage: Stage, job: Job, number: number, at: Instant): Promise<Event[]> {
  const order = await found(number)
  const { costing, rateCard } = await shopWaysAt(at)
  const choices = { exempt: order.customer.taxExempt }
  const rows = must(compare(await orderWork(order, job.method, at), costing, choices))
  const row = rows.find(r => r.method === job.method && r.can)
  // Art that no method can print stays an enquiry until the customer sends a better picture.
  if (!row) return []
  const { tax, offerDays } = costing.rates
  const made = must(
    await makeOffer(
      number,
      order.version,
      {
        method: job.method,
        feel: row.feel.value.words,
        price: row.price,
        taxTerms: { name: tax.name, rateBp: tax.rateBp, inclusive: tax.inclusive },
        promise: { at: order.promiseAt ?? onWorkingDay(at, 10, '16:00', ZONE), hard: order.promiseHard },
        validUntil: instant(at + offerDays * 86_400_000),
        message: '',
        care: [
          job.style === 'M11'
            ? 'Wash by hand: a dishwasher dulls the print in time.'
            : 'Wash inside out at 30 °C, do not iron the print.',
        ],
        cautions: [],
        belowCostWhy: '',
        work: {
          method: row.method,
          way: row.key,
          recipe: row.recipe,
          outside: null,
          rateCard,
          taken: [],
          keptScreens: [],
          preparedArt: [],
          cost: row.cost,
        },
      },
      await shop(),
      stage.people[2] as Actor,
      at,
    ),
  )
  const next = afterWork(at, stage.random.whole(60, 900), ZONE)
  // Some never answer, some say no.
  const answer = offers++ % 10
  if (answer === 9) return []
  if (answer === 4) return [{ at: next, happen: () => decline(made.token, order.customer.name, next) }]
  return [{ at: next, happen: () => agree(stage, number, made.token, next) }]
}

async function decline(token: string, name: string, now: Instant): Promise<Event[]> {
  must(await declineOffer({ token, name, why: 'Found it cheaper.', now }))
  return []
}

async function found(number: number) {
  const order = await getOrder(number)
  if (!order) throw new Error(`There is no order ${number}.`)
  return order
}

async function agree(stage: Stage, number: number, token: string, at: Instant): Promise<Event[]> {
  const { random, people } = stage
  const order = await found(number)
  for (const { artwork } of order.lines.flatMap(l => l.prints))
    if (artwork && artwork.rights.basis === null)
      must(
        await recordClearance(
          { artwork: artwork.id, basis: 'customerDeclaration', evidence: `Declared with offer ${number}-1.` },
          people[2] as Actor,
          new Date(at),
        ),
      )
  if (number % 17 === 5) {
    const why = 'The event was called off.'
    must(await withdrawAndReplan(number, { by: people[2] as Actor, now: at, why, version: order.version }))
    return []
  }
  must(
    await agreeAndPlan({
      token,
      name: order.customer.contact || order.customer.name,
      declares: true,
      now: at,
    }),
  )
  const agreed = await found(number)
  const { depositDue } = accountOf(agreed)
  if (depositDue > 0) must(await pay(stage, number, 'deposit', depositDue, at))
  const short = (await listItems({ kind: 'blank' })).filter(i => i.level.free + i.level.onTheWay < 0)
  const delivery = short.length
    ? await buy(
        stage,
        at,
        short.map(i => ({ ...i, quantity: i.reorderTo - i.level.free - i.level.onTheWay })),
        onWorkingDay(at, random.whole(1, 2), '10:40', ZONE),
      )
    : []
  const begins = onWorkingDay(at, random.whole(5, 8), '08:10', ZONE)
  const prepares = onWorkingDay(at, 1, '09:10', ZONE)
  return [
    ...delivery,
    { at: prepares, happen: () => work(stage, number, prepares, 'art') },
    { at: begins, happen: () => begin(stage, number, begins) },
  ]
}

const pay = (stage: Stage, number: number, kind: 'deposit' | 'rest', amount: Minor, at: Instant) =>
  bookPayment(
    number,
    {
      kind,
      amount,
      means: stage.random.pick(['card', 'transfer', 'cash'] as const),
      note: '',
      formKey: randomUUID(),
    },
    stage.people[2] as Actor,
    at,
    a => formatMoney(a, SHOP.currency),
  )

/** The work of an order begins, once. */
async function begin(stage: Stage, number: number, at: Instant): Promise<Event[]> {
  if (begun.has(number)) return []
  begun.add(number)
  return work(stage, number, at)
}

/**
 * What is in hand right now: the orders promised first are begun in the last hour and a half of work, and the first whose transfers
 * are cut comes to the press in the last minutes.
 */
function inHand(stage: Stage): Event {
  const at = beforeWork(stage.now, 95, ZONE)
  return {
    at,
    happen: async () => {
      const next = await db().order.findMany({
        where: { state: { in: ['agreed', 'making'] }, number: { notIn: [...begun] } },
        orderBy: { promiseAt: 'asc' },
        select: { number: true, method: true },
      })
      const pressed = next.find(o => o.method === 'transfer')
      const cut = instant(at + MINUTE / 2)
      const presses = beforeWork(stage.now, 12, ZONE)
      return [
        ...(pressed
          ? [
              { at: cut, happen: () => work(stage, pressed.number, cut, 'cut') },
              { at: presses, happen: () => begin(stage, pressed.number, presses) },
            ]
          : []),
        ...next
          .filter(o => o !== pressed)
          .slice(0, 5)
          .map(({ number }, k): Event => {
            const starts = instant(at + (k * 9 + 1) * MINUTE)
            return { at: starts, happen: () => begin(stage, number, starts) }
          }),
      ]
    },
  }
}

const busyUntil = new Map<string, Instant>()

type Ahead = 'art' | 'cut'

/**
 * Starts the next step of an order at the first free station of its kind.
 * @param only one kind of step, done before it is the order's turn: its art, or the sheets cut ready for the press
 */
async function work(stage: Stage, number: number, at: Instant, only?: Ahead): Promise<Event[]> {
  if (machines.length === 0) machines = await stations()
  const order = await found(number)
  const all = await db().jobStep.findMany({
    where: { orderId: order.id, state: { in: ['waiting', 'running'] } },
    orderBy: [{ job: 'asc' }, { position: 'asc' }],
  })
  // Whoever is at it goes on.
  if (all.some(s => s.state === 'running')) return []
  const open = all.filter(s => s.state === 'waiting' && (!only || s.key === only))
  const rank = (job: string) => (isAfter(job) ? 2 : isRemake(job) ? 1 : 0)
  const step = open.sort(
    (a, b) => rank(a.job) - rank(b.job) || a.job.localeCompare(b.job) || a.position - b.position,
  )[0]
  if (!step && only) return []
  if (!step) {
    const given = onWorkingDay(
      at,
      stage.random.whole(1, 2),
      stage.random.pick(['11:20', '15:10', '16:30']),
      ZONE,
    )
    return [{ at: given, happen: () => giveOver(stage, number, given) }]
  }
  const before = await db().jobStep.findFirst({
    where: { orderId: order.id, job: step.job, position: { lt: step.position }, state: 'done' },
    orderBy: { position: 'desc' },
  })
  const cured = before?.finishedAt ? instantOf(before.finishedAt) + before.gapMin * MINUTE : at
  const kind = machines.filter(m => m.kind === step.stationKind)
  const station = kind.reduce((a, b) => ((busyUntil.get(b.id) ?? 0) < (busyUntil.get(a.id) ?? 0) ? b : a))
  const minutes = Math.max(
    1,
    Math.round((step.setupMinutes + step.runMinutes) * stage.random.between(0.88, 1.16)),
  )
  let begins = nextOpen(instant(Math.max(at, cured, busyUntil.get(station.id) ?? 0)), ZONE)
  // What must not be interrupted is begun when the rest of the day is long enough for it.
  if (
    !step.pausable &&
    dayOf(afterWork(begins, minutes, ZONE), ZONE) !== dayOf(begins, ZONE) &&
    minutes < 240
  )
    begins = onWorkingDay(begins, 1, '08:05', ZONE)
  if (begins > at) return [{ at: begins, happen: () => work(stage, number, begins, only) }]
  const skilled = PEOPLE.map((p, i) => ({ p, by: stage.people[i] as Actor })).filter(x =>
    (x.p.skills as readonly string[]).includes(step.stationKind),
  )
  const { by } = stage.random.pick(skilled)
  must(await startStep({ stepId: step.id, stationId: station.id, by, now: at, formKey: randomUUID() }))
  const ends = afterWork(at, minutes, ZONE)
  busyUntil.set(station.id, instant(ends + MINUTE))
  return [{ at: ends, happen: () => finish(stage, number, step.id, by, ends, only) }]
}

async function finish(
  stage: Stage,
  number: number,
  stepId: string,
  by: Actor,
  at: Instant,
  only?: Ahead,
): Promise<Event[]> {
  const { random } = stage
  const step = await db().jobStep.findUniqueOrThrow({ where: { id: stepId } })
  const recipe = step.recipe as { onBlank?: boolean }
  const sizes = step.sizes as { itemId: string; size: string; quantity: number }[]
  let left = step.pieces
  if (recipe.onBlank && !isRemake(step.job) && left > 4 && random.chance(0.07)) {
    const size = random.pick(sizes)
    must(
      await reportMisprint({
        stepId,
        by,
        now: at,
        formKey: randomUUID(),
        itemId: size.itemId,
        quantity: 1,
        reason: random.pick(MISPRINT_REASONS),
        note: '',
      }),
    )
    left -= 1
  }
  must(await finishStep({ stepId, by, now: at, formKey: randomUUID(), good: left }))
  const next = instant(at + MINUTE)
  return [{ at: next, happen: () => work(stage, number, next, begun.has(number) ? undefined : only) }]
}

async function giveOver(stage: Stage, number: number, at: Instant): Promise<Event[]> {
  const order = await found(number)
  if (order.state !== 'ready') return []
  const { due } = accountOf(order)
  if (due > 0 && !stage.random.chance(0.12)) must(await pay(stage, number, 'rest', due, at))
  const paid = await found(number)
  const by = stage.people[2] as Actor
  must(await handOver(number, paid.version, by, at))
  must(await writeInvoice({ orderNumber: number, amount: null, formKey: randomUUID() }, by, at))
  return []
}

function closingOf(stage: Stage, month: ShopMonth): Event {
  const { to } = monthBounds(month, ZONE)
  const at = instant(
    Math.max(to + MINUTE, Math.min(onWorkingDay(to, 2, '17:10', ZONE), stage.now - 60 * MINUTE)),
  )
  return {
    at,
    happen: async () => {
      must(await closeMonth(month, stage.people[0] as Actor, at))
      return []
    },
  }
}
