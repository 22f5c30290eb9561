import { randomUUID } from 'node:crypto'
import { beforeEach, describe, expect, test } from 'vitest'
import { keepFilmSettings, recordClearance } from '@/lib/artwork/store'
import { asksOf } from '@/lib/orders/asks'
import { listInput } from '@/lib/orders/input'
import type { OrderView } from '@/lib/orders/order'
import {
  addCustomer,
  addOrder,
  agreeOfferTx,
  askChange,
  bookPayment,
  declineOffer,
  editCustomer,
  editOrder,
  findOffer,
  getOrder,
  handOver,
  listCustomers,
  listOrders,
  makeOffer,
  moveOrderTx,
  orderHistory,
  ordersAsking,
  takeOfferBack,
  withdrawOrderTx,
} from '@/lib/orders/store'
import { db, transaction } from '@/lib/server/database'
import { promiseForOrderTx } from '@/lib/stock/store'
import { minor } from '@/lib/units/money'
import { instant } from '@/lib/units/time'
import { freshDatabase } from '../support/database'
import { anInput, enquire, INES, offer, SHOP_FACTS, type Stocked, show, stockUp, termsFor } from './books'
import { at, NOW } from './builders'

let s: Stocked
beforeEach(async () => {
  const close = await freshDatabase()
  s = await stockUp()
  return close
})

const read = async (number: number) => (await getOrder(number)) as OrderView
const agree = (token: string, declares = true, now = NOW, name = 'Marta Lopes') =>
  transaction(tx => agreeOfferTx(tx, { token, name, declares, now }))
const pay = (number: number, amount: number, kind: 'deposit' | 'rest' | 'refund', formKey = randomUUID()) =>
  bookPayment(number, { kind, amount: minor(amount), means: 'card', note: 'x', formKey }, INES, NOW, show)
const move = (number: number, ...states: Parameters<typeof moveOrderTx>[2][]) =>
  transaction(async tx => {
    for (const to of states) {
      const moved = await moveOrderTx(tx, (await read(number)).id, to, { by: INES, now: NOW })
      if (!moved.ok) return moved
    }
    return { ok: true as const }
  })

describe('writing an enquiry down', () => {
  test('keeps customer, sizes in order, print and promise, and numbers orders on', async () => {
    const first = await enquire(s)
    const second = await enquire(s)
    expect([first.number, second.number]).toEqual([1001, 1002])
    expect(first).toMatchObject({
      state: 'enquiry',
      customer: { name: 'Gull Row Choir' },
      promiseAt: at('2026-05-22', '17:00'),
      promiseHard: true,
      version: 1,
    })
    expect(first.lines[0]?.sizes.map(z => [z.size, z.quantity])).toEqual([
      ['S', 4],
      ['2XL', 4],
    ])
    expect(first.lines[0]?.prints[0]).toMatchObject({
      placement: 'full-front',
      widthMm: 305,
      artwork: { name: 'heron.png', rights: { basis: null, takenBack: false } },
    })
  })
  test('the same form sent twice, even at once, makes one order', async () => {
    const input = anInput(s)
    const made = await Promise.all([1, 2, 3].map(() => addOrder(input, INES, NOW)))
    expect(new Set(made.map(m => m.ok && m.value.number))).toEqual(new Set([1001]))
    expect(await db().order.count()).toBe(1)
  })
  test('a new customer is written down with it, names with markup as they are', async () => {
    const typed = {
      name: '<i>Rui</i>',
      contact: '',
      email: '',
      phone: '',
      address: '',
      note: '',
      taxExempt: false,
    }
    expect((await enquire(s, { customer: { typed } })).customer.name).toBe('<i>Rui</i>')
  })
  test.each([
    ['a customer who is not there', { customer: { id: randomUUID() } }, 'customerId'],
    [
      'a blank that is not there',
      { lines: [{ key: '0', styleId: randomUUID(), colour: 'Black', sizes: [], prints: [] }] },
      'lines.0.style',
    ],
  ] as const)('%s is refused and nothing is half written', async (_, more, field) => {
    const typed = { name: 'Rui', contact: '', email: '', phone: '', address: '', note: '', taxExempt: false }
    const input = anInput(
      s,
      'lines' in more
        ? { customer: { typed }, lines: more.lines.map(l => ({ ...l, sizes: [], prints: [] })) }
        : more,
    )
    expect(await addOrder(input, INES, NOW)).toMatchObject({ ok: false, field })
    expect(await db().order.count()).toBe(0)
    expect(await db().customer.count()).toBe(1)
    expect(await db().counter.count()).toBe(0)
  })
  test('artwork that is not there is refused at its print', async () => {
    const input = anInput(s)
    const print = input.lines[0]?.prints[0]
    if (print) print.artworkId = randomUUID()
    expect(await addOrder(input, INES, NOW)).toMatchObject({ ok: false, field: 'lines.0.prints.0.artwork' })
  })
})

