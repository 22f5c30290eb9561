// Sends the real server what no form would send, and looks each time: is it never a fault, and never a change by half?
import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { setTimeout as sleep } from 'node:timers/promises'
import Database from 'better-sqlite3'
import fc from 'fast-check'
import { BareServer } from './crash'
import { type ActionCall, callsOf, namesOf } from './fuzz-actions'
import { anyText, anyValue, spoiled } from './fuzz-values'
import { type BuiltAction, builtActions, ShopClient } from './shop-client'

export type FuzzPlan = {
  /** A copy of the demo shop's data folder: it is written to. */
  data: string
  cases: number
  seed: number
  say?: (line: string) => void
}

export type FuzzReport = {
  cases: number
  /** How answers were, by their status. */
  statuses: Record<string, number>
  /** Forms of the pages that were spoiled, actions that they lead to, and actions called without a form that a page has drawn. */
  forms: number
  actions: number
  called: number
  /** Sent a second time, since the server had shut the idle connection that the first went by. */
  sentAgain: number
  /** Answers of 500 and more, and answers that never came. */
  faults: string[]
  /** Refused, and yet something was written. */
  half: string[]
  integrity: string
  slowestMs: number
  /** Largest memory of the server, MB (Linux). */
  memoryMb: number
}

/** A form as a page draws it: its action, what the page has bound before it, and its fields as they stand. */
type Drawn = { page: string; id: string; bound: unknown[]; fields: Record<string, string> }

