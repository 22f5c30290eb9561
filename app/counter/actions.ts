'use server'
import { revalidatePath } from 'next/cache'
import { redirect } from 'next/navigation'
import { isBoundNumber, isBoundText, readForm, strayed } from '@/app/forms'
import type { FormAnswer } from '@/app/parts/form-context'
import { customerDifferences, type Difference, orderDifferences, orderWords } from '@/lib/orders/difference'
import { typedWords } from '@/lib/orders/enquiry'
import {
  editCustomerInput,
  editOrderInput,
  handOverInput,
  type InputContext,
  newCustomerInput,
  newOrderInput,
  offerInput,
  offerMailInput,
  paymentInput,
  renewInput,
  repeatInput,
  withdrawInput,
} from '@/lib/orders/input'
import { sendOffer } from '@/lib/orders/mail/store'
import {
  addCustomer,
  addOrder,
  bookPayment,
  editCustomer,
  editOrder,
  getArtworkNames,
  getCustomer,
  getOrder,
  handOver,
  makeOffer,
  renewOffer,
  repeatOrder,
  takeOfferBack,
} from '@/lib/orders/store'
import { withdrawAndReplan } from '@/lib/planning/store'
import { mailServer, sendMail } from '@/lib/server/mail'
import { mayDo } from '@/lib/server/rights'
import { personWith } from '@/lib/server/session'
import { type ShopFacts, shop, styles } from '@/lib/shop/store'
import { formatMoney, minor } from '@/lib/units/money'
import { refuse } from '@/lib/units/result'
import { dayBounds, formatLongDay, instant, instantOf } from '@/lib/units/time'
import { offerPdf, pdfName } from '../offer/paper/offer-pdf'
import { choicesOf, comparisonOf, termsOf } from './comparison'
import { offerAddress } from './offer-address'

/** An answer that also shows in what the saved and the typed version differ. */
export type SaveAnswer = FormAnswer & { differences?: Difference[]; version?: number }

const now = () => instantOf(new Date())
const context = (facts: ShopFacts): InputContext => ({
  measures: facts.measures,
  currency: facts.currency,
  zone: facts.timeZone,
  now: now(),
})
// Other rooms show orders too: art desk, floor, office.
const refresh = () => revalidatePath('/', 'layout')

/** Writes a new enquiry down. */
export async function newOrderAction(_before: FormAnswer | null, form: FormData): Promise<SaveAnswer> {
  const person = await personWith('orders.change')
  if (!person.ok) return person
  const read = readForm(newOrderInput(context(await shop())), form)
  if (!read.ok) return read.answer
  const saved = await addOrder(read.value, person.value, now())
  if (!saved.ok) return saved
  refresh()
  redirect(`/counter/orders/${saved.value.number}`)
}

/** Changes an enquiry; where somebody saved before, shows in what the two differ. */
export async function editOrderAction(
  number: number,
  _before: FormAnswer | null,
  form: FormData,
): Promise<SaveAnswer> {
  const person = await personWith('orders.change')
  if (!person.ok) return person
  if (!isBoundNumber(number)) return strayed()
  const facts = await shop()
  const read = readForm(editOrderInput(context(facts)), form)
  if (!read.ok) return read.answer
  const saved = await editOrder(number, read.value, person.value, now())
  if (!saved.ok) {
    if (!('saved' in saved)) return saved
    const { customer } = read.value
    const typed = typedWords(
      read.value,
      {
        customer: 'typed' in customer ? customer.typed.name : ((await getCustomer(customer.id))?.name ?? ''),
        styles: await styles(),
        artworks: await getArtworkNames(read.value),
      },
      facts.measures,
      facts.timeZone,
    )
    const differences = orderDifferences(orderWords(saved.saved, facts.measures, facts.timeZone), typed)
    return { ok: false, message: saved.message, differences, version: saved.saved.version }
  }
  refresh()
  redirect(`/counter/orders/${number}`)
}

