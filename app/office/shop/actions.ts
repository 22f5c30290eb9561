'use server'
import { revalidatePath } from 'next/cache'
import { z } from 'zod'
import { readForm } from '@/app/forms'
import type { FormAnswer } from '@/app/parts/form-context'
import { dropMailServer, mailServer, SECURITIES, saveMailServer, sendMail } from '@/lib/server/mail'
import { personWith } from '@/lib/server/session'
import { changeShop } from '@/lib/shop/changes/store'
import { mailServerInput, shopInput } from '@/lib/shop/shop-input'
import { shop } from '@/lib/shop/store'
import { refuse } from '@/lib/units/result'
import { instantOf } from '@/lib/units/time'

const refresh = () => revalidatePath('/', 'layout')

/** Changes name, measures, paper and address of the shop. */
export async function changeShopAction(_before: FormAnswer | null, form: FormData): Promise<FormAnswer> {
  const person = await personWith('shop.change')
  if (!person.ok) return person
  const read = readForm(shopInput, form)
  if (!read.ok) return read.answer
  const done = await changeShop(read.value, person.value, instantOf(new Date()))
  if (!done.ok) return done
  refresh()
  return { ok: true, message: 'Saved.' }
}

/** Sets the shop's mail server. */
export async function mailServerAction(_before: FormAnswer | null, form: FormData): Promise<FormAnswer> {
  const person = await personWith('shop.change')
  if (!person.ok) return person
  const read = readForm(mailServerInput(SECURITIES), form)
  if (!read.ok) return read.answer
  const done = await saveMailServer(read.value, person.value, new Date())
  if (!done.ok) return done
  refresh()
  return { ok: true, message: 'Saved. Send a mail to yourself to see that it works.' }
}

/** Sends a mail to whoever asks, to see that the server works. */
export async function testMailAction(_before: FormAnswer | null, form: FormData): Promise<FormAnswer> {
  const person = await personWith('shop.change')
  if (!person.ok) return person
  const read = readForm(
    z.object({ to: z.email('This is not an e-mail address: type it like name@example.com.') }),
    form,
  )
  if (!read.ok) return read.answer
  const [server, { name }] = await Promise.all([mailServer(), shop()])
  if (!server) return refuse('no-mail-server', 'No mail server is set: set one first.')
  const sent = await sendMail(server, {
    fromName: name,
    to: read.value.to,
    subject: `A mail from ${name}`,
    text: `Mails from ${name} arrive. This one was sent by ${person.value.name} to see that they do.`,
  })
  return sent.ok
    ? { ok: true, message: `The mail server took it: look whether it arrives at ${read.value.to}.` }
    : sent
}

/** Takes the mail server away. */
export async function dropMailServerAction(_before: FormAnswer | null, _form: FormData): Promise<FormAnswer> {
  const person = await personWith('shop.change')
  if (!person.ok) return person
  await dropMailServer(person.value, new Date())
  refresh()
  return { ok: true, message: 'Taken away: offers are ready to copy instead.' }
}