describe('two people at one order', () => {
  test('the second is refused with what the first saved, and wins by saving again', async () => {
    const order = await enquire(s)
    const edit = (title: string, version: number) =>
      editOrder(order.number, { ...anInput(s, { title }), version }, INES, NOW)
    expect((await edit('from Ana', 1)).ok).toBe(true)
    const second = await edit('from Rui', 1)
    expect(second).toMatchObject({ ok: false, code: 'conflict', saved: { title: 'from Ana', version: 2 } })
    expect((await read(order.number)).title).toBe('from Ana')
    expect((await edit('from Rui', 2)).ok).toBe(true)
    expect((await read(order.number)).title).toBe('from Rui')
  })
  test('and the same with a customer', async () => {
    const typed = { name: 'Rui', contact: '', email: '', phone: '', address: '', note: '', taxExempt: false }
    const { id } = await addCustomer(typed, INES, NOW)
    expect((await editCustomer(id, { ...typed, phone: '1', version: 1 }, INES, NOW)).ok).toBe(true)
    expect(await editCustomer(id, { ...typed, phone: '2', version: 1 }, INES, NOW)).toMatchObject({
      code: 'conflict',
      saved: { phone: '1' },
    })
  })
  test('where a print sits and its widths by garment size are kept; how its films are made outlives an edit', async () => {
    const moved = (
      bySize: { from: 'S'; to: 'S'; widthMm: number }[],
      placement: 'full-front' | 'full-back',
    ) => {
      const [line] = anInput(s).lines
      return [{ ...line!, prints: line!.prints.map(p => ({ ...p, placement, offsetMm: -20, bySize })) }]
    }
    const rules = [{ from: 'S' as const, to: 'S' as const, widthMm: 250 }]
    const order = await enquire(s, { lines: moved(rules, 'full-front') })
    const [print] = order.lines[0]?.prints ?? []
    expect(print).toMatchObject({ offsetMm: -20, bySize: rules })
    const films = { mesh: 230, chokeMm: 0.4 }
    expect((await keepFilmSettings(print!.id, films, null, INES)).ok).toBe(true)
    const edit = (version: number, lines: ReturnType<typeof moved>) =>
      editOrder(order.number, { ...anInput(s, { lines }), version }, INES, NOW)
    expect((await edit(1, moved([], 'full-front'))).ok).toBe(true)
    const [row] = await db().print.findMany()
    expect(row).toMatchObject({ offsetMm: -20, bySize: null, layers: films })
    // Somewhere else it is another print.
    expect((await edit(2, moved([], 'full-back'))).ok).toBe(true)
    expect((await db().print.findMany())[0]?.layers).toBeNull()
  })
  test('an offered order is not edited, and says what to do', async () => {
    const { number } = await offer(s)
    const no = await editOrder(number, { ...anInput(s), version: 2 }, INES, NOW)
    expect(no).toMatchObject({ ok: false, message: expect.stringContaining('take the offer back first') })
  })
})

