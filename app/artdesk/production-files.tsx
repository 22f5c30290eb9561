import { DataTable } from '@/app/parts/data-table'
import { Notice } from '@/app/parts/notice'
import { Stack } from '@/app/parts/row'
import { Section } from '@/app/parts/section'
import {
  type ArtworkUse,
  type ArtworkWithUses,
  findProduction,
  type ProductionFile,
  productionKey,
} from '@/lib/artwork/store'
import { METHOD_WORDS } from '@/lib/shop/methods'
import { PLACEMENT } from '@/lib/shop/placements'
import type { Rates } from '@/lib/shop/rates'
import { formatLength, type MeasureSystem, mm } from '@/lib/units/measure'
import { methodOf, printToMake } from './desk'
import { FilesMaker } from './files-maker'

/** The files that machines take, print by print: to make, and once made to download. */
export function ProductionFiles({
  artwork,
  rates,
  measures,
}: {
  artwork: ArtworkWithUses
  rates: Rates
  measures: MeasureSystem
}) {
  return artwork.uses
    .filter(use => use.orderState !== 'declined' && use.orderState !== 'withdrawn')
    .slice(0, 8)
    .map(use => (
      <PrintFiles key={use.printId} artwork={artwork} use={use} rates={rates} measures={measures} />
    ))
}

async function PrintFiles({
  artwork,
  use,
  rates,
  measures,
}: {
  artwork: ArtworkWithUses
  use: ArtworkUse
  rates: Rates
  measures: MeasureSystem
}) {
  const about = `order ${use.orderNumber}, ${PLACEMENT[use.placement as keyof typeof PLACEMENT]?.name ?? use.placement}`
  const print = await printToMake(artwork, use, rates)
  if (!print.ok)
    return (
      <Section level={3} title={about}>
        <Notice kind="stop">{print.message}</Notice>
      </Section>
    )
  const key = productionKey(artwork.sha256, print.value)
  const made = await findProduction(key)
  const { mend } = print.value
  return (
    <Section
      level={3}
      title={`Files for ${about}`}
      aside={use.method ? METHOD_WORDS[methodOf(use)].name : 'as film, no method chosen yet'}
    >
      <Stack>
        <p>
          {formatLength(mm(use.widthMm), measures)} × {formatLength(mm(use.heightMm), measures)} at 300 ppi on{' '}
          {use.colour},{' '}
          {mend
            ? `the cloth let through with tolerance ${mend.tolerance} and soft edge ${mend.soft}`
            : 'from the original'}
          .
        </p>
        {made ? (
          <DataTable
            caption={`Files for ${about}`}
            quietCaption
            rows={made.files}
            rowKey={f => f.name}
            columns={[
              {
                key: 'name',
                head: 'File',
                rowHead: true,
                wrap: true,
                cell: (f: ProductionFile) => (
                  <a href={`/api/artwork/production/${key}/${f.name}`} download={f.name}>
                    {f.name}
                  </a>
                ),
              },
              {
                key: 'size',
                head: 'Size',
                numeric: true,
                cell: f =>
                  `${formatLength(mm(f.widthMm), measures)} × ${formatLength(mm(f.heightMm), measures)}`,
              },
              { key: 'px', head: 'Pixels', numeric: true, cell: f => `${f.widthPx} × ${f.heightPx}` },
              { key: 'bytes', head: 'MB', numeric: true, cell: f => (f.bytes / 1e6).toFixed(2) },
            ]}
          />
        ) : (
          <FilesMaker print={use.printId} about={about} />
        )}
      </Stack>
    </Section>
  )
}
