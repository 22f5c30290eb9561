import 'server-only'
import { db, type Prisma } from './database'

/** Who does something: a signed-in person, or a name alone where there is no sign-in (a customer, the seed). */
export type Actor = { id: string | null; name: string }

/** One change worth remembering. */
export type Change = {
  by: Actor
  /** In words: "agreed offer 1042-1". */
  what: string
  /** Kind of thing: order, artwork, item, station, rates … */
  entity: string
  /** The thing's id. */
  ref: string
  before?: Prisma.InputJsonValue
  after?: Prisma.InputJsonValue
  at?: Date
}

/** Adds a line to the history, in the transaction that the caller is in. Lines are never changed. */
export async function record(change: Change): Promise<void> {
  const { by, ...rest } = change
  await db().history.create({ data: { ...rest, byId: by.id, byName: by.name } })
}

/** A line of the history as people read it. */
export type HistoryLine = {
  id: string
  at: Date
  byName: string
  what: string
  entity: string
  ref: string
  before: unknown
  after: unknown
}

/**
 * What happened, newest first, at most `most` lines.
 * @param ref the thing, several of its kind, or null for all of the kind
 */
export function historyOf(
  entity: string,
  ref: string | readonly string[] | null,
  most = 100,
): Promise<HistoryLine[]> {
  const which = ref === null ? {} : { ref: typeof ref === 'string' ? ref : { in: [...ref] } }
  return db().history.findMany({
    where: { entity, ...which },
    orderBy: [{ at: 'desc' }, { id: 'desc' }],
    take: most,
  })
}
