import type { Fault, ProblemAnswer } from '@/lib/orders/outside/order-in'
import { keyWith, type Program, type Scope } from '@/lib/server/api-keys'
import { hasDatabase } from '@/lib/server/health'
import { logRefused } from '@/lib/server/log'

/** A refusal as programs read it: RFC 9457 (application/problem+json). */
export function problem(
  status: number,
  detail: string,
  errors: Fault[] = [],
  headers: Record<string, string> = {},
) {
  if ([400, 413, 415, 422].includes(status))
    logRefused(
      'program',
      errors.map(e => e.pointer.slice(1).replaceAll('/', '.')),
    )
  const title =
    {
      400: 'Bad request',
      401: 'No key',
      403: 'Not with this key',
      404: 'Not here',
      409: 'Not now',
      413: 'Too large',
      415: 'Not JSON',
      422: 'Not an order',
      429: 'Too often',
      503: 'No shop yet',
    }[status] ?? 'Refused'
  const said: ProblemAnswer = {
    type: 'about:blank',
    title,
    status,
    detail,
    ...(errors.length ? { errors } : {}),
  }
  return Response.json(said, {
    status,
    headers: { 'Content-Type': 'application/problem+json', 'Cache-Control': 'no-store', ...headers },
  })
}

/** Whoever calls, by its key; or the answer that turns it away. */
export async function programWith(request: Request, scope: Scope): Promise<Program | Response> {
  if (!hasDatabase()) return problem(503, 'There is no shop here yet.')
  const found = await keyWith(request, scope, new Date())
  if (found.ok) return found.value
  if (found.code === 'often') return problem(429, found.message, [], { 'Retry-After': '60' })
  if (found.code === 'scope')
    return problem(403, found.message, [], { 'WWW-Authenticate': 'Bearer error="insufficient_scope"' })
  return problem(401, found.message, [], { 'WWW-Authenticate': 'Bearer' })
}
