import 'server-only'
import { isAPIError } from 'better-auth/api'
import { ok, type Result, refuse } from '@/lib/units/result'
import { A_DAYS_WORK_MS, auth } from './auth'
import { db, transaction } from './database'
import { type Actor, record } from './history'
import { inTurn } from './in-turn'
import { logDoor } from './log'
import { mayStillSignIn, passwordFor, signInName } from './people'
import { mailChanged } from './reset-mail'
import { passwordTries } from './sign-in'
import { changeMailAddress } from './sign-ins'
import { Tries } from './tries'
import { waitWords } from './wait-words'

/** What an authenticator is given: an `otpauth:` address to be shown as a square code, and codes for the day it is lost. */
export type Enrolment = { address: string; secret: string; codes: string[] }

/** Runs a call of the sign-in library; its own refusals (4xx) become one sentence. */
async function asked<T>(call: () => Promise<T>, refusal: { code: string; message: string; field: string }) {
  try {
    return ok(await call())
  } catch (error) {
    if (isAPIError(error) && error.statusCode < 500) {
      if (error.statusCode === 429 || /TOO_MANY|LOCKED/.test(String(error.body?.code)))
        return refuse('too-many-tries', 'Too many wrong codes: wait a quarter of an hour, or ask the owner.')
      return refuse(refusal.code, refusal.message, refusal.field)
    }
    throw error
  }
}

const wrongPassword = {
  code: 'wrong-password',
  message: 'That is not your password: type it again.',
  field: 'password',
}

/**
 * Whether this is the password of whoever is signed in. Wrong ones count with those at the door: a browser that was left open is no place to guess.
 * Asked before a transaction begins, so that whoever guesses holds no writer up.
 */
function ownPassword(password: string, by: Actor, headers: Headers): Promise<Result<unknown>> {
  const name = signInName(by.name)
  return inTurn(`sign-in ${name}`, async () => {
    const wait = await passwordTries.take(name)
    const right =
      wait === null
        ? await asked(() => auth().api.verifyPassword({ body: { password }, headers }), wrongPassword)
        : refuse('too-many-tries', `Too many wrong passwords: try again in ${waitWords(wait)}.`, 'password')
    if (right.ok) await passwordTries.forget(name)
    else logDoor('own-password', right.code)
    return right
  })
}

const wrongCode = {
  code: 'wrong-code',
  message: 'That code does not fit: type the one that the authenticator shows now.',
  field: 'code',
}

/** Changes one's own password; all other browsers of this person are signed out. */
export async function changeOwnPassword(
  given: { password: string; next: string },
  by: Actor,
  headers: Headers,
): Promise<Result<null>> {
  const fits = passwordFor(by.name, given.next)
  if (!fits.ok) return { ...fits, field: 'next' }
  const right = await ownPassword(given.password, by, headers)
  if (!right.ok) return right
  const done = await transaction(async tx => {
    const changed = await asked(
      () =>
        auth().api.changePassword({
          body: { currentPassword: given.password, newPassword: given.next, revokeOtherSessions: true },
          headers,
        }),
      wrongPassword,
    )
    if (!changed.ok) return changed
    // The library begins a long session, whatever this one was.
    if (/(^|;\s*)(__Host-)?shirtwright\.dont_remember=/.test(headers.get('cookie') ?? '')) {
      const end = new Date(Date.now() + A_DAYS_WORK_MS)
      await tx.session.updateMany({
        where: { userId: by.id ?? '', expiresAt: { gt: end } },
        data: { expiresAt: end },
      })
    }
    await record({ by, what: 'changed the password', entity: 'sign-in', ref: by.id ?? '' })
    return ok(null)
  })
  if (done.ok) void mailChanged(by.id ?? '', 'password')
  return done
}

/** Changes one's own mail address, which opens the way to a new password: so the password of now is asked for. */
export async function changeOwnMail(
  given: { password: string; email: string },
  by: Actor & { id: string },
  headers: Headers,
): Promise<Result<null>> {
  const right = await ownPassword(given.password, by, headers)
  if (!right.ok) return right
  const done = await changeMailAddress(by.id, given.email, by)
  return done.ok ? ok(null) : done
}

