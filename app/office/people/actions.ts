'use server'
import { revalidatePath } from 'next/cache'
import { redirect } from 'next/navigation'
import { z } from 'zod'
import { allOf, fieldsOf, readForm } from '@/app/forms'
import type { FormAnswer } from '@/app/parts/form-context'
import { replan } from '@/lib/planning/store'
import { personWith } from '@/lib/server/session'
import { changeMember, changeStation, close, hireMember, reopen } from '@/lib/shop/changes/store'
import { closedSchema } from '@/lib/shop/crew'
import { closureInput, memberInput, newMemberInput, stationInput } from '@/lib/shop/people-input'
import { shop } from '@/lib/shop/store'
import { readWeek } from '@/lib/shop/week-text'
import { refuse } from '@/lib/units/result'
import { dayBounds, dayOf, type Instant, instantOf, shopDay } from '@/lib/units/time'

const now = () => instantOf(new Date())
const refresh = () => revalidatePath('/', 'layout')

/** The start of a typed day; today means from now on. Null: there is no such day. */
function fromOf(day: string, moment: Instant, zone: string): Instant | null {
  if (day === dayOf(moment, zone)) return moment
  try {
    return dayBounds(shopDay(day), zone).from
  } catch {
    return null
  }
}
const noDay = (field: string) => refuse('day', 'There is no such day: choose another.', field)

const withSkills = (form: FormData) => ({ ...fieldsOf(form), skills: allOf(form, 'skills') })

/** Plans anew since hours changed; what it says when the plan could not be made. */
async function planAnew(reason: string, moment: Instant, said: string): Promise<FormAnswer> {
  const planned = await replan(reason, moment)
  refresh()
  return {
    ok: true,
    message: planned.ok
      ? `${said} The plan was made anew.`
      : `${said} The plan stays as it was: ${planned.message}`,
  }
}

/** Takes somebody on. */
export async function hireAction(_before: FormAnswer | null, form: FormData): Promise<FormAnswer> {
  const person = await personWith('people.change')
  if (!person.ok) return person
  const read = readForm(newMemberInput((await shop()).currency), withSkills(form))
  if (!read.ok) return read.answer
  const hours = readWeek(fieldsOf(form))
  if (!hours.ok) return hours
  const done = await hireMember({ ...read.value, hours: hours.value }, person.value, now())
  if (!done.ok) return done
  await planAnew(`${read.value.name} works here now`, now(), '')
  redirect('/office/people')
}

/** Changes a member of the crew. */
export async function memberAction(
  id: string,
  _before: FormAnswer | null,
  form: FormData,
): Promise<FormAnswer> {
  const person = await personWith('people.change')
  if (!person.ok) return person
  const { currency, timeZone } = await shop()
  const read = readForm(memberInput(currency), withSkills(form))
  if (!read.ok) return read.answer
  const hours = readWeek(fieldsOf(form))
  if (!hours.ok) return hours
  const moment = now()
  const from = fromOf(read.value.from, moment, timeZone)
  if (from === null) return noDay('from')
  const { version, ...rest } = read.value
  const done = await changeMember(
    z.string().max(64).catch('').parse(id),
    version,
    { ...rest, from, hours: hours.value },
    person.value,
    moment,
  )
  if (!done.ok) return done
  return planAnew(
    `hours or skills of ${rest.name} changed`,
    moment,
    done.value.dated ? `Saved. Wage and hours count from ${read.value.from}.` : 'Saved.',
  )
}

/** Changes a station. */
export async function stationAction(
  code: string,
  _before: FormAnswer | null,
  form: FormData,
): Promise<FormAnswer> {
  const person = await personWith('rates.change')
  if (!person.ok) return person
  const { currency, timeZone } = await shop()
  const read = readForm(stationInput(currency), form)
  if (!read.ok) return read.answer
  const hours = readWeek(fieldsOf(form))
  if (!hours.ok) return hours
  const moment = now()
  const from = fromOf(read.value.from, moment, timeZone)
  if (from === null) return noDay('from')
  const { version, ...rest } = read.value
  const done = await changeStation(
    z.string().max(64).catch('').parse(code),
    version,
    { ...rest, from, hours: hours.value },
    person.value,
    moment,
  )
  if (!done.ok) return done
  return planAnew(
    `${rest.name} changed`,
    moment,
    done.value.dated ? `Saved. What it costs and its hours count from ${read.value.from}.` : 'Saved.',
  )
}

/** Closes the shop, a station or somebody's time for some days. */
export async function closureAction(_before: FormAnswer | null, form: FormData): Promise<FormAnswer> {
  const person = await personWith('people.change')
  if (!person.ok) return person
  const read = readForm(closureInput, form)
  if (!read.ok) return read.answer
  const { timeZone } = await shop()
  const { whom, from, to, why } = read.value
  let span: { from: Instant; to: Instant }
  try {
    span = { from: dayBounds(shopDay(from), timeZone).from, to: dayBounds(shopDay(to), timeZone).to }
  } catch {
    return noDay('from')
  }
  const [who, id] = whom.split(':')
  const done = await close(
    who === 'all' ? { who: 'all' } : { who: who as 'station' | 'crew', id: id ?? '' },
    { from: new Date(span.from).toISOString(), to: new Date(span.to).toISOString(), why },
    person.value,
    now(),
  )
  if (!done.ok) return done
  return planAnew(`closed: ${why}`, now(), 'Closed.')
}

/** Takes a closure back. */
export async function reopenAction(
  span: { from: string; to: string; why: string },
  _before: FormAnswer | null,
): Promise<FormAnswer> {
  const person = await personWith('people.change')
  if (!person.ok) return person
  const known = closedSchema.safeParse(span)
  if (!known.success) return refuse('gone', 'This closure is not there any more: load the page again.')
  const done = await reopen(known.data, person.value, now())
  if (!done.ok) return done
  return planAnew(`open again: ${known.data.why}`, now(), 'Open again.')
}
