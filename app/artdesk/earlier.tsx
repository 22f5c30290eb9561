import Link from 'next/link'
import { settingWords } from '@/app/floor/recipe-sheet'
import { DataTable } from '@/app/parts/data-table'
import type { EarlierPrint } from '@/lib/artwork/store'
import { MISPRINT_WORDS, type MisprintReason } from '@/lib/floor/misprint'
import { stepRecipeSchema } from '@/lib/planning/recipe-snapshot'
import { METHOD_WORDS, METHODS } from '@/lib/shop/methods'
import { PLACEMENT } from '@/lib/shop/placements'
import { formatLength, type MeasureSystem, mm } from '@/lib/units/measure'
import { formatDay, instantOf } from '@/lib/units/time'

/** How the same art was printed before, and how it turned out. */
export function EarlierPrints({
  prints,
  measures,
  zone,
}: {
  prints: readonly EarlierPrint[]
  measures: MeasureSystem
  zone: string
}) {
  return (
    <DataTable
      caption="Earlier prints of this art"
      quietCaption
      rows={prints}
      rowKey={p => `${p.orderNumber} ${p.artworkId} ${p.placement} ${p.cloth}`}
      columns={[
        {
          key: 'order',
          head: 'Order',
          rowHead: true,
          wrap: true,
          cell: p => (
            <>
              <Link href={`/counter/orders/${p.orderNumber}`}>{p.orderNumber}</Link> {p.customer}
              {p.how === 'same-art' && (
                <>
                  {' '}
                  from <Link href={`/artdesk/${p.artworkId}`}>{p.artworkName}</Link>
                </>
              )}
            </>
          ),
        },
        { key: 'at', head: 'Agreed', cell: p => formatDay(instantOf(p.at), zone).replaceAll(' ', '\u00a0') },
        {
          key: 'print',
          head: 'Print',
          wrap: true,
          cell: p =>
            `${PLACEMENT[p.placement as keyof typeof PLACEMENT]?.name ?? p.placement}, ${formatLength(mm(p.widthMm), measures)} wide on ${p.cloth}`,
        },
        { key: 'how', head: 'How', wrap: true, cell: p => <How print={p} measures={measures} /> },
        { key: 'out', head: 'How it turned out', wrap: true, cell: turnedOut },
      ]}
    />
  )
}

function How({ print, measures }: { print: EarlierPrint; measures: MeasureSystem }) {
  const method = METHODS.find(m => m === print.method)
  const recipes = print.recipes.flatMap(r => {
    const read = stepRecipeSchema.safeParse(r)
    return read.success ? [read.data] : []
  })
  const heat = recipes
    .filter(r => r.parts.some(p => p.temperature !== null))
    .map(r => `${r.words.toLowerCase()} at ${settingWords(r, measures)}`)
  const recipe = recipes.find(r => r.recipe)?.recipe
  const lines = [
    [method && METHOD_WORDS[method].name, recipe && `recipe ${recipe.name}, version ${recipe.version}`],
    heat,
    [
      print.films && `mesh ${print.films.mesh}, choke ${print.films.chokeMm} mm`,
      print.mend
        ? `cloth let through with tolerance ${print.mend.tolerance}, soft edge ${print.mend.soft}`
        : print.mend === null && 'the original',
      print.mend?.openings && `solids opened by ${Math.round(100 * print.mend.openings.share)}%`,
    ],
  ].map(line => line.filter(Boolean).join('; '))
  return lines.filter(Boolean).map(line => <div key={line}>{line}</div>)
}

function turnedOut({ good, spoiled, reasons, orderState }: EarlierPrint): string {
  if (good === 0 && spoiled === 0) return orderState === 'making' ? 'not printed yet' : 'nothing was reported'
  const why = reasons.map(r => `${r.quantity} by ${MISPRINT_WORDS[r.reason as MisprintReason] ?? r.reason}`)
  return `${good} good${spoiled ? `, ${spoiled} spoiled: ${why.join(', ')}` : ', none spoiled'}`
}
