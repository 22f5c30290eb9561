import { z } from 'zod'
import { mendAsked } from '@/lib/artwork/print-files'
import { previewMend } from '@/lib/artwork/store'
import { printMaterial } from '@/lib/costing/one-print'
import { personWith } from '@/lib/server/session'
import { methodSchema } from '@/lib/shop/methods'
import { ratesAt, shop } from '@/lib/shop/store'
import { cm2, formatArea, formatLength, mm } from '@/lib/units/measure'
import { formatMoney, micro, microToMinor } from '@/lib/units/money'
import { instantOf } from '@/lib/units/time'

const refusal = (status: number, message: string) => Response.json({ ok: false, message }, { status })

/**
 * How the art looks with the cloth let through, at reduced size, and what that changes: the fields of mendAsked and `method`
 * in the address. Answers { ok: true, picture, figures: [{ name, before, after }], said } or { ok: false, message }.
 */
export async function GET(request: Request, { params }: { params: Promise<{ id: string }> }) {
  const person = await personWith('artwork.see')
  if (!person.ok) return refusal(person.code === 'signed-out' ? 401 : 403, person.message)
  const fields = Object.fromEntries(new URL(request.url).searchParams)
  const id = z.uuid().safeParse((await params).id)
  const asked = mendAsked.safeParse(fields)
  const method = methodSchema.safeParse(fields.method)
  if (!id.success || !asked.success || !method.success)
    return refusal(
      400,
      'A preview needs a cloth, a size, a tolerance and a soft edge: open the artwork again.',
    )
  const [seen, facts, rates] = await Promise.all([
    previewMend(id.data, asked.data),
    shop(),
    ratesAt(instantOf(new Date())),
  ])
  if (!seen.ok) return refusal(422, seen.message)
  const { png, figures: f } = seen.value
  const { cloth, widthMm, heightMm } = asked.data
  const area = (n: number): string => formatArea(cm2(n), facts.measures)
  const material = (coveredCm2: number): string => {
    const one = printMaterial(
      method.data,
      cloth,
      { coveredCm2, printedCm2: (widthMm * heightMm) / 100 },
      rates,
    )
    return formatMoney(microToMinor(micro(one * 100), facts.currency), facts.currency)
  }
  const many = (n: number, one: string, more: string): string => `${n} ${n === 1 ? one : more}`
  return Response.json(
    {
      ok: true,
      picture: `data:image/png;base64,${png.toString('base64')}`,
      figures: [
        { name: 'Covered area', before: area(f.areaBeforeCm2), after: area(f.areaAfterCm2) },
        {
          name: 'Largest solid patch',
          before: area(f.largestSolidBeforeCm2),
          after: area(f.largestSolidAfterCm2),
        },
        {
          name: 'Widest unbroken stretch',
          before: formatLength(mm(f.widestSolidBeforeMm), facts.measures),
          after: formatLength(mm(f.widestSolidAfterMm), facts.measures),
        },
        {
          name: `${method.data === 'transfer' ? 'Film, ink and powder' : 'Ink and material'} for 100 prints`,
          before: material(f.areaBeforeCm2),
          after: material(f.areaAfterCm2),
        },
      ],
      said: `${many(f.specksCleared, 'speck', 'specks')} cleared, ${many(f.openingsClosed, 'small opening', 'small openings')} closed.`,
    },
    { headers: { 'Cache-Control': 'private, no-store' } },
  )
}