const unescaped = (text: string): string =>
  text
    .replace(/&quot;/g, '"')
    .replace(/&#x27;/g, "'")
    .replace(/&lt;/g, '<')
    .replace(/&gt;/g, '>')
    .replace(/&amp;/g, '&')
const attribute = (tag: string, name: string): string | undefined => {
  const found = new RegExp(`\\s${name}="([^"]*)"`).exec(tag)?.[1]
  return found === undefined ? undefined : unescaped(found)
}

/** The forms of a page that work without scripts: the framework writes their action and what is bound to it beside the fields. */
export function formsOf(page: string, html: string): Drawn[] {
  const drawn: Drawn[] = []
  for (const [, inner = ''] of html.matchAll(/<form\b[^>]*>([\s\S]*?)<\/form>/g)) {
    const fields: Record<string, string> = {}
    for (const [tag] of inner.matchAll(/<input\b[^>]*>/g)) {
      const name = attribute(tag, 'name')
      if (!name) continue
      if (/type="(radio|checkbox)"/.test(tag) && !/\schecked=/.test(tag) && name in fields) continue
      fields[name] = attribute(tag, 'value') ?? ''
    }
    for (const [, tag = '', options = ''] of inner.matchAll(/<select\b([^>]*)>([\s\S]*?)<\/select>/g)) {
      const name = attribute(tag, 'name')
      const chosen =
        /<option\b[^>]*selected=""[^>]*>/.exec(options) ?? [...options.matchAll(/<option\b[^>]*>/g)].at(-1)
      if (name) fields[name] = attribute(chosen?.[0] ?? '', 'value') ?? ''
    }
    for (const [, tag = '', text = ''] of inner.matchAll(/<textarea\b([^>]*)>([\s\S]*?)<\/textarea>/g)) {
      const name = attribute(tag, 'name')
      if (name) fields[name] = unescaped(text)
    }
    const ref = Object.keys(fields).find(name => name.startsWith('$ACTION_REF_'))
    if (!ref) continue
    const at = ref.slice('$ACTION_REF_'.length)
    const parts = JSON.parse(fields[`$ACTION_${at}:0`] ?? '{}') as { id?: string }
    const bound = JSON.parse(fields[`$ACTION_${at}:1`] ?? '[]') as unknown[]
    // The last of what is bound is the answer before, which is none.
    if (parts.id)
      drawn.push({
        page,
        id: parts.id,
        bound: bound.slice(0, -1),
        fields: Object.fromEntries(Object.entries(fields).filter(([name]) => !name.startsWith('$ACTION'))),
      })
  }
  return drawn
}

/** Walks the shop from its rooms along its links. @returns pages by address, and the forms that they draw */
async function walk(client: ShopClient, most: number): Promise<{ pages: string[]; forms: Drawn[] }> {
  const open = [
    '/counter',
    '/artdesk',
    '/floor',
    '/stockroom',
    '/office',
    '/account',
    '/counter/new',
    '/sign-in',
  ]
  const seen = new Map<string, number>()
  const pages: string[] = []
  const forms = new Map<string, Drawn[]>()
  for (let path = open.shift(); path !== undefined && pages.length < most; path = open.shift()) {
    const { status, text } = await client.open(path)
    if (status !== 200) continue
    pages.push(path)
    for (const form of formsOf(path, text)) {
      const known = forms.get(form.id) ?? []
      if (known.length < 4) forms.set(form.id, [...known, form])
    }
    for (const [, href = ''] of text.matchAll(/href="(\/[a-z][^"#]*)"/g)) {
      const to = unescaped(href)
      // A few of each kind of page: orders are many.
      const kind = to.replace(/[0-9a-f]{8}-[0-9a-f-]+|\d+|(?<=\/(items|stations|machines)\/)[^/?]+/g, '*')
      const times = seen.get(kind) ?? 0
      if (times >= 3 || /^\/(_next|api)/.test(to) || pages.includes(to) || open.includes(to)) continue
      seen.set(kind, times + 1)
      open.push(to)
    }
  }
  return { pages, forms: [...forms.values()].flat() }
}

type Case = { what: string; send: () => Promise<{ status: number; refused: boolean }> }

/** Everything that can be sent, as something that makes cases. */
function cases(
  client: ShopClient,
  pages: string[],
  forms: Drawn[],
  calls: fc.Arbitrary<ActionCall>[],
  files: string[],
): fc.Arbitrary<Case> {
  const short = (value: unknown) => JSON.stringify(value)?.slice(0, 300) ?? 'undefined'
  const said = (status: number, text: string) => ({
    status,
    refused: status >= 400 || /"ok":false/.test(text) || /\n?1:\{"ok":false/.test(text),
  })
  const form = fc.constantFrom(...forms).chain(drawn =>
    fc
      .tuple(
        fc.oneof(
          { weight: 4, arbitrary: spoiled(drawn.fields) },
          { weight: 1, arbitrary: spoiled(drawn.fields).chain(spoiled) },
        ),
        fc.oneof(
          { weight: 3, arbitrary: fc.constant<unknown>(drawn.bound) },
          { weight: 1, arbitrary: spoiled(drawn.bound) },
        ),
      )
      .map(([fields, bound]): Case => {
        const body = new FormData()
        const list =
          typeof fields === 'object' && fields !== null
            ? Object.entries(fields)
            : [['value', fields] as const]
        for (const [name, value] of list)
          body.append(`_1_${name}`, typeof value === 'string' ? value : (JSON.stringify(value) ?? ''))
        // The framework's own marks begin with a dollar sign, doubled where it is meant as such.
        const plain = JSON.stringify([...(Array.isArray(bound) ? bound : [bound]), null]).replace(
          /"\$/g,
          '"$$$$',
        )
        body.append('0', `${plain.slice(0, -1)},"$K1"]`)
        return {
          what: `form of ${drawn.page} ${drawn.id.slice(0, 8)}: ${short(fields)} bound ${short(bound)}`,
          send: async () => {
            const answer = await client.fetch(drawn.page, {
              method: 'POST',
              body,
              headers: { 'Next-Action': drawn.id },
            })
            return said(answer.status, await answer.text())
          },
        }
      }),
  )
  const segment = anyText.map(text =>
    encodeURIComponent(text.replace(/[\uD800-\uDFFF]/g, '?')).slice(0, 2_000),
  )
  const address = fc.constantFrom(...pages, ...files).chain(path =>
    fc.tuple(segment, segment, segment, fc.nat(3)).map(([a, b, c, kind]) => {
      const [before = '', query = ''] = path.split('?')
      const parts = before.split('/')
      if (kind === 0) return `${before}?${query ? `${query.replace(/=[^&]*/, `=${a}`)}&` : ''}${b}=${c}`
      if (kind === 1) return `${parts.slice(0, -1).join('/')}/${a}${query ? `?${query}` : ''}`
      if (kind === 2) return `${before}/${a}`
      return `${before}?day=${a}&month=${b}&page=${c}&q=${a}&words=${b}&before=${c}&state=${a}&to=${b}`
    }),
  )
  const look = address.map(
    (path): Case => ({
      what: `GET ${path.slice(0, 300)}`,
      send: async () => {
        const stop = new AbortController()
        const answer = await client.fetch(path, { signal: stop.signal })
        if (path.startsWith('/api/events')) stop.abort()
        else await answer.arrayBuffer()
        return { status: answer.status, refused: true }
      },
    }),
  )
  const report = fc
    .record({
      kind: fc.oneof(fc.constantFrom('start', 'pause', 'resume', 'finish', 'count', 'misprint'), anyText),
      stepId: anyText,
      stationId: anyText,
      formKey: fc.oneof(fc.uuid(), anyText),
      good: anyText,
      note: anyText,
      by: fc.option(anyText, { nil: '' }),
    })
    .map(
      (fields): Case => ({
        what: `report ${short(fields)}`,
        send: async () => {
          const body = new FormData()
          for (const [name, value] of Object.entries(fields)) if (value) body.append(name, value)
          const answer = await client.fetch('/api/reports', { method: 'POST', body })
          return said(answer.status, await answer.text())
        },
      }),
    )
  const raw = fc
    .tuple(
      fc.constantFrom('/api/reports', '/api/artwork', '/api/artwork/production', ...files, ...pages),
      fc.constantFrom('POST', 'PUT', 'PATCH', 'DELETE', 'OPTIONS'),
      fc.constantFrom(
        'application/json',
        'text/plain',
        'multipart/form-data',
        'multipart/form-data; boundary=',
        'multipart/form-data; boundary=x',
        'application/x-www-form-urlencoded',
        'application/xml',
        'text/x-component',
        '',
      ),
      fc.oneof(
        anyValue.map(value => JSON.stringify(value) ?? ''),
        anyText,
      ),
    )
    .map(
      ([path, method, type, body]): Case => ({
        what: `${method} ${path} as ${type}: ${body.slice(0, 200)}`,
        send: async () => {
          const answer = await client.fetch(path, {
            method,
            body,
            headers: type ? { 'content-type': type } : {},
          })
          return said(answer.status, await answer.text())
        },
      }),
    )
  const called = (one: fc.Arbitrary<ActionCall>) =>
    one.map(
      ({ action, page, body }): Case => ({
        what: `call of ${action.name} of ${action.file}: ${short([...body].map(([name, value]) => [name, String(value)]))}`,
        send: async () => {
          const answer = await client.fetch(page, {
            method: 'POST',
            body,
            headers: { 'Next-Action': action.id },
          })
          const text = await answer.text()
          if (answer.headers.has('x-nextjs-action-not-found')) throw new Error('the build has no such action')
          return said(answer.status, text)
        },
      }),
    )
  return fc.oneof(
    { weight: 6, arbitrary: form },
    ...(calls.length ? [{ weight: 3, arbitrary: fc.oneof(...calls.map(called)) }] : []),
    { weight: 3, arbitrary: look },
    { weight: 1, arbitrary: report },
    { weight: 1, arbitrary: raw },
  )
}

/** A page, as the shop has it, that carries an action. */
function pageOf({ pages: carriers }: BuiltAction, pages: string[]): string | undefined {
  for (const carrier of carriers) {
    const path = carrier.replace(/^app/, '').replace(/\/page$/, '') || '/'
    if (!path.includes('[')) return path
    const shape = new RegExp(`^${path.replace(/\[[^/]+\]/g, '[^/?]+')}$`)
    const found = pages.find(page => shape.test(page))
    if (found) return found
  }
}

/** Tables that the server writes by itself, or at every sign-in: no part of what was asked. */
const OWN = new Set(['Session', 'PlanRecord', 'PlannedRun', 'StockPromise', 'Verification'])

const shutWhileWriting = (error: unknown): boolean =>
  error instanceof Error && (error.cause as { code?: string } | undefined)?.code === 'EPIPE'

const countsOf = (db: Database.Database, tables: string[]) =>
  tables.map(name => db.prepare(`SELECT count(*) FROM "${name}"`).pluck().get() as number)

export const memoryOf = (pid: number | undefined): number => {
  try {
    return Number(/VmRSS:\s+(\d+)/.exec(readFileSync(`/proc/${pid}/status`, 'utf8'))?.[1] ?? 0) / 1024
  } catch {
    return 0
  }
}

/** Sends `cases` spoiled requests, one after another. */
export async function fuzz({ data, cases: most, seed, say = () => {} }: FuzzPlan): Promise<FuzzReport> {
  const file = join(data, 'demo.db')
  const db = new Database(file)
  db.pragma('busy_timeout = 5000')
  const owner = db.prepare("SELECT name FROM Person WHERE role = 'owner'").pluck().get() as string
  const doors = {
    people: db.prepare('SELECT * FROM Person').all(),
    accounts: db.prepare('SELECT * FROM Account').all(),
  } as Record<string, Record<string, unknown>[]>
  const tables = (
    db
      .prepare("SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'")
      .pluck()
      .all() as string[]
  ).filter(name => !OWN.has(name))
  const report: FuzzReport = {
    cases: 0,
    statuses: {},
    forms: 0,
    actions: 0,
    called: 0,
    sentAgain: 0,
    faults: [],
    half: [],
    integrity: '',
    slowestMs: 0,
    memoryMb: 0,
  }
  const server = await BareServer.of(data, { SHIRTWRIGHT_LOG: 'error' })
  await server.start()
  try {
    const client = new ShopClient(server.url)
    await client.signInToDemo(owner)
    const { pages, forms } = await walk(client, 400)
    report.forms = forms.length
    report.actions = new Set(forms.map(f => f.id)).size
    say(`${pages.length} pages, ${forms.length} forms of ${report.actions} actions`)
    const picture = db.prepare('SELECT id FROM Artwork LIMIT 1').pluck().get() as string
    const token = db.prepare('SELECT token FROM Offer LIMIT 1').pluck().get() as string
    const files = [
      `/api/artwork/${picture}/picture`,
      `/api/artwork/${picture}/knockout`,
      '/office/month.csv',
      `/offer/${token}`,
      `/offer/${token}/pdf`,
      '/api/health',
    ]
    const reached = new Set(forms.map(f => f.id))
    const names = namesOf(db)
    const calls: fc.Arbitrary<ActionCall>[] = []
    for (const action of builtActions().filter(one => !reached.has(one.id))) {
      const page = pageOf(action, [...pages, ...files])
      if (page) calls.push(await callsOf(action, page, names))
      else report.faults.push(`${action.name} of ${action.file} stands on no page that was found`)
    }
    report.called = calls.length
    say(`${calls.length} actions more, called without a form`)
    let before = countsOf(db, tables)
    let version = db.pragma('data_version', { simple: true })
    /** Whoever was locked out by a password that somebody happened to be given comes in again. */
    const heal = async () => {
      for (const [name, rows] of [
        ['Person', doors.people],
        ['Account', doors.accounts],
      ] as const)
        for (const row of rows ?? []) {
          const names = Object.keys(row).filter(n => n !== 'id')
          db.prepare(`UPDATE "${name}" SET ${names.map(n => `"${n}" = ?`).join(', ')} WHERE id = ?`).run(
            ...names.map(n => row[n]),
            row.id,
          )
        }
      db.prepare('DELETE FROM TwoFactor').run()
      await client.signInToDemo(owner)
    }
    // A run without shrinking: each case stands by itself, and says what it was.
    for (const one of fc.sample(cases(client, pages, forms, calls, files), {
      numRuns: most,
      seed,
    })) {
      const begun = performance.now()
      let got: { status: number; refused: boolean }
      try {
        got = await Promise.race([
          one.send().catch(error => {
            // A server shuts a connection that was idle for a while, perhaps just as somebody writes to it: that is no answer missing.
            if (!shutWhileWriting(error) || server.child?.exitCode !== null) throw error
            report.sentAgain++
            return one.send()
          }),
          sleep(60_000).then(() => {
            throw new Error('no answer within a minute')
          }),
        ])
      } catch (error) {
        if (error instanceof Error && error.name === 'AbortError') continue
        report.faults.push(
          `${one.what}: ${error instanceof Error ? `${error.message} ${String(error.cause ?? '')}` : error}`,
        )
        if (server.child?.exitCode !== null) await server.start()
        continue
      }
      report.cases++
      report.statuses[got.status] = (report.statuses[got.status] ?? 0) + 1
      report.slowestMs = Math.max(report.slowestMs, Math.round(performance.now() - begun))
      if (got.status >= 500)
        report.faults.push(`${one.what}: ${got.status} ${server.said.trimEnd().split('\n').at(-1)}`)
      const now = db.pragma('data_version', { simple: true })
      if (now !== version) {
        version = now
        const after = countsOf(db, tables)
        if (got.refused) {
          const grown = tables.filter((_, i) => after[i] !== before[i])
          if (grown.length) report.half.push(`${one.what}: ${got.status}, and ${grown.join(', ')} changed`)
        }
        before = after
      }
      if (report.cases % 50 === 0) {
        report.memoryMb = Math.max(report.memoryMb, Math.round(memoryOf(server.child?.pid)))
        const here = await client.open('/account')
        if (here.status !== 200) {
          await heal()
          version = db.pragma('data_version', { simple: true })
          before = countsOf(db, tables)
        }
      }
      if (report.cases % 1000 === 0)
        say(`${report.cases} cases, ${report.faults.length} faults, ${report.half.length} by half`)
    }
    await server.end('SIGTERM')
  } finally {
    await server.end('SIGKILL')
  }
  report.integrity = String(db.pragma('integrity_check', { simple: true }))
  const loose = db.pragma('foreign_key_check') as unknown[]
  if (loose.length) report.half.push(`${loose.length} rows point to nothing`)
  db.close()
  return report
}
