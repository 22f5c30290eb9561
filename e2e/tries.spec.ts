import { randomUUID } from 'node:crypto'
import { existsSync, readdirSync } from 'node:fs'
import { connect } from 'node:net'
import { join } from 'node:path'
import { setTimeout as sleep } from 'node:timers/promises'
import sharp from 'sharp'
import { ShopClient } from '../scripts/support/shop-client'
import { OWNER } from './support/shop'
import { expect, test } from './support/test'

test.use({ kind: 'own' })

/** What a server says to bytes that no browser would send; whatever it said within a second, where it keeps the line. */
const raw = (url: string, bytes: string) =>
  new Promise<string>(done => {
    const { hostname, port } = new URL(url)
    let said = ''
    const line = connect(Number(port), hostname, () => line.write(bytes))
    line.setTimeout(1000, () => line.destroy())
    line.on('data', text => {
      said += text
    })
    line.on('close', () => done(said))
    line.on('error', () => done(said))
  })

const answers = (said: string) => [...said.matchAll(/^HTTP\/1\.1 (\d{3})/gm)].map(m => Number(m[1]))

test('what is sent to deceive is refused or kept as plain text, and the shop goes on', async ({ shop }) => {
  const { host } = new URL(shop.url)
  const client = new ShopClient(shop.url)
  await client.signIn(OWNER.name, OWNER.password)
  const status = async (path: string, init: RequestInit = {}) => (await client.fetch(path, init)).status
  const head = `Host: ${host}\r\nConnection: close\r\n`

  await test.step('one request hidden within another (RFC 9112, 6.3 and 11.2)', async () => {
    const hidden = `GET /office HTTP/1.1\r\n${head}\r\n`
    const two = (lines: string, body: string) =>
      raw(shop.url, `POST /sign-in HTTP/1.1\r\nHost: ${host}\r\n${lines}\r\n${body}`)
    for (const [lines, body] of [
      ['Content-Length: 6\r\nTransfer-Encoding: chunked\r\n', `0\r\n\r\n${hidden}`],
      ['Transfer-Encoding: chunked\r\nContent-Length: 6\r\n', `0\r\n\r\n${hidden}`],
      ['Content-Length: 3\r\nContent-Length: 30\r\n', `abc${hidden}`],
      ['Content-Length: +3\r\n', `abc${hidden}`],
      ['Content-Length: 3, 3\r\n', `abc${hidden}`],
      ['Transfer-Encoding : chunked\r\n', `0\r\n\r\n${hidden}`],
      ['Transfer-Encoding: chunked, identity\r\n', `0\r\n\r\n${hidden}`],
      ['Transfer-Encoding: chunked\r\n', `zz\r\n\r\n${hidden}`],
    ] as const)
      expect(answers(await two(lines, body)), lines).toEqual([400])
  })

  await test.step('lines within headers, and cookies beyond what they may hold', async () => {
    const get = (lines: string) => raw(shop.url, `GET /sign-in HTTP/1.1\r\n${head}${lines}\r\n`)
    expect(answers(await get('X-A: a\rSet-Cookie: b=c\r\n'))).toEqual([400])
    expect(answers(await get('X-A: a\nX-B : b\r\n'))).toEqual([400])
    expect(answers(await get('X-A: a\0b\r\n'))).toEqual([400])
    expect(answers(await get(`Cookie: a=${'x'.repeat(40_000)}\r\n`))).toEqual([431])
    // Many small ones are no more than one large one; a spoiled one signs nobody in and breaks nothing.
    expect(
      answers(await get(`Cookie: ${Array.from({ length: 4000 }, (_, i) => `c${i}=x`).join('; ')}\r\n`)),
    ).toEqual([431])
    const spoiled = await fetch(`${shop.url}/counter`, {
      redirect: 'manual',
      headers: {
        cookie: `shirtwright.session_token=${'%'.repeat(3000)}; __proto__=1; =; ;;; shirtwright.tablet=%00`,
      },
    })
    expect(spoiled.status).toBe(307)
    expect(spoiled.headers.get('location')).toMatch(/^\/sign-in/)
    const echoed = await client.fetch('/sign-in?to=%0d%0aSet-Cookie:%20a=b')
    expect(echoed.headers.getSetCookie().join()).not.toContain('a=b')
    const led = await client.fetch('/counter/find?q=%0d%0aLocation:%20//elsewhere.example')
    expect(led.headers.get('location') ?? '').not.toContain('elsewhere')
  })

  await test.step('another host’s name', async () => {
    const forged = {
      'x-forwarded-host': 'elsewhere.example',
      'x-forwarded-proto': 'https',
      forwarded: 'host=elsewhere.example',
    }
    for (const path of [
      '/counter',
      '/sign-in?to=//elsewhere.example',
      '/office?to=https://elsewhere.example',
    ]) {
      const signedOut = await fetch(shop.url + path, { redirect: 'manual', headers: forged })
      expect(signedOut.headers.get('location') ?? '/', path).toMatch(/^\/(?!\/)/)
      expect(await signedOut.text(), path).not.toContain('elsewhere.example/')
    }
    const other = await raw(
      shop.url,
      `GET /counter HTTP/1.1\r\nHost: elsewhere.example\r\nConnection: close\r\n\r\n`,
    )
    expect(/^location: (.*)\r$/im.exec(other)?.[1] ?? '/').toMatch(/^\/(?!\/)/)
    expect(answers(await raw(shop.url, 'GET /counter HTTP/1.1\r\nConnection: close\r\n\r\n'))).toEqual([400])
    // The address counts that the browser is at, not the one that somebody before it is said to have.
    const action = { 'Next-Action': '0'.repeat(42) }
    for (const origin of ['http://elsewhere.example', 'null', `http://${host}.elsewhere.example`]) {
      const more = { origin, 'x-forwarded-host': 'elsewhere.example' }
      expect(
        await status('/counter/new', { method: 'POST', body: '[]', headers: { ...action, ...more } }),
        origin,
      ).toBe(403)
      expect(
        await status('/api/artwork?name=a.png', { method: 'PUT', body: 'x', headers: more }),
        origin,
      ).toBe(403)
      expect(
        await status('/api/reports', { method: 'POST', body: new FormData(), headers: more }),
        origin,
      ).toBe(403)
    }
  })

  await test.step('types that a form does not have, and bodies that are not what they say', async () => {
    const types = [
      ...[
        'application/json',
        'application/xml',
        'text/plain',
        'text/x-component',
        'multipart/mixed; boundary=x',
      ],
      ...[
        'multipart/form-data',
        'multipart/form-data; boundary=x',
        'multipart/form-data; boundary=x; charset=utf-7',
      ],
      ...['application/x-www-form-urlencoded; charset=utf-16', 'MULTIPART/FORM-DATA; BOUNDARY="', ', ,'],
    ]
    const body =
      '--x\r\nContent-Disposition: form-data; name="a"\r\n\r\n{"__proto__":{"role":"owner"}}\r\n--x\r\n'
    for (const type of types)
      for (const path of [
        '/counter/new',
        '/api/reports',
        '/api/nothing',
        '/nothing.png',
        '/icon.svg',
        '/_next/x',
      ]) {
        const said = await status(path, { method: 'POST', body, headers: { 'content-type': type } })
        expect(said, `${type} at ${path}`).toBeLessThan(500)
      }
    for (const type of types) {
      const headers = { 'Next-Action': '0'.repeat(42), 'content-type': type }
      expect(await status('/counter', { method: 'POST', body, headers }), type).toBeLessThan(500)
    }
  })

  await test.step('sizes', async () => {
    const put = (lines: string) =>
      raw(shop.url, `PUT /api/artwork?name=a.png HTTP/1.1\r\n${head}${lines}\r\n`)
    expect(answers(await put('Content-Length: 99999999999\r\n'))[0]).toBe(401)
    const big = new FormData()
    big.append('0', JSON.stringify(['x'.repeat(6_000_000)]))
    expect(
      await status('/counter/new', { method: 'POST', body: big, headers: { 'Next-Action': '0'.repeat(42) } }),
    ).toBeLessThan(500)
    expect(await status(`/counter/orders/${'9'.repeat(3_000)}`)).toBe(414)
    // Signs written in figures that are none: by one figure too short, and half of a letter.
    for (const cut of ['%3', '%E0%A4']) {
      expect(await status(`/api/artwork/x/${cut}`)).toBe(400)
      expect(await status(`/counter/${cut}`)).toBe(404)
    }
    // Whoever has to sign in first is led there and back by an address that is no longer than the one asked for.
    const way = async (query: string) =>
      (await fetch(`${shop.url}/office/history?words=${query}`, { redirect: 'manual' })).headers.get(
        'location',
      )
    expect(await way('tote')).toMatch(/\/sign-in\?to=%2Foffice%2Fhistory%3Fwords%3Dtote$/)
    expect(await way('%5B'.repeat(4_000))).toMatch(/\/sign-in\?to=%2Foffice%2Fhistory$/)
    expect(answers(await raw(shop.url, `GET /${'a'.repeat(40_000)} HTTP/1.1\r\n${head}\r\n`))).toEqual([431])
  })

  await test.step('names that lead out of their folder', async () => {
    for (const path of [
      ...[
        '/api/artwork/production/..%2f..%2fsecret/x.png',
        '/api/artwork/production/x/..%2f..%2f..%2fshop.db',
      ],
      ...[
        '/api/artwork/..%2f..%2fshop.db/picture',
        '/_next/static/..%2f..%2f..%2fdata%2fsecret',
        '/api/artwork/%00/picture',
      ],
      ...[
        '/_next/image?url=%2f..%2f..%2fetc%2fpasswd&w=64&q=75',
        '/_next/image?url=http%3a%2f%2felsewhere.example&w=64&q=75',
      ],
    ])
      expect(await status(path), path).toBeGreaterThanOrEqual(400)
    for (const path of ['/../../../../etc/passwd', '/..%2f..%2fdata/secret', '/%2e%2e/%2e%2e/etc/passwd'])
      expect(await raw(shop.url, `GET ${path} HTTP/1.1\r\n${head}\r\n`), path).not.toMatch(
        /root:|^HTTP\/1\.1 200/,
      )
    const picture = await sharp({ create: { width: 40, height: 40, channels: 4, background: '#c1234e' } })
      .png()
      .toBuffer()
    const before = readdirSync(shop.data).filter(name => name !== 'files')
    for (const name of [
      '../../../shop.db',
      '..\\..\\x.png',
      '/etc/cron.d/x',
      'a\r\nSet-Cookie: a=b.png',
      '\0.png',
      '"><script>alert(1)</script>.png',
    ]) {
      const answer = await client.fetch(`/api/artwork?name=${encodeURIComponent(name)}`, {
        method: 'PUT',
        body: new Uint8Array(picture),
      })
      expect(answer.headers.getSetCookie().join()).not.toContain('a=b')
      const said = (await answer.json()) as { ok: boolean; name: string; id: string }
      expect(said.ok, name).toBe(true)
      expect(said.name).not.toMatch(/[/\\\p{C}]/u)
      const file = await client.fetch(`/api/artwork/${said.id}/picture`)
      expect(file.headers.get('content-type')).toMatch(/^image\//)
      expect(file.headers.get('x-content-type-options')).toBe('nosniff')
      expect(file.headers.get('content-security-policy')).toContain("default-src 'none'")
    }
    expect(readdirSync(shop.data).filter(name => name !== 'files')).toEqual(before)
    expect(
      existsSync(join(shop.data, 'files', 'incoming'))
        ? readdirSync(join(shop.data, 'files', 'incoming'))
        : [],
    ).toEqual([])
  })

  await test.step('markup and formulas in what is kept', async () => {
    const markup = '</script><script>alert(1)</script><img src=x onerror=alert(2)>'
    const formula = '=HYPERLINK("http://elsewhere.example","look")'
    const sku = `T${Date.now()}`
    const item = {
      sku,
      name: `${formula}${markup}`.slice(0, 119),
      kind: 'packaging',
      unit: 'piece',
      pack: '',
      price: '1',
      supplier: `@SUM(A1)${markup}`,
      leadDays: '3',
    }
    const made = await client.action('app/stockroom/actions.ts', 'newItemAction', item, {
      page: '/stockroom/items/new',
    })
    expect(made.redirect, JSON.stringify(made)).toBeTruthy()
    const customer = {
      formKey: randomUUID(),
      name: markup,
      email: 'a@example.com',
      phone: '',
      address: markup,
      note: formula,
      contact: markup,
    }
    const guest = await client.action('app/counter/actions.ts', 'newCustomerAction', customer, {
      page: '/counter/customers/new',
    })
    expect(guest.redirect, JSON.stringify(guest)).toBeTruthy()
    for (const path of [
      '/stockroom',
      made.redirect ?? '',
      '/counter/customers',
      guest.redirect ?? '',
      '/office/history',
      `/counter/find?q=${encodeURIComponent(markup)}`,
    ]) {
      const { status: said, text } = await client.open(path)
      expect(said, path).toBeLessThan(400)
      // Neither in what is drawn nor in what is handed to scripts.
      expect(text, path).not.toMatch(/<script>alert|<img src=x/)
    }
    const count = await client.action(
      'app/stockroom/counts/actions.ts',
      'startCountAction',
      { name: 'All', kind: '', blind: '', formKey: randomUUID() },
      { page: '/stockroom/counts' },
    )
    const csv = await client.fetch(`${count.redirect}/csv`)
    expect(csv.headers.get('content-type')).toMatch(/^text\/csv/)
    expect(csv.headers.get('content-disposition')).toMatch(/^attachment/)
    const text = await csv.text()
    expect(text).toContain(`${sku},"'=HYPERLINK(`)
  })

  await test.step('and it works on: every page says what it may load, no script of its own words', async () => {
    const page = await client.fetch('/counter')
    expect(page.status).toBe(200)
    expect(page.headers.get('cache-control')).toContain('no-store')
    const policy = page.headers.get('content-security-policy') ?? ''
    expect(/script-src ([^;]*)/.exec(policy)?.[1]).toMatch(/^'self' 'nonce-[^']+' 'strict-dynamic'$/)
    await sleep(50)
    expect(await (await client.fetch('/api/health')).json()).toMatchObject({ ok: true })
    expect(shop.said()).not.toMatch(/alert\(1\)|ERR_UNHANDLED|"msg":"fault"/)
  })
})