/** Writes a customer down. */
export async function newCustomerAction(_before: FormAnswer | null, form: FormData): Promise<SaveAnswer> {
  const person = await personWith('orders.change')
  if (!person.ok) return person
  const read = readForm(newCustomerInput, form)
  if (!read.ok) return read.answer
  const { formKey: _, ...input } = read.value
  const customer = await addCustomer(input, person.value, now())
  refresh()
  redirect(`/counter/customers/${customer.id}`)
}

/** Changes a customer. */
export async function editCustomerAction(
  id: string,
  _before: FormAnswer | null,
  form: FormData,
): Promise<SaveAnswer> {
  const person = await personWith('orders.change')
  if (!person.ok) return person
  if (!isBoundText(id)) return strayed()
  const read = readForm(editCustomerInput, form)
  if (!read.ok) return read.answer
  const saved = await editCustomer(id, read.value, person.value, now())
  if (!saved.ok) {
    if (!('saved' in saved)) return saved
    return {
      ok: false,
      message: saved.message,
      differences: customerDifferences(saved.saved, read.value),
      version: saved.saved.version,
    }
  }
  refresh()
  redirect(`/counter/customers/${id}`)
}

/** Books money taken or given back. */
export async function paymentAction(
  number: number,
  _before: FormAnswer | null,
  form: FormData,
): Promise<FormAnswer> {
  const person = await personWith('orders.change')
  if (!person.ok) return person
  if (!isBoundNumber(number)) return strayed()
  const facts = await shop()
  const read = readForm(paymentInput(facts), form)
  if (!read.ok) return read.answer
  const show = (amount: Parameters<typeof formatMoney>[0]) => formatMoney(amount, facts.currency)
  const booked = await bookPayment(number, read.value, person.value, now(), show)
  if (!booked.ok) return booked
  refresh()
  const { amount, again } = booked.value
  const what = amount < 0 ? `${show(minor(-amount))} given back` : `${show(amount)} taken`
  return {
    ok: true,
    message: again ? `${what} already: this form was sent before.` : `${what} and in the books.`,
  }
}

/** Hands a ready order over. */
export async function handOverAction(
  number: number,
  _before: FormAnswer | null,
  form: FormData,
): Promise<FormAnswer> {
  const person = await personWith('orders.change')
  if (!person.ok) return person
  if (!isBoundNumber(number)) return strayed()
  const read = readForm(handOverInput, form)
  if (!read.ok) return read.answer
  const moved = await handOver(number, read.value.version, person.value, now())
  if (!moved.ok) return moved
  refresh()
  return { ok: true, message: `Order ${number} is handed over.` }
}

/** Ends an order that will not be made. */
export async function withdrawAction(
  number: number,
  _before: FormAnswer | null,
  form: FormData,
): Promise<FormAnswer> {
  const person = await personWith('orders.change')
  if (!person.ok) return person
  if (!isBoundNumber(number)) return strayed()
  const read = readForm(withdrawInput, form)
  if (!read.ok) return read.answer
  const moved = await withdrawAndReplan(number, { ...read.value, by: person.value, now: now() })
  if (!moved.ok) return moved
  refresh()
  return { ok: true, message: `Order ${number} is withdrawn.` }
}

/** Makes an offer of the chosen method, at the prices as typed or computed from what holds now. */
export async function makeOfferAction(
  number: number,
  _before: FormAnswer | null,
  form: FormData,
): Promise<FormAnswer> {
  const person = await personWith('orders.change')
  if (!person.ok) return person
  if (!isBoundNumber(number)) return strayed()
  const facts = await shop()
  const read = readForm(offerInput(context(facts)), form)
  if (!read.ok) return read.answer
  const input = read.value
  const order = await getOrder(number)
  if (!order) return { ok: false, message: `There is no order ${number}: look it up by its customer.` }
  const found = await comparisonOf(order, now(), choicesOf(input, order, mayDo(person.value, 'books.see')))
  if (!found.ok) return found
  const row = found.value.rows.find(r => r.key === (input.way || input.method))
  if (!row?.can)
    return {
      ok: false,
      message: row?.reasons[0]?.message ?? 'This method is not known here: choose another.',
    }
  const terms = termsOf(row, found.value, input, facts.timeZone)
  const made = await makeOffer(number, input.version, terms, facts, person.value, now())
  if (!made.ok) return made
  refresh()
  redirect(`/counter/orders/${number}/offer`)
}

