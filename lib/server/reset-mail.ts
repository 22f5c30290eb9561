import 'server-only'
import { db } from './database'
import { logFault } from './log'
import { mailServer, sendMail } from './mail'
import { hasMailAddress } from './people'

/**
 * Whether a forgotten password can be replaced by mail: there is a mail server, and the shop has said under which address it is reached.
 * The name that a browser asks for may be anybody's, and would be written into the mail.
 */
export async function resetByMailWorks(): Promise<boolean> {
  const [server, facts] = await Promise.all([mailServer(), shopsWords()])
  return server !== null && server.password !== null && facts.publicAddress !== ''
}

const shopsWords = () =>
  db().shop.findUniqueOrThrow({ where: { id: 1 }, select: { name: true, publicAddress: true } })

/** Mails the address under which a new password is typed. Called by the sign-in library, which made the key. */
export function mailReset(person: { id: string; name: string; email: string }, key: string): Promise<void> {
  return sent(person.id, ({ name, publicAddress }, to) => ({
    subject: `A new password for ${name}`,
    text: `Hello ${to},

somebody, most likely you, asked for a new password to sign in at ${name}. Open this address within an hour and type a new one:

${publicAddress}/sign-in/new-password?key=${encodeURIComponent(key)}

It works once, and then every browser that is signed in under your name has to sign in again.

If it was not you, do nothing: your password stays as it is. If it happens again, tell the owner.
`,
  }))
}

/** Tells somebody who has left a mail address that their password is another now. */
export function mailChanged(personId: string): Promise<void> {
  return sent(personId, ({ name }, to) => ({
    subject: `Your password for ${name} was changed`,
    text: `Hello ${to},

your password to sign in at ${name} was changed just now. If that was you, all is well.

If it was not you, tell the owner at once: they can sign you out everywhere and give you a new one.
`,
  }))
}

/** Nobody waits for these mails: what goes wrong stands on the owner's page of the shop's health. Never rejects. */
async function sent(
  personId: string,
  write: (shop: { name: string; publicAddress: string }, to: string) => { subject: string; text: string },
): Promise<void> {
  try {
    const [person, server] = await Promise.all([
      db().person.findUnique({ where: { id: personId } }),
      mailServer(),
    ])
    if (!server || !person?.active || !hasMailAddress(person.email)) return
    const shop = await shopsWords()
    const done = await sendMail(server, {
      ...write(shop, person.name),
      fromName: shop.name,
      to: person.email,
    })
    if (!done.ok) throw new Error('The mail server did not take it.')
  } catch (error) {
    logFault('mail', 'a mail about a password', error)
  }
}
