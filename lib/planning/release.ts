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
  // What is to be done about them is said once for all blanks that it is the same for.
  const alike = new Map<string, { until: Instant | null; of: Shortage[] }>()
  for (const s of f.shortages) {
    // A purchase that is overdue may come any hour: it is planned for tomorrow, not for the past.
    const overdue = s.dueAt !== null && s.dueAt <= f.now
    const until = instant(s.dueAt === null ? f.now + s.leadDays * DAY : overdue ? f.now + DAY : s.dueAt)
    at = Math.max(at, until)
    const said =
      s.dueAt === null
        ? s.unsent
          ? `, on a purchase that was not sent yet: send it now to have them by ${formatDay(until, f.zone)}.`
          : ` and not ordered: order now to have them by ${formatDay(until, f.zone)}.`
        : overdue
          ? `: they were due ${formatDay(s.dueAt, f.zone)} and are overdue. Ask the supplier.`
          : `: due ${formatDay(until, f.zone)}.`
    const same = alike.get(said) ?? { until: s.dueAt === null ? null : until, of: [] }
    same.of.push(s)
    alike.set(said, same)
  }
  for (const [said, { until, of }] of alike)
    holds.push({ kind: 'blanks', until, text: `${countedNames(of)} missing${said}` })
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

/** "30 × Heavy cotton tee, White (10 S, 20 M) and 4 × Canvas tote": sizes of one blank together, where its name ends with ", size". */
function countedNames(shortages: readonly Shortage[]): string {
  const blanks = new Map<string, { whole: string; size: string; pieces: number }[]>()
  for (const { name, pieces } of shortages) {
    const comma = name.lastIndexOf(', ')
    const blank = comma < 0 ? name : name.slice(0, comma)
    const sizes = blanks.get(blank) ?? []
    blanks.set(blank, [...sizes, { whole: name, size: name.slice(comma + 2), pieces }])
  }
  const words = [...blanks].map(([blank, sizes]) => {
    const sum = sizes.reduce((n, s) => n + s.pieces, 0)
    const [first] = sizes
    if (sizes.length === 1 && first) return `${sum} × ${first.whole}`
    return `${sum} × ${blank} (${sizes.map(s => `${s.pieces} ${s.size}`).join(', ')})`
  })
  return words.length < 2 ? words.join() : `${words.slice(0, -1).join(', ')} and ${words.at(-1)}`
}
