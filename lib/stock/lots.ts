import type { BaseUnit } from '@/lib/units/base-unit'
import { ok, type Result, refuse } from '@/lib/units/result'
import type { Instant } from '@/lib/units/time'
import { formatAmount } from './items'
import { type Booked, book, type Entry, type Intent, type ShelfRules } from './movements'
import type { Shelf } from './valuation'

/** What the book says is left of one lot, base units, and until when it may be used; null: it does not go out of date. */
export type Lot = { lot: string; left: number; goodUntil: Instant | null; firstAt: Instant }

/** A line in the book with the lot that came in or was drawn; '' where the shelf keeps none. */
export type LotEntry = Entry & { lot: string; goodUntil: Instant | null }

/** A part of what is taken, from one lot. */
export type Draw = { lot: string; quantity: number; goodUntil: Instant | null; expired: boolean }

/** Whether a lot may no longer be used. The moment itself is still good. */
export const isExpired = (lot: Pick<Lot, 'goodUntil'>, now: Instant): boolean =>
  lot.goodUntil !== null && lot.goodUntil < now

/**
 * Lots in the order in which they are to be used: what goes out of date first comes first, among those that do not the oldest;
 * lots that are out of date come last, since they are only used where nothing else is left.
 */
export function drawOrder(lots: readonly Lot[], now: Instant): Lot[] {
  const until = (l: Lot) => l.goodUntil ?? Number.POSITIVE_INFINITY
  return [...lots].sort(
    (a, b) =>
      Number(isExpired(a, now)) - Number(isExpired(b, now)) ||
      (until(a) === until(b) ? 0 : until(a) - until(b)) ||
      a.firstAt - b.firstAt ||
      (a.lot < b.lot ? -1 : 1),
  )
}

/**
 * What is really on the shelf of each lot, in the order of use, with '' for what came in without one. Adds up to what is on hand. Where
 * goods were used before their lot was booked in, the lots that are used first have already lost them.
 */
export function lotsLeft(lots: readonly Lot[], onHand: number, now: Instant): Lot[] {
  const known = lots.filter(l => l.left > 0 && l.lot !== '')
  let without = onHand - known.reduce((sum, l) => sum + l.left, 0)
  const left: Lot[] = []
  // Goods without a lot were there before lots were kept: among those without a date they are the oldest.
  const all =
    without > 0 ? [...known, { lot: '', left: without, goodUntil: null, firstAt: 0 as Instant }] : known
  for (const lot of drawOrder(all, now)) {
    const gone = without < 0 ? Math.min(lot.left, -without) : 0
    without += gone
    if (lot.left > gone) left.push({ ...lot, left: lot.left - gone })
  }
  return left
}

/** From which lots so much is taken, in the order of use. What no lot has is taken without one. @param quantity above 0 */
export function drawLots(lots: readonly Lot[], onHand: number, quantity: number, now: Instant): Draw[] {
  const draws: Draw[] = []
  let missing = quantity
  for (const { lot, left, goodUntil } of lotsLeft(lots, onHand, now)) {
    if (missing === 0) break
    const part = Math.min(left, missing)
    missing -= part
    draws.push({ lot, quantity: part, goodUntil, expired: isExpired({ goodUntil }, now) })
  }
  if (missing > 0) {
    const without = draws.find(d => d.lot === '')
    if (without) without.quantity += missing
    else draws.push({ lot: '', quantity: missing, goodUntil: null, expired: false })
  }
  return draws
}

/** The lot of goods that come in. `anyway`: somebody looked at an expired one and takes it all the same. */
export type CameLot = { lot: string; goodUntil: Instant | null; anyway?: boolean }

/** What booking needs to know of the lots of a shelf. */
export type LotShelf = {
  lots: readonly Lot[]
  now: Instant
  /** A day for people: "3 May 2026". */
  day: (at: Instant) => string
}

/** A booking with its lots, and what of it was out of date. */
export type LotBooked = Omit<Booked, 'entries'> & { entries: LotEntry[]; expired: Draw[] }

/** Null when a lot may come in, else why not and what to do. */
export function refuseLot(came: CameLot, at: LotShelf, name: string) {
  const { lot, goodUntil } = came
  const known = at.lots.find(l => l.lot === lot)
  if (lot === '' && goodUntil !== null)
    return refuse('lot', `Goods with a date need their lot: type the number that stands on ${name}.`, 'lot')
  if (known && known.goodUntil !== goodUntil)
    return refuse(
      'lot',
      `Lot ${lot} of ${name} stands in the book ${known.goodUntil === null ? 'without a date' : `as good until ${at.day(known.goodUntil)}`}: check the label, or type the lot with its own number.`,
      'goodUntil',
    )
  if (isExpired({ goodUntil }, at.now) && !came.anyway)
    return refuse(
      'expired',
      `Lot ${lot} of ${name} is out of date since ${at.day(goodUntil as Instant)}: send it back, or tick “take it in anyway” and say why it is still good.`,
      'goodUntil',
    )
  return null
}

