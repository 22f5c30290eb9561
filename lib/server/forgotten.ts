import 'server-only'
import { isAPIError } from 'better-auth/api'
import { ok, type Result, refuse } from '@/lib/units/result'
import { auth } from './auth'
import { db, transaction } from './database'
import { record } from './history'
import { logDoor } from './log'
import { hasMailAddress, passwordFor, signInName } from './people'
import { mailChanged, resetByMailWorks } from './reset-mail'
import { Tries } from './tries'

const QUARTER = 15 * 60

/** Mails by name, so that nobody's mailbox is filled; and all together, so that the shop's mail server is not. */
const byName = new Tries({ keyPrefix: 'reset', points: 3, duration: QUARTER })
const together = new Tries({ keyPrefix: 'resets', points: 30, duration: QUARTER })

const notByMail = () =>
  refuse('not-by-mail', 'Passwords are not replaced by mail here: ask the owner for a new one.')

/**
 * Asks for a mail with which a forgotten password is replaced. What it answers is the same whether there is somebody of that name,
 * and whether they have left an address.
 */
export async function askForReset(typed: string, headers: Headers): Promise<Result<null>> {
  if (!(await resetByMailWorks())) return notByMail()
  const name = signInName(typed)
  if ((await together.take('all')) !== null || (await byName.take(name)) !== null) {
    logDoor('reset', 'too-many-tries')
    return refuse(
      'too-many-tries',
      'That was asked for several times now: wait a quarter of an hour, or ask the owner for a new password.',
    )
  }
  const person = await db().person.findUnique({ where: { username: name } })
  if (person?.active && hasMailAddress(person.email)) {
    // Told first: it was asked for, whatever becomes of the mail.
    await record({
      by: { id: null, name: person.name },
      what: 'asked for a new password by mail',
      entity: 'sign-in',
      ref: person.id,
    })
    await auth().api.requestPasswordReset({ body: { email: person.email }, headers })
  }
  logDoor('reset', 'asked')
  return ok(null)
}

/**
 * Replaces a password by the key of a mail, which works once and for an hour. Every session of the person ends; a second factor stays.
 * @returns the person's name
 */
export async function resetByMail(key: string, password: string, headers: Headers): Promise<Result<string>> {
  const stale = refuse(
    'stale-key',
    'This address was used before, or is older than an hour: ask for another mail.',
  )
  const context = await auth().$context
  const found = await context.internalAdapter.findVerificationValue(`reset-password:${key}`)
  const person = found && (await db().person.findUnique({ where: { id: found.value } }))
  if (!person?.active) {
    logDoor('reset', 'stale-key')
    return stale
  }
  const fits = passwordFor(person.name, password)
  if (!fits.ok) return fits
  try {
    await transaction(async () => {
      await auth().api.resetPassword({ body: { newPassword: password, token: key }, headers })
      await record({
        by: { id: person.id, name: person.name },
        what: 'set a new password by mail',
        entity: 'sign-in',
        ref: person.id,
      })
    })
  } catch (error) {
    if (!isAPIError(error) || error.statusCode >= 500) throw error
    logDoor('reset', 'stale-key')
    return stale
  }
  logDoor('reset', 'in')
  void mailChanged(person.id, 'password')
  return ok(person.name)
}
