import { formatDay, type Instant, instant } from '@/lib/units/time'

const DAY = 86_400_000

/** Blanks of an order that are not on the shelf for it. */
export type Shortage = {
  itemId: string
  /** As people say it: "Tee navy M". */
  name: string
  /** Pieces missing. */
  pieces: number
  /** When a purchase on the way brings them; null when none does. */
  dueAt: Instant | null
  /** Days a purchase usually takes. */
  leadDays: number
  /** Whether a purchase of it is written that nobody has sent: it brings nothing yet. */
  unsent?: boolean
}

/** What keeps an order from being begun. Everything but `art` only moves the plan; art that is not cleared stops the start. */
export type Hold = {
  kind: 'blanks' | 'transfers' | 'art' | 'room'
  /** One clear sentence. */
  text: string
  /** When it is expected to be over; null when that waits for a person. */
  until: Instant | null
}

export type ReleaseFacts = {
  now: Instant
  zone: string
  shortages: readonly Shortage[]
  /** Bought-in transfers that have not come yet: when they are due; null when there are none to wait for. */
  transfersDue: Instant | null
  /** Who prints it, where it is not transfers that are waited for but goods printed elsewhere. */
  printedBy?: string | null
  /** Names of artworks that nobody has cleared to sell. */
  uncleared: readonly string[]
}

/**
 * From when the work of an order can be planned, and everything that holds it. Blanks that nobody has ordered are planned as if
 * they were ordered now, and the hold says so. Art that is not cleared does not move the plan: the start is refused.
 */
export function releaseOf(f: ReleaseFacts): { at: Instant; holds: Hold[] } {
  const holds: Hold[] = []
  let at: number = f.now
  for (const s of f.shortages) {
    // A purchase that is overdue may come any hour: it is planned for tomorrow, not for the past.
    const overdue = s.dueAt !== null && s.dueAt <= f.now
    const until = instant(s.dueAt === null ? f.now + s.leadDays * DAY : overdue ? f.now + DAY : s.dueAt)
    at = Math.max(at, until)
    const missing = `${s.pieces} × ${s.name} missing`
    holds.push({
      kind: 'blanks',
      until: s.dueAt === null ? null : until,
      text:
        s.dueAt === null
          ? s.unsent
            ? `${missing}, on a purchase that was not sent yet: send it now to have them by ${formatDay(until, f.zone)}.`
            : `${missing} and not ordered: order now to have them by ${formatDay(until, f.zone)}.`
          : overdue
            ? `${missing}: they were due ${formatDay(s.dueAt, f.zone)} and are overdue. Ask the supplier.`
            : `${missing}: due ${formatDay(until, f.zone)}.`,
    })
  }
  if (f.transfersDue !== null && f.transfersDue > f.now) {
    at = Math.max(at, f.transfersDue)
    holds.push({
      kind: 'transfers',
      until: f.transfersDue,
      text: f.printedBy
        ? `Printed by ${f.printedBy}: back ${formatDay(f.transfersDue, f.zone)}.`
        : `The transfers are in the post: due ${formatDay(f.transfersDue, f.zone)}.`,
    })
  }
  for (const name of f.uncleared)
    holds.push({
      kind: 'art',
      until: null,
      text: `${name} is not cleared to sell: record the basis at the art desk.`,
    })
  return { at: instant(at), holds }
}