/**
 * Decides a booking on a shelf that keeps lots: as {@link book}, and each line names the lot. What leaves is drawn in the order of use
 * and written as one line for each lot. Out-of-date lots are used only where nothing else is left: work that was done is booked, the line
 * says it, and the booking tells of it.
 * @param came the lot of what comes in
 * @param only take from this lot alone: thrown out, or sent back
 */
export function bookLots(
  shelf: Shelf,
  intent: Intent,
  rules: ShelfRules,
  at: LotShelf,
  { came, only }: { came?: CameLot | undefined; only?: string | undefined } = {},
): Result<LotBooked> {
  const whole = book(shelf, intent, rules)
  if (!whole.ok) return whole
  const moved = whole.value.shelf.onHand - shelf.onHand
  if (moved >= 0) {
    if (came) {
      const no = refuseLot(came, at, rules.name)
      if (no) return no
    }
    const lot = came ?? (moved > 0 ? openLot(shelf, at) : { lot: '', goodUntil: null })
    return ok({
      ...whole.value,
      entries: whole.value.entries.map(e => ({
        ...e,
        lot: e.quantity > 0 ? lot.lot : '',
        goodUntil: e.quantity > 0 ? lot.goodUntil : null,
      })),
      expired: [],
    })
  }
  const draws = drawsOf(shelf, -moved, rules, at, only)
  if (!draws.ok) return draws
  const entries: LotEntry[] = []
  let now = shelf
  for (const draw of draws.value) {
    const part: Intent =
      intent.kind === 'counted'
        ? { ...intent, found: now.onHand - draw.quantity }
        : { ...intent, quantity: draw.quantity }
    const done = book(now, part, rules)
    if (!done.ok) return done
    now = done.value.shelf
    for (const e of done.value.entries)
      entries.push({ ...e, ...saying(e, draw, at), lot: draw.lot, goodUntil: draw.goodUntil })
  }
  return ok({ entries, shelf: now, expired: draws.value.filter(d => d.expired) })
}

/** Goods that are found or come back belong to the lot that is in use; nothing in use: to none. */
function openLot(shelf: Shelf, { lots, now }: LotShelf): { lot: string; goodUntil: Instant | null } {
  return lotsLeft(lots, shelf.onHand, now)[0] ?? { lot: '', goodUntil: null }
}

function drawsOf(
  shelf: Shelf,
  quantity: number,
  rules: ShelfRules,
  at: LotShelf,
  only: string | undefined,
): Result<Draw[]> {
  if (only === undefined) return ok(drawLots(at.lots, shelf.onHand, quantity, at.now))
  const lot = lotsLeft(at.lots, shelf.onHand, at.now).find(l => l.lot === only)
  if (!lot || lot.left < quantity)
    return refuse(
      'lot',
      `Only ${formatAmount(lot?.left ?? 0, rules.unit)} of lot ${only || 'without a number'} is on the shelf of ${rules.name}: take out no more, or count it first.`,
      'quantity',
    )
  return ok([{ lot: only, quantity, goodUntil: lot.goodUntil, expired: isExpired(lot, at.now) }])
}

/** Using what is out of date stands in the book for good; throwing it out or counting it is as it should be. */
function saying(entry: Entry, draw: Draw, { day }: LotShelf): Pick<Entry, 'why'> {
  if (entry.kind !== 'issued' || !draw.expired || draw.goodUntil === null) return {}
  const words = `Lot ${draw.lot} was out of date since ${day(draw.goodUntil)}`
  return { why: entry.why ? `${entry.why}. ${words}` : words }
}

/** Goods, and what of them is drawn from lots that are out of date. */
export type DrawnGoods = { name: string; unit: BaseUnit; expired: readonly Draw[] }

/** Which goods are out of date, in words: "40 ml of White ink (lot A, out of date since 3 May 2026)"; null: none of them. */
export function expiredWords(goods: readonly DrawnGoods[], day: (at: Instant) => string): string | null {
  const words = goods.flatMap(g =>
    g.expired.map(d => {
      const since = d.goodUntil === null ? '' : `, out of date since ${day(d.goodUntil)}`
      return `${formatAmount(d.quantity, g.unit)} of ${g.name} (lot ${d.lot}${since})`
    }),
  )
  return words.length ? words.join('; ') : null
}
