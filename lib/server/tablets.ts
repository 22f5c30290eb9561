import 'server-only'
import { createHash, randomBytes } from 'node:crypto'
import { cookies } from 'next/headers'
import { ok, type Result, refuse } from '@/lib/units/result'
import { auth } from './auth'
import { db, transaction } from './database'
import { type Actor, record } from './history'
import { inTurn } from './in-turn'
import { logDoor } from './log'
import { hashPassword, passwordFits } from './passwords'
import { Tries } from './tries'
import { waitWords } from './wait-words'

const COOKIE = 'shirtwright.tablet'
const YEAR_SECONDS = 365 * 24 * 60 * 60

/** How long a PIN is. Six digits by default; it opens nothing but the floor, at a tablet that the owner named. */
export const SHORTEST_PIN = 4
export const LONGEST_PIN = 8

/** Wrong PINs by person, then by tablet: nobody tries a row of names at one tablet. */
const byPerson = new Tries({
  keyPrefix: 'pin',
  points: 5,
  duration: 15 * 60,
  blockDuration: 5 * 60,
})
const byTablet = new Tries({
  keyPrefix: 'tablet',
  points: 20,
  duration: 15 * 60,
  blockDuration: 5 * 60,
})

const hashed = (token: string) => createHash('sha256').update(token).digest('hex')

/** A shared tablet as the owner sees it. */
export type TabletRow = { id: string; name: string; createdAt: Date; lastUsedAt: Date | null }

/** Tablets that several people share, by name. */
export const tablets = (): Promise<TabletRow[]> =>
  db().tablet.findMany({
    where: { endedAt: null },
    orderBy: { name: 'asc' },
    select: { id: true, name: true, createdAt: true, lastUsedAt: true },
  })

/** Makes this very browser a shared tablet: from now on a PIN is enough in it, and opens the floor alone. */
export async function shareThisBrowser(name: string, by: Actor): Promise<Result<string>> {
  const token = randomBytes(32).toString('base64url')
  const row = await transaction(async tx => {
    const made = await tx.tablet.create({ data: { name, tokenHash: hashed(token) } })
    await record({
      by,
      what: `shares the tablet "${name}"`,
      entity: 'tablet',
      ref: made.id,
      after: { name, shared: true },
    })
    return made
  })
  const jar = await cookies()
  jar.set(COOKIE, token, {
    httpOnly: true,
    sameSite: 'lax',
    secure: process.env.SHIRTWRIGHT_HTTPS === '1',
    path: '/',
    maxAge: YEAR_SECONDS,
  })
  return ok(row.id)
}

/** Ends the sharing of a tablet: PINs open nothing there any more, and whoever came in by one is signed out. */
export function endTablet(id: string, by: Actor): Promise<Result<string>> {
  return transaction(async tx => {
    const tablet = await tx.tablet.findUnique({ where: { id } })
    if (!tablet || tablet.endedAt) return refuse('no-tablet', 'That tablet is shared no more.')
    await tx.tablet.update({ where: { id }, data: { endedAt: new Date() } })
    // Sessions do not know their tablet: those of other tablets sign in once more.
    await tx.session.deleteMany({ where: { tablet: true } })
    await record({
      by,
      what: `ended the sharing of the tablet "${tablet.name}"`,
      entity: 'tablet',
      ref: id,
      before: { shared: true },
      after: { shared: false },
    })
    return ok(tablet.name)
  })
}

/** The shared tablet that this browser is, if it is one. */
export async function thisTablet(): Promise<TabletRow | null> {
  const token = (await cookies()).get(COOKIE)?.value
  if (!token) return null
  return db().tablet.findFirst({ where: { tokenHash: hashed(token), endedAt: null } })
}

/** Who may come in by PIN, by name. */
export const peopleWithPin = (): Promise<{ id: string; name: string }[]> =>
  db().person.findMany({
    where: { active: true, pin: { not: null } },
    orderBy: { name: 'asc' },
    select: { id: true, name: true },
  })

/** Sets somebody's own PIN; null takes it away. */
export async function setPin(id: string, pin: string | null, by: Actor): Promise<Result<null>> {
  if (pin !== null) {
    if (!/^\d+$/.test(pin)) return refuse('pin', 'A PIN has digits alone.', 'pin')
    if (pin.length < SHORTEST_PIN || pin.length > LONGEST_PIN)
      return refuse('pin', `A PIN has ${SHORTEST_PIN} to ${LONGEST_PIN} digits.`, 'pin')
    if (/^(\d)\1*$/.test(pin) || '01234567890'.includes(pin) || '09876543210'.includes(pin))
      return refuse('pin', 'Choose a PIN that nobody tries first: no row, no single digit.', 'pin')
  }
  const kept = pin === null ? null : await hashPassword(pin)
  await transaction(async tx => {
    const { pin: before } = await tx.person.findUniqueOrThrow({ where: { id }, select: { pin: true } })
    await tx.person.update({ where: { id }, data: { pin: kept } })
    if (pin === null) await tx.session.deleteMany({ where: { userId: id, tablet: true } })
    await record({
      by,
      what: pin === null ? 'took away the PIN' : 'set a PIN',
      entity: 'sign-in',
      ref: id,
      before: { ownPin: before !== null },
      after: { ownPin: kept !== null },
    })
  })
  return ok(null)
}

/** Signs somebody in by PIN in this browser, if it is a shared tablet. */
export async function signInByPin(personId: string, pin: string, headers: Headers): Promise<Result<null>> {
  const tablet = await thisTablet()
  if (!tablet)
    return refuse(
      'no-tablet',
      'This browser is not one of the shop’s shared tablets: sign in by your password.',
    )
  const done = await inTurn(`tablet ${tablet.id}`, () =>
    inTurn(`pin ${personId}`, () => triedPin(tablet.id, personId, pin, headers)),
  )
  logDoor('pin', done.ok ? 'in' : done.code)
  return done
}

async function triedPin(
  tabletId: string,
  personId: string,
  pin: string,
  headers: Headers,
): Promise<Result<null>> {
  const wait = (await byTablet.take(tabletId)) ?? (await byPerson.take(personId))
  if (wait !== null)
    return refuse(
      'too-many-tries',
      `Too many wrong PINs: try again in ${waitWords(wait)}, or sign in by your password.`,
    )
  const person = await db().person.findUnique({ where: { id: personId } })
  if (!person?.active || !person.pin || !(await passwordFits(person.pin, pin)))
    return refuse('wrong-pin', 'Name and PIN do not fit together: type the PIN again.', 'pin')
  await auth().api.signInAtTablet({ body: { userId: person.id }, headers })
  await Promise.all([byPerson.forget(personId), byTablet.forget(tabletId)])
  await db().tablet.update({ where: { id: tabletId }, data: { lastUsedAt: new Date() } })
  return ok(null)
}
