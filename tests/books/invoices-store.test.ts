import { randomUUID } from 'node:crypto'
import { beforeEach, describe, expect, test } from 'vitest'
import { invoiceDocument } from '@/app/offer/paper/invoice-document'
import { layOut } from '@/app/offer/paper/lay-out'
import { usualInvoicing } from '@/lib/books/invoices/invoice'
import { owedByCustomer } from '@/lib/books/invoices/owed'
import {
  changeInvoicing,
  findInvoice,
  invoicesBetween,
  invoicesOf,
  moneyOfOrders,
  moneySums,
  owingOrders,
  paymentSums,
  taxedOrders,
  writeCreditNote,
  writeInvoice,
} from '@/lib/books/invoices/store'
import { taxByPayments } from '@/lib/books/invoices/tax-by-payments'
import { proveBooks } from '@/lib/books/proof/store'
import { accountOf } from '@/lib/orders/payments'
import { agreeOfferTx, bookPayment, getOrder } from '@/lib/orders/store'
import { db, transaction } from '@/lib/server/database'
import { minor } from '@/lib/units/money'
import type { Result } from '@/lib/units/result'
import { instant } from '@/lib/units/time'
import { INES, offer, type Stocked, show, stockUp } from '../orders/books'
import { at, NOW, ZONE } from '../orders/builders'
import { freshDatabase } from '../support/database'

const value = <T>(done: Result<T>): T => {
  if (!done.ok) throw new Error(done.message)
  return done.value
}
const seller = 'Tidewater Print\n4 Rope Walk\nPort Alder'
let stock: Stocked

beforeEach(async () => {
  const close = await freshDatabase()
  await db().shop.create({
    data: { id: 1, name: 'Tidewater Print', currency: 'EUR', timeZone: ZONE, measures: 'metric' },
  })
  value(
    await changeInvoicing(
      { ...usualInvoicing, seller, taxNumber: 'PT 000', prefix: 'R-', first: 301 },
      INES,
      NOW,
    ),
  )
  stock = await stockUp()
  return close
})

/** An agreed order: 300.00 before tax, 369.00 with it. */
async function agreed(): Promise<number> {
  const { number, token } = await offer(stock)
  await transaction(async tx =>
    value(await agreeOfferTx(tx, { token, now: NOW, name: 'Marta', declares: true })),
  )
  return number
}
const invoice = (orderNumber: number, amount: number | null = null, formKey = randomUUID(), when = NOW) =>
  writeInvoice({ orderNumber, amount: amount === null ? null : minor(amount), formKey }, INES, when)