describe('offers', () => {
  test('have an address of at least 128 bits, all different', async () => {
    const tokens = new Set<string>()
    for (let i = 0; i < 20; i++) tokens.add((await offer(s)).token)
    expect(tokens.size).toBe(20)
    for (const t of tokens) expect(Buffer.from(t, 'base64url').length * 8).toBeGreaterThanOrEqual(128)
  })
  test('a newer one ends the older; only the newer can be agreed', async () => {
    const one = await offer(s)
    const order = await read(one.number)
    const two = await makeOffer(order.number, order.version, termsFor(order), SHOP_FACTS, INES, NOW)
    expect(two).toMatchObject({ ok: true, value: { version: 2 } })
    expect(await agree(one.token)).toMatchObject({ ok: false, code: 'ended' })
    expect((await agree(two.ok ? two.value.token : '')).ok).toBe(true)
  })
  test('are refused on figures of an order that has changed since', async () => {
    const order = await enquire(s)
    expect(await makeOffer(order.number, 7, termsFor(order), SHOP_FACTS, INES, NOW)).toMatchObject({
      code: 'conflict',
    })
    expect((await read(order.number)).offers).toEqual([])
  })
  test('keep their words while customer, blank and shop are renamed', async () => {
    const { number, token } = await offer(s)
    await db().customer.update({ where: { id: s.customerId }, data: { name: 'Renamed' } })
    await db().blankStyle.update({ where: { id: s.styleId }, data: { name: 'Renamed' } })
    const found = await findOffer(token)
    expect(found?.offer.snapshot.page.customer.name).toBe('Gull Row Choir')
    expect(found?.offer.snapshot.page.lines[0]?.styleName).toBe('Heavy tee')
    expect((await read(number)).customer.name).toBe('Renamed')
  })
  test('an unknown, short or strange address finds nothing', async () => {
    for (const t of ['', 'x', '../..', "' OR 1=1 --", 'A'.repeat(32), 'A'.repeat(5000)])
      expect(await findOffer(t)).toBeNull()
  })
  test('taken back, the order is an enquiry again and the address is closed', async () => {
    const { number, token } = await offer(s)
    expect((await takeOfferBack(number, INES, NOW)).ok).toBe(true)
    expect((await read(number)).state).toBe('enquiry')
    expect(await agree(token)).toMatchObject({ code: 'ended' })
  })
})

