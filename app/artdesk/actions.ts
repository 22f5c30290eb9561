'use server'
import { revalidatePath } from 'next/cache'
import { z } from 'zod'
import { allOf, fieldsOf, readForm } from '@/app/forms'
import type { FormAnswer } from '@/app/parts/form-context'
import { clearanceInput } from '@/lib/artwork/clearance'
import { type FilmSettings, filmSettingsAsked, filmSettingsSchema } from '@/lib/artwork/film-settings'
import { mendAsked } from '@/lib/artwork/print-files'
import { keepFilmSettings, keepOriginal, keepVersion, recordClearance } from '@/lib/artwork/store'
import { personWith } from '@/lib/server/session'
import { hexSchema } from '@/lib/shop/blanks'
import { shop } from '@/lib/shop/store'
import { parseLength } from '@/lib/units/measure'
import { refuse } from '@/lib/units/result'

/** Records on what basis an artwork may be sold, or takes the last basis back. */
export async function clearAction(_before: FormAnswer | null, form: FormData): Promise<FormAnswer> {
  const person = await personWith('artwork.clear')
  if (!person.ok) return person
  const read = readForm(clearanceInput, form)
  if (!read.ok) return read.answer
  const saved = await recordClearance(read.value, person.value)
  if (!saved.ok) return saved
  revalidatePath('/', 'layout')
  return {
    ok: true,
    message:
      read.value.basis === 'withdrawn'
        ? 'Taken back: no offer is agreed and no run starts with this artwork until somebody records a basis.'
        : 'Recorded: this artwork may be sold on that basis.',
  }
}

const artworkAsked = z.object({ artwork: z.uuid('Open the artwork again.') })

/** Keeps a mended version of an artwork for a cloth. The original stays as it is. */
export async function keepVersionAction(_before: FormAnswer | null, form: FormData): Promise<FormAnswer> {
  const person = await personWith('artwork.change')
  if (!person.ok) return person
  const read = readForm(artworkAsked.and(mendAsked), form)
  if (!read.ok) return read.answer
  const { artwork, ...wanted } = read.value
  const kept = await keepVersion(artwork, wanted, person.value)
  if (!kept.ok) return kept
  revalidatePath('/artdesk', 'layout')
  return { ok: true, message: `Kept: prints on ${wanted.cloth} are made from it. The original is unchanged.` }
}

/** Goes back to the original on a cloth. */
export async function keepOriginalAction(_before: FormAnswer | null, form: FormData): Promise<FormAnswer> {
  const person = await personWith('artwork.change')
  if (!person.ok) return person
  const read = readForm(artworkAsked.extend({ cloth: hexSchema }), form)
  if (!read.ok) return read.answer
  const kept = await keepOriginal(read.value.artwork, read.value.cloth, person.value)
  if (!kept.ok) return kept
  revalidatePath('/artdesk', 'layout')
  return { ok: true, message: `Prints on ${read.value.cloth} are made from the original again.` }
}

const filmsAsked = z.object({
  print: z.uuid('Open the artwork again.'),
  /** What the form was filled from. */
  was: z.string().transform((text, context): FilmSettings | null => {
    try {
      return filmSettingsSchema.nullable().parse(JSON.parse(text))
    } catch {
      context.addIssue({ code: 'custom', message: 'Open the artwork again.' })
      return z.NEVER
    }
  }),
})

/** Keeps how the films of a print are made. Files made before stay as they are until they are made anew. */
export async function keepFilmsAction(_before: FormAnswer | null, form: FormData): Promise<FormAnswer> {
  const person = await personWith('artwork.change')
  if (!person.ok) return person
  const { measures } = await shop()
  const choke = parseLength(fieldsOf(form).choke ?? '', measures)
  if (!choke.ok) return refuse('choke', choke.message, 'choke')
  if (choke.value > 3)
    return refuse('choke', 'A choke over 3 mm leaves nothing of fine lines: type up to 3 mm.', 'choke')
  const read = readForm(
    filmsAsked.and(filmSettingsAsked),
    Object.fromEntries([...form, ['chokeMm', choke.value]]),
  )
  if (!read.ok) return read.answer
  const { print, was, inks, lpi, angle, mesh, chokeMm } = read.value
  const shelf = allOf(form, 'shelf')
  const kept = await keepFilmSettings(
    print,
    {
      mesh,
      chokeMm,
      ...(lpi === undefined ? {} : { lpi }),
      ...(angle === undefined ? {} : { angle }),
      ...(inks === undefined ? {} : { inks }),
      ...(form.has('shelf') ? { shelf } : {}),
    },
    was,
    person.value,
  )
  if (!kept.ok) return kept
  revalidatePath('/artdesk', 'layout')
  return { ok: true, message: 'Kept: make the files, and these films come out.' }
}

/** Goes back to the usual films. */
export async function usualFilmsAction(_before: FormAnswer | null, form: FormData): Promise<FormAnswer> {
  const person = await personWith('artwork.change')
  if (!person.ok) return person
  const read = readForm(filmsAsked, form)
  if (!read.ok) return read.answer
  const kept = await keepFilmSettings(read.value.print, null, read.value.was, person.value)
  if (!kept.ok) return kept
  revalidatePath('/artdesk', 'layout')
  return { ok: true, message: 'The films are made as usual again.' }
}
