import 'server-only'
import { betterAuth } from 'better-auth'
import { prismaAdapter } from 'better-auth/adapters/prisma'
import { nextCookies } from 'better-auth/next-js'
import { twoFactor } from 'better-auth/plugins/two-factor'
import { username } from 'better-auth/plugins/username'
import { uuidv7 } from 'uuidv7'
import { secretKey } from './data-folder'
import { type Db, database, joining, onPostgres } from './database'
import { hashPassword, LONGEST_KEPT_PASSWORD, passwordFits, SHORTEST_PASSWORD } from './passwords'
import { signInName } from './people'
import { mailReset } from './reset-mail'
import { tabletSignIn } from './tablet-sign-in'

const HOUR = 60 * 60
const DAY = 24 * HOUR

/** How long somebody stays signed in who does not ask for more: a long day (OWASP ASVS 4.0.3, 3.3.2: twelve hours). */
export const A_DAYS_WORK_MS = 12 * HOUR * 1000
/** … and who does, on a computer of their own. */
export const STAY_DAYS = 14

function build(client: Db) {
  const behindHttps = process.env.SHIRTWRIGHT_HTTPS === '1'
  return betterAuth({
    appName: 'Shirtwright',
    secret: secretKey(),
    // Only called from our own code, never by an address of its own, so the base is never shown or followed.
    baseURL: 'http://localhost',
    // What it changes and the line of history that tells it are saved together, or neither.
    database: prismaAdapter(joining(client), { provider: onPostgres() ? 'postgresql' : 'sqlite' }),
    emailAndPassword: {
      enabled: true,
      disableSignUp: true,
      minPasswordLength: SHORTEST_PASSWORD,
      maxPasswordLength: LONGEST_KEPT_PASSWORD,
      password: {
        hash: hashPassword,
        verify: ({ hash, password }) => passwordFits(hash, password),
      },
      resetPasswordTokenExpiresIn: HOUR,
      revokeSessionsOnPasswordReset: true,
      sendResetPassword: ({ user, token }) => mailReset(user, token),
    },
    user: {
      modelName: 'person',
      additionalFields: {
        role: { type: 'string', input: false, defaultValue: 'press' },
        also: { type: 'string', input: false, defaultValue: '' },
        active: { type: 'boolean', input: false, defaultValue: true },
      },
    },
    session: {
      expiresIn: STAY_DAYS * DAY,
      updateAge: DAY,
      additionalFields: { tablet: { type: 'boolean', input: false, defaultValue: false } },
    },
    // A backup, or whoever reads the database, finds nothing in it that opens a door.
    verification: { storeIdentifier: 'hashed' },
    databaseHooks: {
      session: {
        create: {
          // The library gives a day to those who are not to be remembered.
          before: async session =>
            session.expiresAt.getTime() <= Date.now() + DAY * 1000
              ? {
                  data: {
                    ...session,
                    expiresAt: new Date(Math.min(session.expiresAt.getTime(), Date.now() + A_DAYS_WORK_MS)),
                  },
                }
              : undefined,
        },
      },
    },
    advanced: {
      // Whoever asks for a mail is answered before it is sent: how long that takes would tell whether there is somebody of that name.
      backgroundTasks: { handler: task => void task },
      // Behind https no other host of the same domain can set them (OWASP ASVS 4.0.3, 3.4.4): a browser takes a cookie of this name from here alone.
      cookiePrefix: behindHttps ? '__Host-shirtwright' : 'shirtwright',
      defaultCookieAttributes: { secure: behindHttps, path: '/' },
      database: { generateId: () => uuidv7() },
    },
    // Wrong tries are counted by name in sign-in.ts: the library's own limiter trusts a header that anyone can send.
    rateLimit: { enabled: false },
    telemetry: { enabled: false },
    logger: { level: 'error' },
    plugins: [
      username({
        minUsernameLength: 1,
        maxUsernameLength: 60,
        usernameNormalization: signInName,
        usernameValidator: () => true,
      }),
      twoFactor({ issuer: 'Shirtwright', backupCodeOptions: { amount: 8, length: 10 } }),
      tabletSignIn(),
      nextCookies(),
    ],
  })
}

const built = new WeakMap<Db, ReturnType<typeof build>>()

/** The sign-in library, on the database that this process works with. */
export function auth(): ReturnType<typeof build> {
  const client = database()
  const known = built.get(client) ?? build(client)
  built.set(client, known)
  return known
}
