import 'server-only'
import { createHash, randomBytes } from 'node:crypto'
import { RateLimiterMemory } from 'rate-limiter-flexible'
import { ok, type Refusal, type Result, refuse } from '@/lib/units/result'
import { db, transaction } from './database'
import { type Actor, record } from './history'

/** What a key may open. A program gets no more than it needs. */
export const SCOPES = ['orders.add', 'orders.read', 'catalogue.read'] as const
export type Scope = (typeof SCOPES)[number]
export const SCOPE_WORDS: Record<Scope, string> = {
  'orders.add': 'send orders in',
  'orders.read': 'ask what became of orders that came in so',
  'catalogue.read': 'read the blanks that can be ordered',
}

/** A key as the owner sees it: never the key itself. */
export type KeyRow = {
  id: string
  name: string
  /** Its first letters. */
  hint: string
  scopes: Scope[]
  createdAt: Date
  byName: string
  lastUsedAt: Date | null
  endedAt: Date | null
  endedBy: string
  /** How many orders came in with it. */
  orders: number
}

// A key has 256 bits of chance, so one round of a fast hash is enough: there is nothing to guess (unlike a password).
const hashed = (key: string) => createHash('sha256').update(key).digest('hex')
const scopesOf = (kept: unknown): Scope[] => SCOPES.filter(s => Array.isArray(kept) && kept.includes(s))

/** Every key, those in use first, then the newest. */
export async function apiKeys(): Promise<KeyRow[]> {
  const rows = await db().apiKey.findMany({
    orderBy: { createdAt: 'desc' },
    include: { _count: { select: { calls: true } } },
  })
  return rows
    .map(({ hash: _, _count, scopes, ...row }) => ({
      ...row,
      scopes: scopesOf(scopes),
      orders: _count.calls,
    }))
    .sort((a, b) => Number(a.endedAt !== null) - Number(b.endedAt !== null))
}

/** Makes a key. @returns the key, which is shown once and kept nowhere */
export function makeKey(
  name: string,
  scopes: readonly Scope[],
  by: Actor,
  now: Date,
): Promise<Result<string>> {
  return transaction(async tx => {
    if (await tx.apiKey.count({ where: { name, endedAt: null } }))
      return refuse('name', `There is a key called “${name}” already: give this one another name.`, 'name')
    const key = `shirt_${randomBytes(32).toString('base64url')}`
    const row = await tx.apiKey.create({
      data: {
        name,
        hint: key.slice(0, 10),
        hash: hashed(key),
        scopes: [...scopes],
        createdAt: now,
        byName: by.name,
      },
    })
    await record({
      by,
      what: `made the key “${name}” for a program`,
      entity: 'key',
      ref: row.id,
      after: { scopes: [...scopes] },
      at: now,
    })
    return ok(key)
  })
}

/** Ends a key: from now on it opens nothing. */
export function endKey(id: string, by: Actor, now: Date): Promise<Result<{ name: string }>> {
  return transaction(async tx => {
    const row = await tx.apiKey.findUnique({ where: { id } })
    if (!row) return refuse('unknown', 'There is no such key: load the page again.')
    if (row.endedAt) return ok({ name: row.name })
    await tx.apiKey.update({ where: { id }, data: { endedAt: now, endedBy: by.name } })
    await record({
      by,
      what: `ended the key “${row.name}”`,
      entity: 'key',
      ref: id,
      before: { scopes: row.scopes as string[] },
      after: { scopes: [] },
      at: now,
    })
    return ok({ name: row.name })
  })
}

/** A program that has shown its key. */
export type Program = { id: string; name: string }

/** Calls of one key in a minute. */
const MOST_A_MINUTE = 120
const calls = new RateLimiterMemory({ keyPrefix: 'api-key', points: MOST_A_MINUTE, duration: 60 })
/** The time of the last use is written at most once in this time. */
const USED_EVERY_MS = 60_000

/**
 * The program that sends a request, by its key in `Authorization: Bearer …` (RFC 6750).
 * @returns a refusal with code key (no key, or one that opens nothing), scope, or often (too many calls)
 */
export async function keyWith(request: Request, scope: Scope, now: Date): Promise<Result<Program>> {
  const key = /^Bearer ([\w-]{20,100})$/i.exec(request.headers.get('authorization') ?? '')?.[1]
  const row = key ? await db().apiKey.findUnique({ where: { hash: hashed(key) } }) : null
  if (!row || row.endedAt) return noKey(key !== undefined)
  if (!(await calls.consume(row.id).catch(() => null)))
    return refuse('often', `More than ${MOST_A_MINUTE} calls in a minute: wait a minute, then go on.`)
  if (row.lastUsedAt === null || now.getTime() - row.lastUsedAt.getTime() >= USED_EVERY_MS)
    await db().apiKey.update({ where: { id: row.id }, data: { lastUsedAt: now } })
  if (!scopesOf(row.scopes).includes(scope))
    return refuse('scope', `This key may not ${SCOPE_WORDS[scope]}: ask the shop for one that may.`)
  return ok({ id: row.id, name: row.name })
}

const noKey = (given: boolean): Refusal =>
  refuse(
    'key',
    given
      ? 'This key opens nothing here: it is mistyped, or the shop has ended it.'
      : 'Send the key that the shop gave you, as Authorization: Bearer KEY.',
  )