/** Begins a second factor (time-based codes, RFC 6238). It counts only once a first code has been typed. */
export async function beginSecondFactor(
  password: string,
  by: Actor,
  headers: Headers,
): Promise<Result<Enrolment>> {
  const right = await ownPassword(password, by, headers)
  if (!right.ok) return right
  const begun = await asked(
    () => auth().api.enableTwoFactor({ body: { password, method: 'totp' }, headers }),
    wrongPassword,
  )
  if (!begun.ok) return begun
  if (!('totpURI' in begun.value) || !begun.value.totpURI)
    return refuse('second-factor', 'The second factor could not be begun: try again.')
  const address = begun.value.totpURI
  return ok({
    address,
    secret: new URL(address).searchParams.get('secret') ?? '',
    codes: begun.value.backupCodes ?? [],
  })
}

/** Makes the second factor count, once its first code is typed. */
export async function confirmSecondFactor(code: string, by: Actor, headers: Headers): Promise<Result<null>> {
  const done = await transaction(async () => {
    // A wrong code is counted by the library: its refusal must not take that back.
    const right = await asked(() => auth().api.verifyTOTP({ body: { code }, headers }), wrongCode)
    if (!right.ok) return right
    await record({
      by,
      what: 'signs in with a second factor from now on',
      entity: 'sign-in',
      ref: by.id ?? '',
      before: { secondFactor: false },
      after: { secondFactor: true },
    })
    return ok(null)
  })
  if (done.ok) void mailChanged(by.id ?? '', 'second factor')
  return done
}

/** Takes the second factor away again. */
export async function endSecondFactor(password: string, by: Actor, headers: Headers): Promise<Result<null>> {
  const right = await ownPassword(password, by, headers)
  if (!right.ok) return right
  const done = await transaction(async () => {
    const ended = await asked(
      () => auth().api.disableTwoFactor({ body: { password }, headers }),
      wrongPassword,
    )
    if (!ended.ok) return ended
    await record({
      by,
      what: 'signs in without a second factor again',
      entity: 'sign-in',
      ref: by.id ?? '',
      before: { secondFactor: true },
      after: { secondFactor: false },
    })
    return ok(null)
  })
  if (done.ok) void mailChanged(by.id ?? '', 'no second factor')
  return done
}

/** Codes that let somebody in, by person: each does so once (RFC 6238, 5.2). One is valid for half a minute, and for as long before and after. */
const used = new Tries({ keyPrefix: 'code', points: 1, duration: 120 })

const usedBefore = async (personId: string, code: string): Promise<boolean> =>
  (await used.take(`${personId} ${code}`)) !== null

/** The second step of signing in: a code of the authenticator, or one of those kept for the day it is lost. */
export async function signInByCode(typed: string, headers: Headers): Promise<Result<null>> {
  const code = typed.replace(/\s/g, '')
  const timed = /^\d{6}$/.test(code)
  const done = await asked<{ user: { id: string }; token?: string | null | undefined }>(
    () =>
      timed
        ? auth().api.verifyTOTP({ body: { code }, headers })
        : auth().api.verifyBackupCode({ body: { code }, headers }),
    {
      code: 'wrong-code',
      message: 'That code does not fit: type the one shown now, or begin again with your password.',
      field: 'code',
    },
  )
  if (!done.ok) {
    logDoor('code', done.code)
    return done
  }
  const { user, token } = done.value
  if (timed && (await usedBefore(user.id, code))) {
    await db().session.deleteMany({ where: { token: token ?? '' } })
    logDoor('code', 'used-code')
    void mailChanged(user.id, 'used code')
    return refuse(
      'used-code',
      'That code was used already: begin again with your password, and type the next one that is shown.',
      'code',
    )
  }
  logDoor('code', 'in')
  if (!(await mayStillSignIn(user.id)))
    return refuse('left', 'This name may no longer sign in: ask the owner.')
  return ok(null)
}