/** Writes an order down again as a new enquiry, and shows what it costs today. */
export async function repeatAction(
  number: number,
  _before: FormAnswer | null,
  form: FormData,
): Promise<FormAnswer> {
  const person = await personWith('orders.change')
  if (!person.ok) return person
  if (!isBoundNumber(number)) return strayed()
  const read = readForm(repeatInput, form)
  if (!read.ok) return read.answer
  const made = await repeatOrder(number, read.value.formKey, person.value, now())
  if (!made.ok) return made
  refresh()
  const { way, left } = made.value
  // Its note says what is missing: that is read before it is priced.
  if (left.length > 0) redirect(`/counter/orders/${made.value.number}`)
  redirect(`/counter/orders/${made.value.number}/methods${way ? `#way-${way.replace(/[^\w-]/g, '-')}` : ''}`)
}

/** Takes the open offer back, so that the order can be changed. */
export async function takeBackAction(
  number: number,
  _before: FormAnswer | null,
  _form: FormData,
): Promise<FormAnswer> {
  const person = await personWith('orders.change')
  if (!person.ok) return person
  if (!isBoundNumber(number)) return strayed()
  const taken = await takeOfferBack(number, person.value, now())
  if (!taken.ok) return taken
  refresh()
  redirect(`/counter/orders/${number}/edit`)
}

/** Offers the same again with a later last day. */
export async function renewOfferAction(
  number: number,
  _before: FormAnswer | null,
  form: FormData,
): Promise<FormAnswer> {
  const person = await personWith('orders.change')
  if (!person.ok) return person
  if (!isBoundNumber(number)) return strayed()
  const facts = await shop()
  const read = readForm(renewInput(context(facts)), form)
  if (!read.ok) return read.answer
  const { version, validUntil } = read.value
  const last = instant(dayBounds(validUntil, facts.timeZone).to - 1)
  const made = await renewOffer(number, { version, validUntil: last }, person.value, now())
  if (!made.ok) return made
  refresh()
  return {
    ok: true,
    message: `Offered again as version ${made.value.version}, until ${formatLongDay(last, facts.timeZone)}: send its new address.`,
  }
}

/** Sends an offer by the shop's own mail server, its PDF with it. */
export async function sendOfferAction(
  number: number,
  _before: FormAnswer | null,
  form: FormData,
): Promise<FormAnswer> {
  const person = await personWith('orders.change')
  if (!person.ok) return person
  if (!isBoundNumber(number)) return strayed()
  const read = readForm(offerMailInput, form)
  if (!read.ok) return read.answer
  const { to, subject, text, offer: version } = read.value
  const [server, facts, order] = await Promise.all([mailServer(), shop(), getOrder(number)])
  if (!server)
    return refuse('no-mail-server', 'No mail server is set any more: copy the text, and send it yourself.')
  const offer = order?.offers.find(o => o.version === version)
  if (!order || !offer)
    return refuse('unknown', `There is no such offer of order ${number}: look it up again.`)
  const send = async () => {
    const address = await offerAddress(offer.token)
    const pdf = await offerPdf(order, offer, { paper: facts.paper, address, now: now() })
    if (!pdf.ok) return pdf
    return sendMail(server, {
      fromName: facts.name,
      to,
      subject,
      text,
      attachments: [{ filename: pdfName(order, offer), content: pdf.value, contentType: 'application/pdf' }],
    })
  }
  const sent = await sendOffer(number, read.value, send, person.value, now())
  refresh()
  if (!sent.ok) return sent
  return {
    ok: true,
    message: sent.value.again ? `It was sent to ${to} already.` : `Sent to ${to}, with the PDF.`,
  }
}
