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

/** What somebody is told of by mail: how they sign in is another now, or somebody may try to come in under their name. */
const NEWS = {
  password: [
    'Your password for {shop} was changed',
    'your password to sign in at {shop} was changed just now.',
  ],
  'second factor': [
    'Signing in at {shop} asks for a code now',
    'from now on, signing in under your name at {shop} asks for a code of an authenticator after the password.',
  ],
  'no second factor': [
    'Signing in at {shop} asks for no code any more',
    'signing in under your name at {shop} asks for the password alone again, and for no code of an authenticator.',
  ],
  address: [
    'Mails about your password for {shop} come here no more',
    'the mail address that you had left at {shop} for a forgotten password was changed or taken away just now.',
  ],
  'used code': [
    'A code was used twice at {shop}',
    'somebody typed your password at {shop} just now, and a code of your authenticator that had been used already. They were not let in.',
  ],
} as const satisfies Record<string, readonly [string, string]>

/**
 * Tells somebody who has left a mail address what became of the way in which they sign in (OWASP ASVS 4.0.3, 2.2.3, 2.5.5 and 2.8.5).
 * @param to where it goes, if not to the address that they have left
 */
export function mailChanged(personId: string, news: keyof typeof NEWS, to?: string): Promise<void> {
  const [subject, what] = NEWS[news]
  return sent(
    personId,
    ({ name }, person) => ({
      subject: subject.replace('{shop}', () => name),
      text: `Hello ${person},

${what.replace('{shop}', () => name)} If that was you, all is well.

If it was not you, tell the owner at once: they can sign you out everywhere and give you a new password.
`,
    }),
    to,
  )
}

/** Nobody waits for these mails: what goes wrong stands on the owner's page of the shop's health. Never rejects. */
async function sent(
  personId: string,
  write: (shop: { name: string; publicAddress: string }, to: string) => { subject: string; text: string },
  elsewhere?: string,
): Promise<void> {
  try {
    const [person, server] = await Promise.all([
      db().person.findUnique({ where: { id: personId } }),
      mailServer(),
    ])
    const to = elsewhere ?? person?.email ?? ''
    if (!server || !person?.active || !hasMailAddress(to)) return
    const shop = await shopsWords()
    const done = await sendMail(server, {
      ...write(shop, person.name),
      fromName: shop.name,
      to,
    })
    if (!done.ok) throw new Error('The mail server did not take it.')
  } catch (error) {
    logFault('mail', 'a mail about a password', error)
  }
}
