import 'server-only'
import type { BetterAuthPlugin } from 'better-auth'
import { APIError, createAuthEndpoint } from 'better-auth/api'
import { setSessionCookie } from 'better-auth/cookies'
import * as z from 'zod'

/** How long a session by PIN lasts: a long shift. */
const SHIFT_MS = 12 * 60 * 60 * 1000

/**
 * For the sign-in library: a session that opens the floor alone. It is called by tablets.ts once the tablet and the PIN are
 * known to be right, and has no address of its own.
 */
export const tabletSignIn = () =>
  ({
    id: 'shared-tablet',
    endpoints: {
      signInAtTablet: createAuthEndpoint(
        '/sign-in/shared-tablet',
        { method: 'POST', body: z.object({ userId: z.string() }) },
        async ctx => {
          const { internalAdapter } = ctx.context
          const user = await internalAdapter.findUserById(ctx.body.userId)
          if (!user) throw new APIError('UNAUTHORIZED')
          const session = await internalAdapter.createSession(
            user.id,
            true,
            { tablet: true, expiresAt: new Date(Date.now() + SHIFT_MS) },
            true,
          )
          await setSessionCookie(ctx, { session, user }, true)
          return ctx.json({ userId: user.id })
        },
      ),
    },
  }) satisfies BetterAuthPlugin
