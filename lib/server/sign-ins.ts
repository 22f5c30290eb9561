import 'server-only'
import { uuidv7 } from 'uuidv7'
import { ok, type Result, refuse } from '@/lib/units/result'
import { db, type Tx, transaction } from './database'
import { type Actor, record } from './history'
import { hashPassword } from './passwords'
import { addPerson, alsoOf, endKeys, hasMailAddress, passwordFor, setMailAddress } from './people'
import { mailChanged } from './reset-mail'
import { addedTo, type Job, RIGHT_WORDS, type Right } from './rights'

/** Somebody who can sign in, or once could. */
export type SignIn = {
  id: string
  name: string
  job: Job
  /** What they may do beyond the job. */
  also: Right[]
  active: boolean
  secondFactor: boolean
  pin: boolean
  /** Where a key for a new password may be sent; empty: nowhere. */
  email: string
  sessions: number
}

/** Everybody who ever could sign in: those who still may first, then by name. */
export async function signIns(now: Date): Promise<SignIn[]> {
  const rows = await db().person.findMany({
    orderBy: [{ active: 'desc' }, { name: 'asc' }],
    include: { _count: { select: { sessions: { where: { expiresAt: { gt: now } } } } } },
  })
  return rows.map(row => ({
    id: row.id,
    name: row.name,
    job: row.role as Job,
    also: alsoOf(row),
    active: row.active,
    secondFactor: row.twoFactorEnabled,
    pin: row.pin !== null,
    email: hasMailAddress(row.email) ? row.email : '',
    sessions: row._count.sessions,
  }))
}

/** How one person signs in. */
export async function signInOf(id: string): Promise<{ secondFactor: boolean; pin: boolean; email: string }> {
  const row = await db().person.findUnique({ where: { id } })
  return {
    secondFactor: row?.twoFactorEnabled ?? false,
    pin: !!row?.pin,
    email: row && hasMailAddress(row.email) ? row.email : '',
  }
}

/** Lets somebody new sign in, with a first password that they change themselves. */
export function invite(
  newcomer: { name: string; password: string; role: Job; also?: readonly string[]; email?: string },
  by: Actor,
): Promise<Result<{ id: string }>> {
  return refusable(async () => {
    const added = await addPerson(newcomer)
    if (!added.ok) return added
    const { id, name, role, also } = added.value
    const mail = await setMailAddress(id, newcomer.email ?? '')
    if (!mail.ok) return mail
    await record({
      by,
      what: `lets ${name} sign in as ${role}`,
      entity: 'sign-in',
      ref: id,
      after: { name, role, ...(also.length > 0 && { also: alsoWords(also) }) },
    })
    return ok({ id })
  })
}

const gone = () => refuse('no-person', 'Nobody signs in by this name any more: open the list again.')

/** Whether the shop would be left with nobody who may do everything. */
async function lastOwner(tx: Tx, id: string): Promise<boolean> {
  const person = await tx.person.findUnique({ where: { id } })
  if (person?.role !== 'owner' || !person.active) return false
  return (await tx.person.count({ where: { role: 'owner', active: true, id: { not: id } } })) === 0
}
const needsOwner = () =>
  refuse('last-owner', 'A shop needs an owner: make somebody else an owner first.', 'role')

/** Rights beyond a job, in words for the history. */
const alsoWords = (also: readonly Right[]): string => also.map(right => RIGHT_WORDS[right]).join(', ')

/**
 * Makes somebody owner, counter or press, with rights beyond it. What they have open shows it at the next page.
 * @param asked rights beyond the job; those that may not be added to it are left out
 */
export function changeJob(
  id: string,
  job: Job,
  asked: readonly string[],
  by: Actor,
): Promise<Result<string>> {
  const also = addedTo(job, asked)
  return transaction(async tx => {
    const person = await tx.person.findUnique({ where: { id } })
    if (!person) return gone()
    const before = alsoOf(person)
    const otherRights = before.join(' ') !== also.join(' ')
    if (person.role === job && !otherRights) return ok(person.name)
    if (job !== 'owner' && (await lastOwner(tx, id))) return needsOwner()
    await tx.person.update({ where: { id }, data: { role: job, also: also.join(' ') } })
    await record({
      by,
      what: person.role === job ? `changed what ${person.name} may do` : `made ${person.name} ${job}`,
      entity: 'sign-in',
      ref: id,
      before: { role: person.role, ...(otherRights && { also: alsoWords(before) || 'nothing' }) },
      after: { role: job, ...(otherRights && { also: alsoWords(also) || 'nothing' }) },
    })
    return ok(person.name)
  })
}

/** Lets somebody in no more, or again. Whoever leaves is signed out everywhere at once. */
export function setActive(id: string, active: boolean, by: Actor): Promise<Result<string>> {
  return transaction(async tx => {
    const person = await tx.person.findUnique({ where: { id } })
    if (!person) return gone()
    if (person.active === active) return ok(person.name)
    if (!active && (await lastOwner(tx, id))) return needsOwner()
    await tx.person.update({ where: { id }, data: { active } })
    if (!active) {
      await tx.session.deleteMany({ where: { userId: id } })
      await endKeys(id)
    }
    await record({
      by,
      what: active ? `lets ${person.name} sign in again` : `lets ${person.name} sign in no more`,
      entity: 'sign-in',
      ref: id,
      before: { active: !active },
      after: { active },
    })
    return ok(person.name)
  })
}

