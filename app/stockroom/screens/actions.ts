'use server'
import { revalidatePath } from 'next/cache'
import { z } from 'zod'
import { isBoundNumber, isBoundText, readForm, strayed } from '@/app/forms'
import type { FormAnswer } from '@/app/parts/form-context'
import { designOf } from '@/lib/costing/order'
import { dropScreens, keepScreens } from '@/lib/methods/store'
import { personWith } from '@/lib/server/session'
import { frameWords, HIGHEST_FRAME, MOST_FRAMES, readFrames } from '@/lib/stock/frames/frames'
import { burnByHand, frameGone, moveToFrame, numberFrames, reclaimFrame } from '@/lib/stock/frames/store'
import { type Result, refuse } from '@/lib/units/result'
import { instantOf } from '@/lib/units/time'

const now = () => instantOf(new Date())

const done = (result: Result<unknown>, message: string): FormAnswer => {
  if (!result.ok) return result
  revalidatePath('/', 'layout')
  return { ok: true, message }
}

const designInput = z
  .string({ error: 'Choose the design.' })
  .regex(/^[\w-]{1,64} \d+(\.\d+)? \d+(\.\d+)?$/, 'Choose the design.')
  .transform(t => {
    const [artworkId = '', widthMm, heightMm] = t.split(' ')
    return { artworkId, widthMm: Number(widthMm), heightMm: Number(heightMm) }
  })

const keepInput = z.object({
  design: designInput,
  screens: z
    .string({ error: 'How many screens? Type a whole number.' })
    .regex(/^([1-9]|1\d|2[0-4])$/, 'A design has 1 to 24 screens: type a whole number.')
    .transform(Number),
  place: z.string().trim().max(60, 'Where they stand is told in at most 60 characters.').default(''),
})

/** Puts the screens of a design on the shelf. */
export async function keepScreensAction(_before: FormAnswer | null, form: FormData): Promise<FormAnswer> {
  const person = await personWith('stock.move')
  if (!person.ok) return person
  const read = readForm(keepInput, form)
  if (!read.ok) return read.answer
  const { design, ...rest } = read.value
  const kept = await keepScreens({ ...design, ...rest }, person.value, now())
  const on = kept.ok && kept.value.length ? ` They stand on ${frameWords(kept.value)}.` : ''
  return done(kept, `On the shelf: a repeat of this design need not make them again.${on}`)
}

/** Notes that screens are off the shelf. */
export async function dropScreensAction(
  id: string,
  _before: FormAnswer | null,
  _form: FormData,
): Promise<FormAnswer> {
  const person = await personWith('stock.move')
  if (!person.ok) return person
  const known = z.string().max(64).safeParse(id)
  if (!known.success) return refuse('screens', 'These screens are not known here: load the page again.')
  return done(await dropScreens(known.data, person.value, now()), 'Off the shelf.')
}

const manyInput = z.object({
  many: z
    .string({ error: 'How many frames? Type a whole number.' })
    .regex(/^\d{1,3}$/, `Number 1 to ${MOST_FRAMES} frames at once: type a whole number.`)
    .transform(Number),
})

/** Gives frames that the stock book has their numbers. */
export async function numberFramesAction(
  sku: string,
  _before: FormAnswer | null,
  form: FormData,
): Promise<FormAnswer> {
  const person = await personWith('stock.move')
  if (!person.ok) return person
  if (!isBoundText(sku)) return strayed()
  const read = readForm(manyInput, form)
  if (!read.ok) return read.answer
  const numbered = await numberFrames(sku, read.value.many, person.value, now())
  return done(
    numbered,
    numbered.ok ? `Write the numbers on them: ${frameWords(numbered.value)}, as they hang.` : '',
  )
}

const burnInput = z.object({
  design: designInput,
  frames: z.string({ error: 'Which frames? Type their numbers, like 3, 4, 7.' }).max(200),
})

/** Notes by hand what is burnt on some frames. */
export async function burnByHandAction(_before: FormAnswer | null, form: FormData): Promise<FormAnswer> {
  const person = await personWith('stock.move')
  if (!person.ok) return person
  const read = readForm(burnInput, form)
  if (!read.ok) return read.answer
  const numbers = readFrames(read.value.frames)
  if (!numbers.ok) return numbers
  const { design } = read.value
  return done(
    await burnByHand({ ...design, design: designOf(design) }, numbers.value, person.value, now()),
    `Noted on ${frameWords(numbers.value)}.`,
  )
}

/** Notes that a frame is free again. */
export async function reclaimFrameAction(
  number: number,
  _before: FormAnswer | null,
  _form: FormData,
): Promise<FormAnswer> {
  const person = await personWith('stock.move')
  if (!person.ok) return person
  if (!isBoundNumber(number)) return strayed()
  return done(await reclaimFrame(number, person.value, now()), `Frame ${number} is free.`)
}

const moveInput = z.object({
  to: z
    .string({ error: 'Which frame was it? Type its number.' })
    .regex(/^[1-9]\d{0,3}$/, `Which frame was it? Type its number, 1 to ${HIGHEST_FRAME}.`)
    .transform(Number),
})

/** Puts right which frame was taken. */
export async function moveFrameAction(
  number: number,
  _before: FormAnswer | null,
  form: FormData,
): Promise<FormAnswer> {
  const person = await personWith('stock.move')
  if (!person.ok) return person
  if (!isBoundNumber(number)) return strayed()
  const read = readForm(moveInput, form)
  if (!read.ok) return read.answer
  const { to } = read.value
  return done(await moveToFrame(number, to, person.value, now()), `It stands on frame ${to} now.`)
}

const goneInput = z.object({
  why: z
    .string({ error: 'What happened to it? A few words.' })
    .trim()
    .min(1, 'What happened to it? A few words.')
    .max(200, 'What happened to it is told in at most 200 characters.'),
})

/** Notes that a frame is no more, and takes it off the stock book. */
export async function frameGoneAction(
  number: number,
  _before: FormAnswer | null,
  form: FormData,
): Promise<FormAnswer> {
  const person = await personWith('stock.move')
  if (!person.ok) return person
  if (!isBoundNumber(number)) return strayed()
  const read = readForm(goneInput, form)
  if (!read.ok) return read.answer
  const gone = await frameGone(number, read.value.why, person.value, now())
  return done(
    gone,
    gone.ok && gone.value
      ? `Frame ${number} is off the stock book. Its set is whole no more: the next order has the screens made anew.`
      : `Frame ${number} is off the stock book.`,
  )
}
