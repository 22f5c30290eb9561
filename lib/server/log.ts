import 'server-only'
import { pino } from 'pino'
import { rememberFault } from './fault-book'

const LEVELS = ['debug', 'info', 'warn', 'error', 'silent'] as const

/**
 * What the server writes about itself: one line of JSON each, to the error output, for journals and `grep`. SHIRTWRIGHT_LOG sets the least
 * level (info). No line holds what people typed, who they are, or what they paid: see `withoutWords`.
 */
export const log = pino(
  {
    level: LEVELS.find(known => known === process.env.SHIRTWRIGHT_LOG) ?? 'info',
    base: undefined,
    timestamp: pino.stdTimeFunctions.isoTime,
    formatters: { level: level => ({ level }) },
  },
  // Written at once: the last line before an end is the one that is wanted.
  pino.destination({ dest: 2, sync: true }),
)

/**
 * An error's text without what may be somebody's own: whatever stands in quotes, addresses of people and machines, and long numbers go.
 * @returns at most 300 characters of its first line
 */
export function withoutWords(text: string): string {
  return text
    .trim()
    .replace(/\S+@\S+/g, '…@…')
    .replace(/"[^"]*"|“[^”]*”|`[^`]*`|'[^']*'/g, '“…”')
    .replace(/\d{5,}/g, '…')
    .split('\n')
    .map(line => line.trim())
    .filter(Boolean)
    .slice(-1)
    .join('')
    .slice(0, 300)
}

/** Where in our own code an error came from: the frames of its stack, at most eight, without its text. */
const framesOf = (error: Error): string[] =>
  (error.stack ?? '')
    .split('\n')
    .filter(line => /^\s+at /.test(line))
    .slice(0, 8)
    .map(line => line.trim().slice(0, 160))

/** An error as a line of the log. */
export function faultLine(error: unknown): Record<string, unknown> {
  if (!(error instanceof Error)) return { error: typeof error }
  const code = (error as { code?: unknown }).code
  return {
    error: error.name,
    ...(typeof code === 'string' || typeof code === 'number' ? { errorCode: code } : {}),
    text: withoutWords(error.message),
    at: framesOf(error),
  }
}

/** An address without its query and without secrets in it: what follows /offer/ opens an offer. */
export const addressWithoutSecrets = (path: string): string =>
  path.replace(/[?#].*$/s, '').replace(/^\/offer\/[^/]+/, '/offer/…')

/**
 * One line for a fault that a person was told of, with the code that they were given.
 * @param code what stands on their page
 * @param doing what the server was at, in a word or an address
 */
export function logFault(code: string | undefined, doing: string, error: unknown): void {
  const line = faultLine(error)
  log.error({ code, doing, ...line }, 'fault')
  rememberFault({ code: code ?? null, doing, text: String(line.text ?? line.error) })
}

/**
 * One line for what was sent and a schema refused: which fields, never what stood in them.
 * @param from `form`, `program`, or `no page`: what no page of the shop sends
 * @param fields names of the schema's own; others, which somebody made up, are counted with them only
 */
export function logRefused(from: 'form' | 'program' | 'no page', fields: readonly string[] = []): void {
  const named = fields.filter(name => /^[A-Za-z][\w.]{0,40}$/.test(name)).slice(0, 8)
  log.info({ from, fields: named, count: fields.length }, 'refused')
}

/**
 * One line for each try to pass a door: which it was and what came of it, never who it was.
 * @param outcome `in`, `code` (one is still to be typed), `asked`, or the code of the refusal
 */
export function logDoor(
  door: 'sign-in' | 'own-password' | 'code' | 'pin' | 'reset' | 'right' | 'key',
  outcome: string,
): void {
  log[['in', 'code', 'asked'].includes(outcome) ? 'info' : 'warn']({ door, outcome }, 'door')
}

/**
 * Takes in what libraries print by themselves, so that the log has one shape. An error that carries a code has its own line already
 * (instrumentation.ts), and is not written twice.
 */
export function takeInConsole(): void {
  const as =
    (level: 'error' | 'warn' | 'info' | 'debug') =>
    (...said: unknown[]) => {
      const error = said.find(one => one instanceof Error)
      if (error && 'digest' in error) return
      const text = said.filter(one => typeof one === 'string').join(' ')
      log[level]({ ...(error ? faultLine(error) : {}), said: withoutWords(text) }, 'said')
    }
  console.error = as('error')
  console.warn = as('warn')
  console.info = console.log = as('info')
  console.debug = as('debug')
}
