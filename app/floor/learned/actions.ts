'use server'
import { revalidatePath } from 'next/cache'
import { z } from 'zod'
import { readForm } from '@/app/forms'
import type { FormAnswer } from '@/app/parts/form-context'
import { changeRates } from '@/lib/books/store'
import { takePace } from '@/lib/costing/store'
import { offeredRates } from '@/lib/floor/happened/learned'
import { learned } from '@/lib/floor/happened/store'
import { personWith } from '@/lib/server/session'
import { methodSchema } from '@/lib/shop/methods'
import { rateCards } from '@/lib/shop/store'
import { refuse } from '@/lib/units/result'
import { instantOf } from '@/lib/units/time'

const stepSchema = z.object({
  recipe: z.string().max(80),
  key: z.string().min(1).max(80),
  /** Empty: wherever it is worked. */
  station: z.string().max(80),
})
const now = () => instantOf(new Date())
const gone = refuse('gone', 'This is not measured any more: load the page again.')

async function pace(form: FormData, back: boolean): Promise<FormAnswer> {
  const person = await personWith('rates.change')
  if (!person.ok) return person
  const read = readForm(stepSchema, form)
  if (!read.ok) return read.answer
  const recipe = read.value.recipe || null
  // What is taken is what the clocks say now, not what a page said that was open for a week.
  const step = (await learned()).steps.find(
    s => s.key === read.value.key && (s.recipe?.id ?? null) === recipe,
  )
  const station = read.value.station ? step?.stations.find(s => s.id === read.value.station) : null
  if (!step || station === undefined) return gone
  const { factor, runs, least, most } = (station ?? step).pace
  const done = await takePace(
    {
      recipe,
      key: step.key,
      stationId: station?.id ?? null,
      ...(back ? { factor: 1, runs: 0, least: 1, most: 1 } : { factor, runs, least, most }),
    },
    person.value,
    now(),
  )
  if (!done.ok) return done
  revalidatePath('/', 'layout')
  return {
    ok: true,
    message: station
      ? back
        ? `At ${station.name} it takes as long as anywhere again.`
        : `Taken: plans from now on reckon with it at ${station.name}.`
      : back
        ? 'The recipe’s own time counts again.'
        : 'Taken: offers and plans from now on reckon with it.',
  }
}

/** Takes the measured time of a step over. */
export const takePaceAction = async (_before: FormAnswer | null, form: FormData): Promise<FormAnswer> =>
  pace(form, false)

/** Lets the recipe's own time count again. */
export const dropPaceAction = async (_before: FormAnswer | null, form: FormData): Promise<FormAnswer> =>
  pace(form, true)

/** Takes the counted spoilage of one method over into the rates, from now on. */
export async function takeSpoilageAction(_before: FormAnswer | null, form: FormData): Promise<FormAnswer> {
  const person = await personWith('rates.change')
  if (!person.ok) return person
  const read = readForm(z.object({ method: methodSchema, basedOn: z.uuid() }), form)
  if (!read.ok) return read.answer
  const [{ methods }, cards] = await Promise.all([learned(), rateCards()])
  const counted = methods.filter(m => m.method === read.value.method)
  const [newest] = cards
  const rates = offeredRates(cards, counted)
  if (!newest || !rates || counted.length === 0) return gone
  const moment = now()
  const done = await changeRates(
    {
      rates,
      // biome-ignore lint/complexity/useMathMinMax: instants are no bare numbers
      from: moment < newest.validFrom ? newest.validFrom : moment,
      basedOn: read.value.basedOn,
    },
    person.value,
    moment,
  )
  if (!done.ok) return done
  revalidatePath('/', 'layout')
  return { ok: true, message: 'Taken: offers from now on reckon with it.' }
}
