import 'server-only'
import { headers } from 'next/headers'
import { redirect } from 'next/navigation'
import { cache } from 'react'
import { ok, type Result, refuse } from '@/lib/units/result'
import { auth } from './auth'
import { hasDatabase, kept } from './database'
import { logDoor } from './log'
import { alsoOf, type Person } from './people'
import { JOBS, mayDo, RIGHT_WORDS, type Right, type Role } from './rights'

export type { Person } from './people'

/** The header in which proxy.ts hands the address of the page to the code that draws it. */
export const ADDRESS_HEADER = 'x-shirtwright-address'

/** A session, asked of the sign-in library at least once a minute: it carries on those that are in use. */
async function openSession() {
  const asked = await headers()
  const ask = () => auth().api.getSession({ headers: asked })
  const minute = Math.floor(Date.now() / 60_000)
  const known = await kept(['Session', 'Person'], `session ${minute} ${asked.get('cookie') ?? ''}`, ask)
  return known && known.session.expiresAt.getTime() <= Date.now() ? ask() : known
}

/** Who is signed in in this browser; null if nobody is. Asked once per request. */
export const currentPerson = cache(async (): Promise<Person | null> => {
  if (!hasDatabase()) return null
  const session = await openSession()
  if (!session?.user.active) return null
  const job = JOBS.find(known => known === session.user.role)
  if (!job) return null
  // Whoever came in by a PIN is here as no more than that, the owner too.
  const { id, name } = session.user
  return session.session.tablet
    ? { id, name, role: 'tablet', also: [] }
    : { id, name, role: job, also: alsoOf(session.user) }
})

/** The session of this browser, to tell it from others in a list; null if nobody is signed in. */
export async function currentSessionId(): Promise<string | null> {
  return (await openSession())?.session.id ?? null
}

/** The person, if here by name and password: at a shared tablet nobody changes how they sign in. */
export async function personByPassword(): Promise<Result<Person>> {
  const person = await currentPerson()
  if (!person)
    return refuse('signed-out', 'You are no longer signed in: sign in in another tab, then send this again.')
  if (person.role === 'tablet')
    return refuse(
      'not-allowed',
      'This is a shared tablet: sign in by your password to change how you sign in.',
    )
  return ok(person)
}

/**
 * For pages: the person, or a way to sign in.
 * @param right what the page needs; without one, being signed in is enough
 */
export async function requirePerson(right?: Right): Promise<Person> {
  if (!hasDatabase()) redirect('/welcome')
  const person = await currentPerson()
  const address = (await headers()).get(ADDRESS_HEADER) ?? '/'
  if (!person) redirect(`/sign-in?to=${encodeURIComponent(address)}`)
  if (right && !mayDo(person, right)) {
    logDoor('right', right)
    redirect(`/sign-in?to=${encodeURIComponent(address)}&needs=${encodeURIComponent(right)}`)
  }
  return person
}

/** For actions and route handlers: the person, or a refusal that keeps what was typed on the page. */
export async function personWith(right: Right): Promise<Result<Person>> {
  const person = await currentPerson()
  if (!person)
    return refuse('signed-out', 'You are no longer signed in: sign in in another tab, then send this again.')
  if (!mayDo(person, right)) {
    logDoor('right', right)
    return refuse('not-allowed', notAllowed(person.role, right))
  }
  return ok(person)
}

/** Why a role is turned away. */
export const notAllowed = (role: Role, right: Right): string =>
  role === 'tablet'
    ? `This needs the right to ${RIGHT_WORDS[right]}, which a PIN does not open: sign in by your password.`
    : `This needs the right to ${RIGHT_WORDS[right]}, which the ${role} role does not have: ask the owner.`