describe('the customer answers', () => {
  test('yes: order, offer, rights and history are saved together', async () => {
    const { number, token } = await offer(s)
    const agreed = await agree(token)
    expect(agreed).toMatchObject({
      ok: true,
      value: { agreement: { blanks: [{ quantity: 4 }, { quantity: 4 }] } },
    })
    const order = await read(number)
    expect(order).toMatchObject({
      state: 'agreed',
      agreedBy: 'Marta Lopes',
      agreedAt: NOW,
      net: 30_000,
      tax: 6_900,
      gross: 36_900,
      deposit: 18_450,
      agreed: { page: { number, version: 1 } },
    })
    expect(order.lines[0]?.prints[0]?.artwork?.rights).toMatchObject({
      basis: 'customerDeclaration',
      byName: 'Marta Lopes',
    })
    expect((await orderHistory(order.id))[0]).toMatchObject({
      what: `Marta Lopes agreed to offer ${number}-1`,
      byName: 'Marta Lopes',
    })
  })
  test('not without clearance of the artwork, and nothing is written', async () => {
    const { number, token } = await offer(s)
    expect(await agree(token, false)).toMatchObject({ ok: false, code: 'uncleared' })
    expect(await read(number)).toMatchObject({ state: 'offered', agreedAt: null, agreed: null })
    await recordClearance(
      { artwork: s.artworkId, basis: 'ownWork', evidence: 'drawn here' },
      INES,
      new Date(NOW),
    )
    expect((await agree(token, false)).ok).toBe(true)
  })
  test('a basis that the shop took back stops it, whatever the customer ticks', async () => {
    const { token } = await offer(s)
    await recordClearance(
      { artwork: s.artworkId, basis: 'licence', evidence: 'letter' },
      INES,
      new Date(NOW - 2),
    )
    await recordClearance(
      { artwork: s.artworkId, basis: 'withdrawn', evidence: 'a team’s sign' },
      INES,
      new Date(NOW - 1),
    )
    expect(await agree(token, true)).toMatchObject({ ok: false, code: 'takenBack' })
  })
  test('twice at once from two browsers: one is agreed, the other is told', async () => {
    const { number, token } = await offer(s)
    const both = await Promise.all([agree(token, true, NOW, 'Marta'), agree(token, true, NOW, 'Rui')])
    expect(both.map(b => b.ok).sort()).toEqual([false, true])
    expect(both.find(b => !b.ok)).toMatchObject({ code: 'agreed' })
    expect(await db().history.count({ where: { what: { contains: 'agreed to offer' } } })).toBe(1)
    expect((await read(number)).offers.filter(o => o.agreedAt)).toHaveLength(1)
  })
  test('what was agreed stays word for word, by the name that agreed: the database itself refuses an edit', async () => {
    const { number, token } = await offer(s)
    await agree(token, true, NOW, 'Marta')
    const before = (await read(number)).offers[0]
    const run = (sql: string) => db().$executeRawUnsafe(`${sql} WHERE "token" = '${token}'`)
    await expect(run(`UPDATE "Offer" SET "snapshot" = '{}'`)).rejects.toThrow(/never edited/)
    await expect(run(`UPDATE "Offer" SET "grossMinor" = 1`)).rejects.toThrow(/never edited/)
    await expect(run(`UPDATE "Offer" SET "agreedName" = 'Rui'`)).rejects.toThrow(/agreed once/)
    await expect(run(`DELETE FROM "Offer"`)).rejects.toThrow(/never removed/)
    expect((await read(number)).offers[0]).toEqual(before)
  })
  test('too late: refused, and nothing changes', async () => {
    const { number, token } = await offer(s)
    expect(await agree(token, true, at('2026-05-29'))).toMatchObject({ ok: false, code: 'expired' })
    expect((await read(number)).state).toBe('offered')
  })
  test('a failure after the agreement takes all of it back', async () => {
    const { number, token } = await offer(s)
    const failing = transaction(async tx => {
      await agreeOfferTx(tx, { token, name: 'Marta', declares: true, now: NOW })
      throw new Error('the plan could not be made')
    })
    await expect(failing).rejects.toThrow('the plan')
    expect(await read(number)).toMatchObject({ state: 'offered', agreedAt: null })
    expect(await db().clearance.count()).toBe(0)
  })
  test('something else: the enquiry carries the wish until the next offer', async () => {
    const { number, token } = await offer(s)
    expect((await askChange({ token, name: 'Marta', text: 'In navy <b>please</b>', now: NOW })).ok).toBe(true)
    expect(await read(number)).toMatchObject({ state: 'enquiry', asked: 'In navy <b>please</b>' })
    expect(await agree(token)).toMatchObject({ code: 'ended' })
    const order = await read(number)
    await makeOffer(number, order.version, termsFor(order), SHOP_FACTS, INES, NOW)
    expect(await read(number)).toMatchObject({ state: 'offered', asked: '' })
  })
  test('no: the order ends with the reason, and cannot be agreed any more', async () => {
    const { number, token } = await offer(s)
    expect((await declineOffer({ token, name: 'Marta', why: 'found it cheaper', now: NOW })).ok).toBe(true)
    expect(await read(number)).toMatchObject({
      state: 'declined',
      endedWhy: 'found it cheaper',
      endedAt: NOW,
    })
    expect(await agree(token)).toMatchObject({ code: 'declined' })
  })
})

describe('money', () => {
  test('the same form sent twice books once', async () => {
    const { number, token } = await offer(s)
    await agree(token)
    const key = randomUUID()
    const both = await Promise.all([pay(number, 18_450, 'deposit', key), pay(number, 18_450, 'deposit', key)])
    expect(both.every(b => b.ok)).toBe(true)
    expect((await read(number)).payments).toHaveLength(1)
  })
  test('two forms at once cannot take more than is due', async () => {
    const { number, token } = await offer(s)
    await agree(token)
    const both = await Promise.all([pay(number, 36_900, 'rest'), pay(number, 36_900, 'rest')])
    expect(both.map(b => b.ok).sort()).toEqual([false, true])
  })
  test('a refund is a negative row; the rows add up', async () => {
    const { number, token } = await offer(s)
    await agree(token)
    await pay(number, 18_450, 'deposit')
    await pay(number, 450, 'refund')
    expect((await read(number)).payments.map(p => p.amount)).toEqual([18_450, -450])
    expect(await pay(number, 18_001, 'refund')).toMatchObject({ code: 'overRefund' })
  })
  test('on an order that is not there is refused', async () => {
    expect(await pay(9, 1, 'rest')).toMatchObject({ code: 'unknown' })
  })
})

