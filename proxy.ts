import { type NextRequest, NextResponse } from 'next/server'

/** Hands pages their own address (lib/server/session), and leads to the welcome page while there is no shop. */
export function proxy(request: NextRequest) {
  const { pathname, search } = request.nextUrl
  if (!process.env.DATABASE_URL && !pathname.startsWith('/welcome'))
    return NextResponse.redirect(new URL('/welcome', request.url))
  const headers = new Headers(request.headers)
  headers.set('x-shirtwright-address', pathname + search)
  return NextResponse.next({ request: { headers } })
}

// Uploads go to /api: a body that passes through here is cut off, silently, after 10 MB.
export const config = { matcher: '/((?!api/|_next/|.*\\.(?:svg|png|ico|woff2|txt)$).*)' }
