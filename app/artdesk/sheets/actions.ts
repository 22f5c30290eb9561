'use server'
import { redirect } from 'next/navigation'
import { z } from 'zod'
import { allOf, readForm } from '@/app/forms'
import type { FormAnswer } from '@/app/parts/form-context'
import { makeSheets, type SheetPiece } from '@/lib/artwork/store'
import { personWith } from '@/lib/server/session'
import { ratesAt, shop } from '@/lib/shop/store'
import { type MeasureSystem, parseLength } from '@/lib/units/measure'
import { parseMoney } from '@/lib/units/money'
import { refuse } from '@/lib/units/result'
import { instantOf } from '@/lib/units/time'
import { methodOf, piecesIn, printsToMake, rangesOf } from '../desk'
import { openPrints } from './open-prints'

const length = (system: MeasureSystem) =>
  z.string().transform((text, context) => {
    const read = parseLength(text, system)
    if (read.ok) return read.value
    context.addIssue({ code: 'custom', message: read.message })
    return z.NEVER
  })

/** Lays the chosen prints on sheets, writes the PDF, and goes to the page that shows it. */
export async function laySheetsAction(_before: FormAnswer | null, form: FormData): Promise<FormAnswer> {
  const person = await personWith('artwork.see')
  if (!person.ok) return person
  const [facts, rates] = await Promise.all([shop(), ratesAt(instantOf(new Date()))])
  const read = readForm(
    z.object({
      width: length(facts.measures),
      height: z.literal('').or(length(facts.measures)),
      gap: length(facts.measures),
      turn: z.string().optional(),
      price: z.string(),
    }),
    form,
  )
  if (!read.ok) return read.answer
  const price = parseMoney(read.value.price, facts.currency)
  if (!price.ok) return refuse('price', price.message, 'price')
  const chosen = new Set(allOf(form, 'print'))
  const prints = (await openPrints()).filter(p => chosen.has(p.use.printId))
  if (prints.length === 0) return refuse('none', 'Choose at least one print to lay on the sheets.', 'print')
  if (new Set(prints.map(p => methodOf(p.use))).size > 1)
    return refuse(
      'mixed',
      'Film and sublimation paper are different sheets: choose prints of one method.',
      'print',
    )
  const pieces: SheetPiece[] = []
  for (const [i, { artwork, use }] of prints.entries()) {
    const sized = await printsToMake(artwork, use, rates)
    if (!sized.ok) return sized
    for (const [k, print] of sized.value.entries())
      pieces.push({
        id: `${i + 1} ${use.placement}${print.sizes ? ` ${print.sizes}` : ''}`,
        sha256: artwork.sha256,
        print,
        count: piecesIn(use, rangesOf(use)[k]),
      })
  }
  const { width, height, gap, turn } = read.value
  const laid = await makeSheets(
    pieces,
    { width, height: height === '' ? null : height, gap, margin: gap },
    turn !== undefined,
  )
  if (!laid.ok) return laid
  redirect(`/artdesk/sheets?plan=${laid.value}&price=${price.value}&by=${height === '' ? 'metre' : 'sheet'}`)
}