describe('invoices in the books', () => {
  test('say who, to whom, when, what, its price before tax, the rate, the tax and the total', async () => {
    // What an invoice has to say: Council Directive 2006/112/EC, article 226 (1) to (10).
    const number = await agreed()
    await db().customer.updateMany({ data: { address: '9 Chapel Lane' } })
    const { id } = value(await invoice(number))
    const { page } = (await findInvoice(id)) ?? expect.unreachable()
    expect(page).toMatchObject({
      name: 'R-301',
      issuedAt: NOW,
      dueAt: at('2026-05-28', '23:59'),
      seller,
      taxNumber: 'PT 000',
      customer: { name: 'Gull Row Choir', address: '9 Chapel Lane' },
      lines: [{ words: 'Heavy tee, Black: full front', pieces: 8, amount: 30_000 }],
      net: 30_000,
      taxTerms: { rateBp: 2300 },
      tax: 6_900,
      gross: 36_900,
    })
    const paper = JSON.stringify(invoiceDocument({ invoice: page, shopName: 'Tidewater Print', paper: 'a4' }))
    for (const said of [
      'Invoice R-301',
      'Thursday 14 May 2026',
      'PT 000',
      '9 Chapel Lane',
      'VAT 23 %',
      '€69.00',
      '€369.00',
    ])
      expect(paper).toContain(said)
    const pdf = await layOut({ invoice: page, shopName: 'Tidewater Print', paper: 'a4' })
    expect(new TextDecoder().decode(pdf.slice(0, 5))).toBe('%PDF-')
  })

  test('run without gaps, whoever writes at the same moment', async () => {
    const orders = []
    for (let i = 0; i < 12; i++) orders.push(await agreed())
    const key = randomUUID()
    const done = await Promise.all([
      ...orders.map(n => invoice(n, 10_000)),
      ...orders.map(n => invoice(n, 20_000)),
      // One form sent three times, and one that asks too much: neither takes a number.
      invoice(orders[0] as number, 5_000, key),
      invoice(orders[0] as number, 5_000, key),
      invoice(orders[0] as number, 5_000, key),
      invoice(orders[1] as number, 50_000),
    ])
    expect(done.filter(d => !d.ok)).toHaveLength(1)
    const rows = await db().invoice.findMany({ orderBy: { number: 'asc' } })
    expect(rows.map(r => r.number)).toEqual(Array.from({ length: 25 }, (_, i) => 301 + i))
    expect((await proveBooks(new Date(NOW))).flatMap(p => p.faults)).toEqual([])
  })

  test('cannot be written out of turn, changed or taken out, even past the shop’s own code', async () => {
    const number = await agreed()
    const { id } = value(await invoice(number))
    const row = await db().invoice.findUniqueOrThrow({ where: { id } })
    const { id: _, formKey: __, page, ...rest } = row
    await expect(
      db().invoice.create({ data: { ...rest, page: page as never, number: 303 } }),
    ).rejects.toThrow()
    await expect(db().invoice.update({ where: { id }, data: { netMinor: 1 } })).rejects.toThrow()
    await expect(db().invoice.delete({ where: { id } })).rejects.toThrow()
    expect(await changeInvoicing({ ...usualInvoicing, seller, first: 900 }, INES, NOW)).toMatchObject({
      code: 'numbers',
      field: 'first',
    })
  })

  test('are refused until the shop has said who invoices', async () => {
    const number = await agreed()
    await db().shop.update({ where: { id: 1 }, data: { invoicing: usualInvoicing } })
    expect(await invoice(number)).toMatchObject({ ok: false, code: 'seller' })
  })

  test('a deposit, a part, the rest, a credit and a refund: the account, the ages and the proof agree', async () => {
    const number = await agreed()
    const pay = (kind: 'deposit' | 'rest' | 'refund', amount: number, when = NOW) =>
      bookPayment(
        number,
        { kind, amount: minor(amount), means: 'card', note: '', formKey: randomUUID() },
        INES,
        when,
        show,
      )
    value(await invoice(number, 18_450))
    value(await pay('deposit', 18_450))
    value(await pay('rest', 5_000))
    const { id } = value(await invoice(number, null, randomUUID(), instant(NOW + 1000)))
    expect((await findInvoice(id))?.page).toMatchObject({ gross: 18_450, paid: 5_000 })
    expect((await findInvoice(id))?.page.lines.at(-1)).toEqual({
      words: 'Invoiced before: R-301',
      pieces: null,
      amount: -15_000,
    })
    value(await pay('rest', 13_450))
    const credit = {
      invoiceId: id,
      amount: minor(4_000),
      lowers: true,
      why: 'one shirt was torn',
      formKey: randomUUID(),
    }
    const made = value(await writeCreditNote(credit, INES, instant(NOW + 2000)))
    expect(value(await writeCreditNote(credit, INES, instant(NOW + 3000))).id).toBe(made.id)
    const order = (await getOrder(number)) ?? expect.unreachable()
    expect(accountOf(order)).toMatchObject({ owed: 32_900, paid: 36_900, due: -4_000 })
    expect(await pay('rest', 1)).toMatchObject({ ok: false, code: 'settled' })
    value(await pay('refund', 4_000, instant(NOW + 4000)))
    const then = instant(NOW + 5000)
    expect(owedByCustomer(await owingOrders(then), then, ZONE)).toEqual([])
    expect(await moneySums(then)).toEqual({ invoiced: 32_900, paid: 32_900 })
    // As it stood before the credit note was paid back.
    const before = instant(NOW + 3500)
    expect(owedByCustomer(await owingOrders(before), before, ZONE)).toMatchObject([{ open: 0, ahead: 4_000 }])
    expect((await invoicesOf(order.id)).map(v => v.name)).toEqual(['R-301', 'R-302', 'C1'])
    expect(await invoicesBetween(NOW, then)).toHaveLength(3)
    expect((await proveBooks(new Date(then))).flatMap(p => p.faults)).toEqual([])
    // Tax by payments: 69.00 less 7.48 of what was given up, in 329.00 that stayed here; the refund of what was beyond the price has none in it.
    const taxed = async (a: number, b: number) => taxByPayments(await taxedOrders(instant(a), instant(b)))
    const rows = [{ rateBp: 2_300, orders: 1, net: 26_748, tax: 6_152, gross: 32_900 }]
    expect(await taxed(NOW, then)).toEqual({ rows, beyond: 0, moved: 32_900 })
    expect(await taxed(NOW, before)).toEqual({ rows, beyond: 4_000, moved: 36_900 })
    expect(await taxed(before, then)).toEqual({ rows: [], beyond: -4_000, moved: -4_000 })
    const [card] = await paymentSums(NOW, then)
    expect(card).toMatchObject({ received: 36_900, givenBack: 4_000 })
    await db().order.update({ where: { number }, data: { state: 'handedOver', handedOverAt: new Date(NOW) } })
    expect(await moneyOfOrders(NOW, then)).toEqual({
      tax: 6_900,
      credited: 4_000,
      paid: 32_900,
      due: 0,
      back: 0,
    })
  })
})