/**
 * Gives somebody a new password, where the old one is forgotten: all their sessions end, and so does a second factor whose
 * authenticator may be lost with it.
 */
export async function resetPassword(id: string, password: string, by: Actor): Promise<Result<string>> {
  const person = await db().person.findUnique({ where: { id } })
  if (!person) return gone()
  const fits = passwordFor(person.name, password)
  if (!fits.ok) return fits
  const hashed = await hashPassword(password)
  const done = await transaction(async tx => {
    await setHash(tx, id, hashed)
    await tx.session.deleteMany({ where: { userId: id } })
    await tx.twoFactor.deleteMany({ where: { userId: id } })
    await endKeys(id)
    await tx.person.update({ where: { id }, data: { twoFactorEnabled: false } })
    await record({
      by,
      what: `gave ${person.name} a new password${person.twoFactorEnabled ? ', without a second factor' : ''}`,
      entity: 'sign-in',
      ref: id,
      before: { secondFactor: person.twoFactorEnabled },
      after: { secondFactor: false },
    })
    return ok(person.name)
  })
  if (done.ok) void mailChanged(id, 'password')
  return done
}

/** Changes where a key for a new password may be sent; empty: nowhere. */
export async function changeMailAddress(id: string, email: string, by: Actor): Promise<Result<string>> {
  let left = ''
  const changed = await refusable(async () => {
    const person = await db().person.findUnique({ where: { id } })
    if (!person) return gone()
    const done = await setMailAddress(id, email)
    if (!done.ok) return done
    if (done.value === person.email || (!done.value && !hasMailAddress(person.email))) return ok(person.name)
    await record({
      by,
      what: done.value
        ? `set the mail address of ${person.name} for a forgotten password`
        : `took away the mail address of ${person.name}`,
      entity: 'sign-in',
      ref: id,
      before: { email: hasMailAddress(person.email) ? person.email : '' },
      after: { email: done.value },
    })
    left = person.email
    return ok(person.name)
  })
  if (changed.ok && left) void mailChanged(id, 'address', left)
  return changed
}

async function setHash(tx: Tx, userId: string, password: string): Promise<void> {
  const { count } = await tx.account.updateMany({
    where: { userId, providerId: 'credential' },
    data: { password },
  })
  if (count === 0)
    await tx.account.create({
      data: { id: uuidv7(), accountId: userId, providerId: 'credential', userId, password },
    })
}

/** One signed-in browser. */
export type OpenSession = {
  id: string
  personId: string
  name: string
  tablet: boolean
  browser: string
  since: Date
  seen: Date
}

/** Browsers that are signed in, the latest first; of one person, or of all. */
export async function openSessions(now: Date, personId?: string): Promise<OpenSession[]> {
  const rows = await db().session.findMany({
    where: { expiresAt: { gt: now }, ...(personId && { userId: personId }) },
    orderBy: { updatedAt: 'desc' },
    include: { person: { select: { name: true } } },
    take: 500,
  })
  return rows.map(row => ({
    id: row.id,
    personId: row.userId,
    name: row.person.name,
    tablet: row.tablet,
    browser: browserWords(row.userAgent ?? ''),
    since: row.createdAt,
    seen: row.updatedAt,
  }))
}

/** What a browser says of itself, in three words: enough to tell a phone from a computer. */
export function browserWords(agent: string): string {
  const browser = /Edg\//.test(agent)
    ? 'Edge'
    : /Firefox\//.test(agent)
      ? 'Firefox'
      : /(Chrome|Chromium|CriOS)\//.test(agent)
        ? 'Chrome'
        : /Safari\//.test(agent)
          ? 'Safari'
          : ''
  const device = /iPad/.test(agent)
    ? 'an iPad'
    : /iPhone/.test(agent)
      ? 'an iPhone'
      : /Android/.test(agent)
        ? /Mobile/.test(agent)
          ? 'an Android phone'
          : 'an Android tablet'
        : /Windows/.test(agent)
          ? 'Windows'
          : /Mac OS X/.test(agent)
            ? 'a Mac'
            : /Linux|X11/.test(agent)
              ? 'Linux'
              : ''
  if (!browser) return device ? `a browser on ${device}` : 'a browser that does not say which'
  return device ? `${browser} on ${device}` : browser
}

/** Ends one session; of this person alone, where one is given. */
export function endSession(id: string, by: Actor, personId?: string): Promise<Result<string>> {
  return transaction(async tx => {
    const session = await tx.session.findFirst({
      where: { id, ...(personId && { userId: personId }) },
      include: { person: { select: { name: true } } },
    })
    if (!session) return refuse('no-session', 'That browser is signed out already.')
    await tx.session.delete({ where: { id } })
    await record({
      by,
      what: `signed out ${session.person.name} in ${browserWords(session.userAgent ?? '')}`,
      entity: 'sign-in',
      ref: session.userId,
    })
    return ok(session.person.name)
  })
}

class Refused extends Error {
  constructor(readonly refusal: Result<never>) {
    super()
  }
}

/** A transaction that a refusal rolls back. */
async function refusable<T>(work: () => Promise<Result<T>>): Promise<Result<T>> {
  try {
    return await transaction(async () => {
      const done = await work()
      if (!done.ok) throw new Refused(done)
      return done
    })
  } catch (error) {
    if (error instanceof Refused) return error.refusal
    throw error
  }
}
