import { z } from 'zod'
import { placedWarnings, proposedRules, sizeOf } from '@/lib/artwork/print-sizes'
import { readSizeRules, writeSizeRules } from '@/lib/artwork/size-rules'
import { personWith } from '@/lib/server/session'
import { compareSizes, SIZES, type Size } from '@/lib/shop/blanks'
import { PLACEMENT, placementSchema } from '@/lib/shop/placements'
import { shop, stations, styles } from '@/lib/shop/store'
import { parseLength, parseOffset } from '@/lib/units/measure'

const asked = z.object({
  style: z.uuid(),
  placement: placementSchema,
  drawn: z.enum(SIZES),
  width: z.string().max(40),
  height: z.string().max(40),
  drop: z.string().max(40),
  offset: z.string().max(40).default(''),
  bySize: z.string().max(400).default(''),
  sizes: z.array(z.enum(SIZES)),
})

/**
 * What stands in the way of a print as it is being typed, before anything is saved: fields of a print as the order form sends
 * them, its style, the sizes that pieces were typed for (`size`, several) and the size that is drawn. Answers
 * { ok: true, warnings, rules, drawn }: sentences, widths by garment size to propose ("" where one size does for all or something was
 * typed), and the print's size on the drawn garment in mm; { ok: false, message } while a length cannot be read.
 */
export async function GET(request: Request) {
  const person = await personWith('artwork.see')
  if (!person.ok)
    return Response.json(
      { ok: false, message: person.message },
      { status: person.code === 'signed-out' ? 401 : 403 },
    )
  const query = new URL(request.url).searchParams
  const fields = asked.safeParse({ ...Object.fromEntries(query), sizes: query.getAll('size') })
  const style = fields.success ? (await styles()).find(s => s.id === fields.data.style) : undefined
  if (!fields.success || !style)
    return Response.json({ ok: false, message: 'Choose the blank again.' }, { status: 400 })
  const [{ measures }, machines] = await Promise.all([shop(), stations()])
  const { placement, drawn, sizes, ...typed } = fields.data
  const [width, height, drop] = [typed.width, typed.height, typed.drop].map(t => parseLength(t, measures))
  const offset = typed.offset.trim()
    ? parseOffset(typed.offset, measures)
    : ({ ok: true, value: PLACEMENT[placement].offsetMm } as const)
  const rules = readSizeRules(typed.bySize, measures)
  for (const read of [width, height, drop, offset, rules])
    if (!read?.ok) return Response.json({ ok: false, message: read?.message ?? '' })
  if (
    !width?.ok ||
    !height?.ok ||
    !drop?.ok ||
    !offset.ok ||
    !rules.ok ||
    !(width.value > 0 && height.value > 0)
  )
    return Response.json({ ok: false, message: 'The print needs a width and a height above 0.' })
  const print = {
    placement,
    widthMm: width.value,
    heightMm: height.value,
    dropMm: drop.value,
    offsetMm: offset.value,
  }
  const there = [...new Set(style.colours.flatMap(c => c.sizes.map(s => s.size as Size)))].sort(compareSizes)
  const wanted = sizes.length > 0 ? sizes : there
  return Response.json(
    {
      ok: true,
      warnings: placedWarnings(print, rules.value, style.kind, wanted, null, machines, style.name),
      rules: typed.bySize.trim()
        ? ''
        : writeSizeRules(proposedRules(print, placement, style.kind, wanted), measures),
      drawn: sizeOf(print, drawn, rules.value),
    },
    { headers: { 'Cache-Control': 'private, no-store' } },
  )
}
