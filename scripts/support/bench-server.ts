import { type ChildProcess, spawn } from 'node:child_process'
import { freePort } from './free-port'

/** A production server on a free port, over a copy of a shop. */
export async function serve(
  folder: string,
  file: string,
): Promise<{ url: string; started: number; child: ChildProcess }> {
  const port = await freePort()
  const from = performance.now()
  const server = spawn(process.execPath, ['.next/standalone/server.js'], {
    env: {
      ...process.env,
      NODE_ENV: 'production',
      PORT: String(port),
      HOSTNAME: '127.0.0.1',
      SHIRTWRIGHT_DATA: folder,
      SHIRTWRIGHT_DEMO: '1',
      DATABASE_URL: `file:${file}`,
    },
    stdio: 'ignore',
  })
  process.on('exit', () => server.kill('SIGKILL'))
  const at = `http://localhost:${port}`
  for (const until = Date.now() + 60_000; Date.now() < until; ) {
    const answer = await fetch(`${at}/sign-in`).catch(() => undefined)
    if (answer?.ok) return { url: at, started: performance.now() - from, child: server }
    await new Promise(done => setTimeout(done, 20))
  }
  throw new Error('The server did not answer within a minute.')
}

/** Signs in as the owner and gives the cookie, by the sign-in library's own address. */
export async function signIn(at: string): Promise<string> {
  const { chromium } = await import('playwright')
  const { findChromium } = await import('../../e2e/support/chromium')
  const browser = await chromium.launch({ executablePath: findChromium() })
  const page = await browser.newPage()
  await page.goto(`${at}/sign-in`)
  await page
    .getByRole('button', { name: /, owner$/ })
    .first()
    .click()
  await page.waitForURL(u => u.pathname !== '/sign-in')
  const cookies = await page.context().cookies()
  await browser.close()
  return cookies.map(c => `${c.name}=${c.value}`).join('; ')
}

export async function pageTime(address: string, cookie: string): Promise<number> {
  const times: number[] = []
  for (let k = 0; k < 7; k++)
    times.push(
      await timed(async () => {
        const answer = await fetch(address, { headers: { cookie }, redirect: 'error' })
        if (!answer.ok) throw new Error(`${address} answered ${answer.status}.`)
        await answer.text()
      }),
    )
  return median(times.slice(1))
}

/** Median milliseconds of two ways, taken in turn. */
export async function compare(
  own: () => Promise<unknown>,
  plain: () => unknown,
): Promise<{ own: number; plain: number }> {
  const times = { own: [] as number[], plain: [] as number[] }
  for (let k = 0; k < 9; k++) {
    times.plain.push(await timed(plain))
    times.own.push(await timed(own))
  }
  return { own: median(times.own.slice(1)), plain: median(times.plain.slice(1)) }
}
export async function timed(work: () => unknown): Promise<number> {
  const from = performance.now()
  await work()
  return performance.now() - from
}
export function median(list: number[]): number {
  const sorted = [...list].sort((a, b) => a - b)
  return sorted[Math.floor(sorted.length / 2)] ?? Number.NaN
}
export function ms(n: number): string {
  return n < 10 ? `${n.toFixed(1)} ms` : `${Math.round(n)} ms`
}
