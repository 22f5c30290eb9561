import { spawnSync } from 'node:child_process'
import { setTimeout as sleep } from 'node:timers/promises'
import { serverOf, startShop } from './support/shop'
import { expect, signIn, test } from './support/test'

const alive = (pid: number) => {
  try {
    return process.kill(pid, 0)
  } catch {
    return false
  }
}

test('a server that dies comes back, and whoever was signed in still is', async ({ page, shop }) => {
  await signIn(page, shop)
  // Nothing of the page may be under way when the server dies.
  await page.goto('about:blank')
  const first = serverOf(shop.pid)
  process.kill(first, 'SIGKILL')
  await expect
    .poll(
      () =>
        fetch(`${shop.url}/api/health`).then(
          answer => answer.status,
          () => 0,
        ),
      { timeout: 30_000 },
    )
    .toBe(200)
  expect(serverOf(shop.pid)).not.toBe(first)
  await page.goto('/counter')
  expect(new URL(page.url()).pathname).toBe('/counter')
})

test('a second start on the same port is refused in one sentence', async ({ shop }) => {
  const port = new URL(shop.url).port
  const second = spawnSync(process.execPath, ['scripts/start.mjs', '--as-built'], {
    env: { ...process.env, PORT: port, SHIRTWRIGHT_DATA: shop.data, SHIRTWRIGHT_HOST: '127.0.0.1' },
    encoding: 'utf8',
  })
  expect(second.status).toBe(1)
  expect(second.stderr.trim()).toBe(
    `Port ${port} is taken by another program: choose one, as in PORT=${Number(port) + 1} npm start.`,
  )
})

test('stopping it stops its server, and a server whose parent was killed ends too', async () => {
  const stopped = await startShop('own')
  const server = serverOf(stopped.pid)
  await stopped.stop()
  expect(alive(server)).toBe(false)

  const orphaned = await startShop('own')
  const orphan = serverOf(orphaned.pid)
  process.kill(orphaned.pid, 'SIGKILL')
  await expect.poll(() => alive(orphan), { timeout: 10_000 }).toBe(false)
  await sleep(100)
  await orphaned.stop()
})