describe('from agreed to handed over', () => {
  test('each move has its date, and a history line with before and after', async () => {
    const { number, token } = await offer(s)
    await agree(token)
    expect((await move(number, 'making', 'ready')).ok).toBe(true)
    const ready = await read(number)
    expect(ready.readyAt).toBe(NOW)
    expect((await handOver(number, ready.version, INES, instant(NOW + 1))).ok).toBe(true)
    const gone = await read(number)
    expect(gone).toMatchObject({ state: 'handedOver', handedOverAt: NOW + 1 })
    const [last] = await orderHistory(gone.id)
    expect(last).toMatchObject({ before: { state: 'ready' }, after: { state: 'handedOver' } })
  })
  test('handing over what somebody has just sent back to making is refused', async () => {
    const { number, token } = await offer(s)
    await agree(token)
    await move(number, 'making', 'ready')
    const { version } = await read(number)
    await move(number, 'making')
    expect(await handOver(number, version, INES, NOW)).toMatchObject({ ok: false })
    await move(number, 'ready')
    expect(await handOver(number, version, INES, NOW)).toMatchObject({ ok: false, code: 'conflict' })
  })
  test('withdrawn, its blanks are free again, and work that has begun is not withdrawn', async () => {
    const note = { by: INES, now: NOW, why: 'changed their mind', version: 3 }
    const { number, token } = await offer(s)
    await agree(token)
    const { id, lines } = await read(number)
    await transaction(tx =>
      promiseForOrderTx(
        tx,
        id,
        (lines[0]?.sizes ?? []).map(({ itemId, quantity }) => ({ itemId, quantity })),
      ),
    )
    expect(await db().stockPromise.count()).toBe(2)
    expect((await transaction(tx => withdrawOrderTx(tx, number, note))).ok).toBe(true)
    expect(await db().stockPromise.count()).toBe(0)
    expect(await read(number)).toMatchObject({
      state: 'withdrawn',
      endedWhy: 'changed their mind',
      gross: 36_900,
    })
    const begun = await offer(s)
    await agree(begun.token)
    await move(begun.number, 'making')
    expect(await transaction(tx => withdrawOrderTx(tx, begun.number, { ...note, version: 4 }))).toMatchObject(
      {
        ok: false,
        code: 'state',
      },
    )
  })
  test('a move outside the table is refused and writes nothing', async () => {
    const { number } = await enquire(s)
    expect(await move(number, 'ready')).toMatchObject({ ok: false, code: 'state' })
    expect(await read(number)).toMatchObject({ state: 'enquiry', version: 1 })
  })
})

describe('lists', () => {
  test('find by number, customer and title; sort and page; count', async () => {
    for (let i = 0; i < 52; i++) await enquire(s, { title: i === 7 ? 'Lantern night' : '' })
    const list = (more: Record<string, unknown>) => listOrders(listInput.parse({ sort: 'number', ...more }))
    expect(await list({})).toMatchObject({ total: 52 })
    expect((await list({ page: '2' })).rows.map(r => r.number)).toEqual([1051, 1052])
    expect((await list({ down: '1' })).rows[0]?.number).toBe(1052)
    expect((await list({ find: '1008' })).rows.map(r => r.title)).toEqual(['Lantern night'])
    expect((await list({ find: 'lantern' })).rows).toHaveLength(1)
    expect((await list({ find: 'gull row' })).total).toBe(52)
    expect((await list({ state: 'ready' })).rows).toEqual([])
    expect((await listCustomers('choir')).rows[0]).toMatchObject({ orders: 52 })
  })
  test('what asks something: open orders, and ended ones whose money does not come out even', async () => {
    const waiting = await enquire(s)
    const paid = await offer(s)
    await agree(paid.token)
    await move(paid.number, 'making', 'ready', 'handedOver')
    await pay(paid.number, 36_900, 'rest')
    const unpaid = await offer(s)
    await agree(unpaid.token)
    await move(unpaid.number, 'making', 'ready', 'handedOver')
    const ended = await offer(s)
    await agree(ended.token)
    await pay(ended.number, 18_450, 'deposit')
    await move(ended.number, 'withdrawn')
    const asks = asksOf(await ordersAsking(), NOW)
    expect(asks.map(a => [a.kind, a.order.number])).toEqual([
      ['answer', waiting.number],
      ['rest', unpaid.number],
      ['giveBack', ended.number],
    ])
  })
})
