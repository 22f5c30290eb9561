import { existsSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import Database from 'better-sqlite3'
import { type APIRequestContext, request } from 'playwright/test'
import { ACTION_DOORS } from '../lib/server/action-doors'
import { doorOf, mayPass, ROLES, type Role } from '../lib/server/rights'
import { expect, signIn, test } from './support/test'

test.use({ kind: 'demo' })

type Built = { filename: string; exportedName: string; workers: Record<string, unknown> }
const built = <T>(file: string) => JSON.parse(readFileSync(join('.next', file), 'utf8')) as T

/** Every address in the build: dynamic parts as something that is not there, since whoever may look learns that, and nobody else does. */
const addresses = () =>
  Object.entries(built<Record<string, string>>('app-path-routes-manifest.json'))
    .filter(([, path]) => !path.startsWith('/_'))
    .map(([file, path]) => ({
      path: path.replace(/\[\w+\]/g, '0'),
      pattern: path,
      page: file.endsWith('/page'),
      methods: methodsOf(file),
    }))

/** What a route answers to, by its source; a page is opened by GET. Lines that stay open are asked by HEAD. */
function methodsOf(file: string): string[] {
  const source = join('app', `${file}.ts`)
  if (!file.endsWith('/route') || !existsSync(source)) return ['GET']
  const methods = [
    ...readFileSync(source, 'utf8').matchAll(/^export async function (GET|HEAD|POST|PUT|PATCH|DELETE)\b/gm),
  ].map(([, method = '']) => method)
  return methods.includes('HEAD') ? methods.filter(method => method !== 'GET') : methods
}

/** Every server action in the build. */
const actions = () =>
  Object.entries(built<{ node: Record<string, Built> }>('server/server-reference-manifest.json').node)
    .map(([id, one]) => ({ id, file: one.filename, name: one.exportedName }))
    // Taking one's PIN away signs its tablets out: last.
    .sort((a, b) => Number(a.name === 'noPinAction') - Number(b.name === 'noPinAction'))

test('every page, address and action in the build lets in whom the table names, and nobody else', async ({
  page,
  shop,
}) => {
  test.setTimeout(240_000)
  const callers = new Map<Role | null, APIRequestContext>()
  const call = async (state?: Awaited<ReturnType<ReturnType<typeof page.context>['storageState']>>) =>
    request.newContext({ baseURL: shop.url, ...(state && { storageState: state }) })
  callers.set(null, await call())
  for (const role of ROLES) {
    await page.context().clearCookies()
    await signIn(page, shop, role === 'tablet' ? 'owner' : role)
    callers.set(role, await call(await page.context().storageState()))
  }
  // The last to come in was the owner once more: that session becomes one by PIN.
  const db = new Database(join(shop.data, 'demo.db'))
  db.prepare('UPDATE Session SET tablet = 1 WHERE createdAt = (SELECT max(createdAt) FROM Session)').run()
  db.close()

  const wrong: string[] = []
  const asked = new Set<string>()
  for (const { path, pattern, page: isPage, methods } of addresses()) {
    const door = doorOf(pattern)
    if (!door) {
      wrong.push(`${pattern} is in no row of the table of doors`)
      continue
    }
    const ask = async (method: string, [role, caller]: [Role | null, APIRequestContext]) => {
      asked.add(method)
      const answer = await caller.fetch(path, { maxRedirects: 0, method, headers: { Origin: shop.url } })
      const to = answer.headers().location ?? ''
      const turned = isPage
        ? (to.startsWith('/sign-in') && !pattern.startsWith('/sign-in')) ||
          (pattern === '/account' && to === '/floor')
        : [401, 403].includes(answer.status()) || to.startsWith('/sign-in')
      const said = `${role ?? 'nobody'}: ${answer.status()} ${to}`
      if (!mayPass(role, door) && !turned) wrong.push(`${method} ${pattern} opened to ${said}`)
      if (mayPass(role, door) && turned) wrong.push(`${method} ${pattern} turned away ${said}`)
      if (answer.status() >= 500 || answer.status() === 405) wrong.push(`${method} ${pattern} with ${said}`)
    }
    // All at once, so that the server need not wait for whoever asks.
    for (const method of methods) await Promise.all([...callers].map(one => ask(method, one)))
  }

  let called = 0
  for (const { id, file, name } of actions()) {
    const door = ACTION_DOORS[file]?.[name]
    if (!door) {
      wrong.push(`${file} ${name} is in no row of the table of actions`)
      continue
    }
    if (door === 'everybody') continue
    const ask = async ([role, caller]: [Role | null, APIRequestContext]) => {
      const answer = await caller.post('/sign-in/code', {
        headers: { 'Next-Action': id, Origin: shop.url },
        multipart: { '1_nothing': '', '0': '["$K1","$K1","$K1","$K1"]' },
        maxRedirects: 0,
      })
      called++
      const text = await answer.text()
      const turned = /"code":"(signed-out|not-allowed)"/.test(text)
      const may = mayPass(role, door)
      if (!may && !turned)
        wrong.push(
          `${name} of ${file} answered ${role ?? 'nobody'}: ${answer.status()} ${text.slice(0, 200)}`,
        )
      if (may && turned) wrong.push(`${name} of ${file} turned away ${role}`)
    }
    await Promise.all([...callers].map(ask))
  }
  expect(wrong).toEqual([])
  expect(called, 'the walk has met the actions').toBeGreaterThan(200)
  expect([...asked].sort(), 'the walk has met the routes').toEqual(['GET', 'HEAD', 'POST', 'PUT'])
  await Promise.all([...callers.values()].map(one => one.dispose()))
})
