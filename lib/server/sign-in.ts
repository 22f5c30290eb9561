import 'server-only'
import { isAPIError } from 'better-auth/api'
import { ok, type Result, refuse } from '@/lib/units/result'
import { auth } from './auth'
import { inTurn } from './in-turn'
import { logDoor } from './log'
import { mayStillSignIn, signInName } from './people'
import { Tries } from './tries'
import { waitWords } from './wait-words'

/** Five, then five minutes: 60 an hour at most, where OWASP ASVS 4.0.3 (2.2.1) allows 100 for one account. */
const TRIES = 5
const WAIT_SECONDS = 5 * 60

/**
 * Wrong tries of a password by name, wherever it is asked for; not by address: all tablets of a shop may share one, and headers that tell it can be
 * forged.
 */
export const passwordTries = new Tries({
  keyPrefix: 'sign-in',
  points: TRIES,
  duration: 15 * 60,
  blockDuration: WAIT_SECONDS,
})

/** `in`: signed in; `code`: the password was right, and a code of the second factor is still to be typed. */
export type Step = 'in' | 'code'

/**
 * Signs in and sets the session's cookie; or that of the second step, where there is one.
 * @param stay keeps this browser signed in beyond the day: for a computer that one person has to themselves
 * @returns what comes next, or a refusal that does not tell whether the name or the password was wrong
 */
export async function signIn(
  name: string,
  password: string,
  headers: Headers,
  stay = false,
): Promise<Result<Step>> {
  const key = signInName(name)
  const done = await inTurn(`sign-in ${key}`, () => tried(key, { name, password, headers, stay }))
  logDoor('sign-in', done.ok ? done.value : done.code)
  return done
}

async function tried(
  key: string,
  { name, password, headers, stay }: { name: string; password: string; headers: Headers; stay: boolean },
): Promise<Result<Step>> {
  const wait = await passwordTries.take(key)
  if (wait !== null)
    return refuse('too-many-tries', `Too many wrong tries for this name: try again in ${waitWords(wait)}.`)
  try {
    const done = await auth().api.signInUsername({
      body: { username: name, password, rememberMe: stay },
      headers,
    })
    await passwordTries.forget(key)
    // The second factor's part of the library answers in place of a session.
    if (!('user' in done) || !done.user) return ok('code')
    if (!(await mayStillSignIn(done.user.id)))
      return refuse('left', 'This name may no longer sign in: ask the owner.')
    return ok('in')
  } catch (error) {
    if (isAPIError(error) && error.statusCode < 500)
      return refuse('wrong-name-or-password', 'Name and password do not fit together: type them again.')
    throw error
  }
}

/** Ends the session of this browser. */
export async function signOut(headers: Headers): Promise<void> {
  await auth().api.signOut({ headers })
}
