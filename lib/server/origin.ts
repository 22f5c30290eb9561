/**
 * Whether a request that changes something comes from one of our own pages. Next checks this for server actions by
 * itself; route handlers call it. A browser cannot be made to leave out or forge `Origin` on such a request.
 */
export function fromOwnPage(request: Request): boolean {
  const origin = request.headers.get('origin')
  const host = request.headers.get('host')
  if (!origin || !host) return false
  return URL.canParse(origin) && new URL(origin).host === host
}

/**
 * Whether a request says itself that it comes from another site. Weaker than `fromOwnPage`: a program that says nothing passes, a browser
 * cannot keep silent about it. An action that the framework hands on to itself comes under another name of this very machine, and was
 * looked at when it first came in; no page of another site can send that mark without being asked about it first.
 */
export function fromElsewhere(request: Request): boolean {
  if (request.headers.get('sec-fetch-site') === 'cross-site') return true
  if (request.headers.has('x-action-forwarded')) return false
  return request.headers.has('origin') && !fromOwnPage(request)
}

/** An address inside the app to go to after signing in; anything that could lead elsewhere becomes the front page. */
export function ownAddress(to: string | null | undefined): string {
  if (!to?.startsWith('/') || /^\/[/\\]|[\\\s]/.test(to)) return '/'
  return to
}
