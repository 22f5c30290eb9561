import { type NextRequest, NextResponse } from 'next/server'
import { isActionCall, isArguments } from './lib/server/action-call'
import { fromElsewhere } from './lib/server/origin'

/**
 * What a page may load and run: its own files, and the scripts that this very answer marks with a number used once.
 * No script written into a page runs without it, so markup that slipped in anywhere stays text. Styles on a single element
 * are how drawings are sized and coloured; a style sheet must come from here.
 */
function pagePolicy(nonce: string): string {
  const dev = process.env.NODE_ENV === 'development'
  return [
    `default-src 'self'`,
    `script-src 'self' 'nonce-${nonce}' 'strict-dynamic'${dev ? " 'unsafe-eval'" : ''}`,
    `style-src 'self'${dev ? " 'unsafe-inline'" : ` 'nonce-${nonce}'`}`,
    `style-src-attr 'unsafe-inline'`,
    `img-src 'self' data: blob:`,
    `font-src 'self'`,
    `connect-src 'self'`,
    `worker-src 'self' blob:`,
    `object-src 'none'`,
    `base-uri 'none'`,
    `form-action 'self'`,
    `frame-ancestors 'none'`,
  ].join('; ')
}

/** Whether what a page is sent can be taken apart: a form, or the call of an action. What it asks for is looked at further on. */
async function canBeRead(request: NextRequest): Promise<boolean> {
  const type = request.headers.get('content-type') ?? ''
  try {
    if (/^multipart\/form-data/i.test(type)) return isActionCall((await request.clone().formData()).entries())
    // Without a form the framework takes the text itself for the arguments.
    if (request.headers.has('next-action') && !/^application\/x-www-form-urlencoded/i.test(type))
      return isArguments(await request.clone().text())
    return true
  } catch {
    return false
  }
}

/** Whether the signs that stand in an address in figures are signs: to the framework, one that is none is a fault of its own. */
function canBeDecoded(pathname: string): boolean {
  try {
    decodeURIComponent(pathname)
    return true
  } catch {
    return false
  }
}

/** Longer than any part of an address of ours. */
const LONGEST_PART = 200
/** Longer than any search of ours: whoever has to sign in first comes back to the page without it, as the way there would not fit an address. */
const LONGEST_SEARCH = 2_000

/** Hands pages their own address (lib/server/session), and leads to the welcome page while there is no shop. */
export async function proxy(request: NextRequest) {
  const { pathname, search } = request.nextUrl
  if (!process.env.DATABASE_URL && !pathname.startsWith('/welcome'))
    return NextResponse.redirect(new URL('/welcome', request.url))
  // Only an address that has signs written in figures comes by here.
  if (pathname.startsWith('/api/'))
    return canBeDecoded(pathname)
      ? NextResponse.next()
      : NextResponse.json(
          { ok: false, message: 'This address cannot be read: it may be cut short.' },
          { status: 400, headers: { 'Cache-Control': 'no-store' } },
        )
  // The framework looks for a file of this name, and a name that no disk takes is a fault to it.
  if (pathname.split('/').some(part => part.length > LONGEST_PART))
    return new NextResponse(null, { status: 414 })
  // The framework looks too, but calls it a fault of its own.
  if (!/^(GET|HEAD)$/.test(request.method) && fromElsewhere(request))
    return new NextResponse(null, { status: 403 })
  if (request.method === 'POST' && !(await canBeRead(request)))
    return new NextResponse('What was sent cannot be read: load the page again, and send it from there.', {
      status: 400,
      headers: { 'content-type': 'text/plain; charset=utf-8', 'cache-control': 'no-store' },
    })
  const policy = pagePolicy(btoa(crypto.randomUUID()))
  const headers = new Headers(request.headers)
  headers.set('x-shirtwright-address', search.length > LONGEST_SEARCH ? pathname : pathname + search)
  // The framework reads the number from here and puts it on its own scripts.
  headers.set('content-security-policy', policy)
  const answer = NextResponse.next({ request: { headers } })
  answer.headers.set('content-security-policy', policy)
  return answer
}

// Uploads go to /api: a body that passes through here is cut off, silently, after 10 MB. No address that takes one has a sign in figures.
export const config = { matcher: ['/((?!api/|_next/static/|_next/image|icon\\.svg$).*)', '/api/(.*%.*)'] }
