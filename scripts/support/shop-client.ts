// Somebody's browser without its window: signs in, opens pages, sends what forms send. For runs that need many people at once.
import { readFileSync } from 'node:fs'
import { join } from 'node:path'

/** A server action as the build knows it. */
export type BuiltAction = {
  id: string
  file: string
  name: string
  /** The pages that carry it: "app/office/page". */
  pages: string[]
}

let built: BuiltAction[] | undefined
/** All server actions of the build in `.next`. */
export function builtActions(): BuiltAction[] {
  if (built) return built
  const { node } = JSON.parse(
    readFileSync(join('.next', 'server/server-reference-manifest.json'), 'utf8'),
  ) as { node: Record<string, { filename: string; exportedName: string; workers: Record<string, unknown> }> }
  built = Object.entries(node).map(([id, one]) => ({
    id,
    file: one.filename,
    name: one.exportedName,
    pages: Object.keys(one.workers),
  }))
  return built
}

/** The number under which the build knows a server action. */
function actionId(file: string, name: string): string {
  const found = builtActions().find(action => action.file === file && action.name === name)
  if (!found) throw new Error(`The build has no action ${name} of ${file}.`)
  return found.id
}

/** What an action answered: its value, or where it led. */
export type Said = { status: number; value?: { ok?: boolean; message?: string }; redirect?: string }

export class ShopClient {
  readonly #cookies = new Map<string, string>()

  constructor(readonly url: string) {}

  /** The same browser, with the same cookies, before another server of the shop. */
  at(url: string): ShopClient {
    const there = new ShopClient(url)
    for (const [name, value] of this.#cookies) there.#cookies.set(name, value)
    return there
  }

  /** @throws if the name or the password is not right */
  async signIn(name: string, password: string): Promise<void> {
    const said = await this.action(
      'app/sign-in/actions.ts',
      'signIn',
      { name, password, to: '/counter' },
      {
        page: '/sign-in',
      },
    )
    if (!said.redirect) throw new Error(`${name} was not let in: ${said.value?.message ?? said.status}`)
  }

  /** Signs in to the demo shop, where nobody needs a password. */
  async signInToDemo(name: string): Promise<void> {
    const said = await this.action(
      'app/sign-in/actions.ts',
      'signInToDemo',
      { name, to: '/counter' },
      {
        page: '/sign-in',
      },
    )
    if (!said.redirect) throw new Error(`${name} was not let in: ${said.value?.message ?? said.status}`)
  }

  async fetch(path: string, init: RequestInit = {}): Promise<Response> {
    const answer = await fetch(this.url + path, {
      redirect: 'manual',
      ...init,
      headers: {
        cookie: [...this.#cookies].map(([name, value]) => `${name}=${value}`).join('; '),
        origin: this.url,
        ...init.headers,
      },
    })
    for (const line of answer.headers.getSetCookie()) {
      const [pair = ''] = line.split(';')
      const at = pair.indexOf('=')
      this.#cookies.set(pair.slice(0, at), pair.slice(at + 1))
    }
    return answer
  }

  /** Opens a page. @returns status and size of the whole answer */
  async open(path: string): Promise<{ status: number; text: string }> {
    const answer = await this.fetch(path)
    return { status: answer.status, text: await answer.text() }
  }

  /**
   * Sends a form to its server action, as the framework's own code in a browser does.
   * @param bound what the page has bound before the form (a number, a name)
   */
  async action(
    file: string,
    name: string,
    fields: Record<string, string>,
    { page = '/', bound = [] }: { page?: string; bound?: readonly (string | number)[] } = {},
  ): Promise<Said> {
    const body = new FormData()
    for (const [field, value] of Object.entries(fields)) body.append(`_1_${field}`, value)
    body.append('0', JSON.stringify([...bound, null, '$K1']))
    const answer = await this.fetch(page, {
      method: 'POST',
      body,
      headers: { 'Next-Action': actionId(file, name) },
    })
    const text = await answer.text()
    const redirect = answer.headers.get('x-action-redirect')?.split(';')[0]
    const said = /(?:^|\n)1:(\{.*)/.exec(text)?.[1]
    let value: Said['value']
    try {
      value = said ? JSON.parse(said) : undefined
    } catch {
      value = undefined
    }
    return { status: answer.status, ...(value && { value }), ...(redirect && { redirect }) }
  }

  /** Sends a report of a station. */
  async report(fields: Record<string, string>): Promise<Said> {
    const body = new FormData()
    for (const [field, value] of Object.entries(fields)) body.append(field, value)
    const answer = await this.fetch('/api/reports', { method: 'POST', body })
    // A fault is answered without a text.
    const text = await answer.text()
    return { status: answer.status, ...(text && { value: JSON.parse(text) as Said['value'] & object }) }
  }
}
