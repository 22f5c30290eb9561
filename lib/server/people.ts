import 'server-only'
import { uuidv7 } from 'uuidv7'
import { z } from 'zod'
import { ok, type Result, refuse } from '@/lib/units/result'
import { db, Prisma, transaction } from './database'
import { hashPassword, LONGEST_PASSWORD, SHORTEST_PASSWORD } from './passwords'
import { addedTo, type Holder, type Job, type Right } from './rights'

export type Person = Holder & { id: string; name: string }

/** What somebody may do beyond their job, as their row keeps it: names of rights with a space between. */
export const alsoOf = (person: { role: string; also?: string | null }): Right[] =>
  addedTo(person.role as Job, (person.also ?? '').split(' '))

/** A name in the form in which sign-in compares names: "  ANA  Duarte " and "Ana Duarte" are one person. */
export const signInName = (name: string): string =>
  name.normalize('NFKC').trim().replace(/\s+/g, ' ').toLowerCase()

/** What the sign-in library is given for somebody who has left no mail address; ".invalid" never reaches anyone (RFC 2606). */
const NOWHERE = '@people.invalid'
const nowhere = (id: string) => `${id}${NOWHERE}`

/** Whether mail to this address reaches somebody. */
export const hasMailAddress = (email: string): boolean => !email.endsWith(NOWHERE)

/** Whether somebody may choose this password: length alone counts (NIST SP 800-63B, 5.1.1.2), and that it is not the name. */
export function passwordFor(name: string, password: string): Result<string> {
  if (password.length < SHORTEST_PASSWORD)
    return refuse('password-short', `A password has at least ${SHORTEST_PASSWORD} characters.`, 'password')
  if (password.length > LONGEST_PASSWORD)
    return refuse('password-long', `A password has at most ${LONGEST_PASSWORD} characters.`, 'password')
  if (signInName(password) === signInName(name))
    return refuse('password-is-name', 'Choose a password that is not the name.', 'password')
  return ok(password)
}

/**
 * Lets somebody sign in by name and password. Joins the caller's transaction.
 * @returns a refusal about `name` (empty, too long, taken) or `password` (length)
 */
export async function addPerson(newcomer: {
  name: string
  password: string
  role: Job
  /** Rights beyond the job; those that may not be added to it are left out. */
  also?: readonly string[]
}): Promise<Result<Person>> {
  const { password, role } = newcomer
  const also = addedTo(role, newcomer.also ?? [])
  const name = newcomer.name.normalize('NFKC').trim().replace(/\s+/g, ' ')
  if (!name) return refuse('name-missing', 'Type the name to sign in with.', 'name')
  if (name.length > 60) return refuse('name-long', 'A name has at most 60 characters.', 'name')
  const fits = passwordFor(name, password)
  if (!fits.ok) return fits

  const hashed = await hashPassword(password)
  const id = uuidv7()
  try {
    await transaction(async tx => {
      await tx.person.create({
        data: {
          id,
          name,
          username: signInName(name),
          displayUsername: name,
          email: nowhere(id),
          role,
          also: also.join(' '),
        },
      })
      await tx.account.create({
        data: { id: uuidv7(), accountId: id, providerId: 'credential', userId: id, password: hashed },
      })
    })
  } catch (error) {
    if (error instanceof Prisma.PrismaClientKnownRequestError && error.code === 'P2002')
      return refuse('name-taken', `${name} can already sign in: choose another name.`, 'name')
    throw error
  }
  return ok({ id, name, role, also })
}

/** Whether somebody who proved who they are may come in. If not, all their sessions end. */
export async function mayStillSignIn(id: string): Promise<boolean> {
  const person = await db().person.findUnique({ where: { id } })
  if (person?.active) return true
  await db().session.deleteMany({ where: { userId: id } })
  return false
}

/** Everybody who may sign in, by name. */
export async function activePeople(): Promise<(Person & { role: Job })[]> {
  const rows = await db().person.findMany({ where: { active: true }, orderBy: { name: 'asc' } })
  return rows.map(row => ({ id: row.id, name: row.name, role: row.role as Job, also: alsoOf(row) }))
}

/** Whatever the library has sent or begun for somebody (keys for a new password, half a sign-in) opens nothing any more. Joins the caller's transaction. */
export async function endKeys(id: string): Promise<void> {
  await db().verification.deleteMany({ where: { value: id } })
}

/**
 * Sets or takes away the mail address to which a key for a new password may be sent. Joins the caller's transaction.
 * @param email empty takes it away
 */
export async function setMailAddress(id: string, email: string): Promise<Result<string>> {
  const address = email.trim().toLowerCase()
  if (address && (address.length > 200 || !z.email().safeParse(address).success))
    return refuse('email', 'This is not an e-mail address: type it like ana@example.com.', 'email')
  const other = address && (await db().person.findUnique({ where: { email: address } }))
  if (other && other.id !== id)
    return refuse('email-taken', 'Somebody else has this address: everybody needs their own.', 'email')
  await db().person.update({
    where: { id },
    data: { email: address || nowhere(id), emailVerified: false },
  })
  await endKeys(id)
  return ok(address)
}
