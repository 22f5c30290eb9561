import 'server-only'
import { isAPIError } from 'better-auth/api'
import { ok, type Result, refuse } from '@/lib/units/result'
import { A_DAYS_WORK_MS, auth } from './auth'
import { db } from './database'
import { type Actor, record } from './history'
import { logDoor } from './log'
import { mayStillSignIn, passwordFor } from './people'
import { mailChanged } from './reset-mail'
import { changeMailAddress } from './sign-ins'
import { Tries } from './tries'

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
  const done = await asked(
    () =>
      auth().api.changePassword({
        body: { currentPassword: given.password, newPassword: given.next, revokeOtherSessions: true },
        headers,
      }),
    wrongPassword,
  )
  if (!done.ok) return done
  // The library begins a long session, whatever this one was.
  if (/(^|;\s*)(__Secure-)?shirtwright\.dont_remember=/.test(headers.get('cookie') ?? '')) {
    const end = new Date(Date.now() + A_DAYS_WORK_MS)
    await db().session.updateMany({
      where: { userId: by.id ?? '', expiresAt: { gt: end } },
      data: { expiresAt: end },
    })
  }
  await record({ by, what: 'changed the password', entity: 'sign-in', ref: by.id ?? '' })
  void mailChanged(by.id ?? '')
  return ok(null)
}

/** Changes one's own mail address, which opens the way to a new password: so the password of now is asked for. */
export async function changeOwnMail(
  given: { password: string; email: string },
  by: Actor & { id: string },
  headers: Headers,
): Promise<Result<null>> {
  const right = await asked(
    () => auth().api.verifyPassword({ body: { password: given.password }, headers }),
    wrongPassword,
  )
  if (!right.ok) return right
  const done = await changeMailAddress(by.id, given.email, by)
  return done.ok ? ok(null) : done
}

/** Begins a second factor (time-based codes, RFC 6238). It counts only once a first code has been typed. */
export async function beginSecondFactor(password: string, headers: Headers): Promise<Result<Enrolment>> {
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
  const done = await asked(() => auth().api.verifyTOTP({ body: { code }, headers }), wrongCode)
  if (!done.ok) return done
  await record({
    by,
    what: 'signs in with a second factor from now on',
    entity: 'sign-in',
    ref: by.id ?? '',
    before: { secondFactor: false },
    after: { secondFactor: true },
  })
  return ok(null)
}

/** Takes the second factor away again. */
export async function endSecondFactor(password: string, by: Actor, headers: Headers): Promise<Result<null>> {
  const done = await asked(() => auth().api.disableTwoFactor({ body: { password }, headers }), wrongPassword)
  if (!done.ok) return done
  await record({
    by,
    what: 'signs in without a second factor again',
    entity: 'sign-in',
    ref: by.id ?? '',
    before: { secondFactor: true },
    after: { secondFactor: false },
  })
  return ok(null)
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
