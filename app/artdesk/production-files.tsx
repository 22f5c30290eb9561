import { DataTable } from '@/app/parts/data-table'
import { Notice } from '@/app/parts/notice'
import { Stack } from '@/app/parts/row'
import { Section } from '@/app/parts/section'
import { DEFAULT_LAYERS, type PrintToMake } from '@/lib/artwork/print-files'
import {
  type ArtworkUse,
  type ArtworkWithUses,
  findProduction,
  type Production,
  type ProductionFile,
  productionKey,
  shelfInks,
} from '@/lib/artwork/store'
import { OPEN_STATES } from '@/lib/orders/states'
import { groundOf } from '@/lib/shop/blanks'
import { METHOD_WORDS } from '@/lib/shop/methods'
import { PLACEMENT } from '@/lib/shop/placements'
import type { Rates } from '@/lib/shop/rates'
import { cm2, formatArea, formatLength, type MeasureSystem, mm } from '@/lib/units/measure'
import styles from './artdesk.module.css'
import { methodOf, printsToMake } from './desk'
import { FilesMaker } from './files-maker'
import { FilmsForm } from './films-form'

type About = {
  artwork: ArtworkWithUses
  rates: Rates
  measures: MeasureSystem
  /** Whether this person may choose how films are made. */
  mayChange: boolean
}

/** The files that machines take, print by print: to make, and once made to download. */
export function ProductionFiles(about: About) {
  const files = (use: ArtworkUse) => <PrintFiles key={use.printId} use={use} {...about} />
  const open = about.artwork.uses.filter(use => isOpen(use.orderState)).slice(0, MOST_PRINTS)
  const ended = about.artwork.uses
    .filter(use => use.orderState === 'handedOver')
    .slice(0, Math.max(1, MOST_PRINTS - open.length))
  return (
    <Stack gap="large">
      {open.map(files)}
      {ended.length > 0 && (
        <details open={open.length === 0}>
          <summary>Files of orders that are handed over</summary>
          <Stack gap="large">{ended.map(files)}</Stack>
        </details>
      )}
    </Stack>
  )
}

/** Prints whose files stand on the page, at most. */
const MOST_PRINTS = 8
const isOpen = (state: string): boolean => (OPEN_STATES as readonly string[]).includes(state)

async function PrintFiles({ artwork, use, rates, measures, mayChange }: About & { use: ArtworkUse }) {
  const about = `order ${use.orderNumber}, ${PLACEMENT[use.placement as keyof typeof PLACEMENT]?.name ?? use.placement}`
  const prints = await printsToMake(artwork, use, rates)
  if (!prints.ok)
    return (
      <Section level={3} title={about}>
        <Notice kind="stop">{prints.message}</Notice>
      </Section>
    )
  const sets = await Promise.all(
    prints.value.map(async print => {
      const key = productionKey(artwork.sha256, print)
      return { print, key, made: await findProduction(key) }
    }),
  )
  const [first] = prints.value
  const mend = first?.mend
  const method = methodOf(use)
  const white = method === 'dtg' && groundOf(use.colourHex) === 'dark'
  return (
    <Section
      level={3}
      title={`Files for ${about}`}
      aside={use.method ? METHOD_WORDS[method].name : 'as film, no method chosen yet'}
    >
      <Stack>
        <p>
          {sets.map(({ print }) => sizeWords(print, measures)).join('; ')} at 300 ppi on {use.colour},{' '}
          {mend
            ? `the cloth let through with tolerance ${mend.tolerance} and soft edge ${mend.soft}${mend.openings ? `, solids broken up by ${mend.openings.shape}` : ''}`
            : 'from the original'}
          .
        </p>
        {(method === 'screen' || white) && mayChange && first && (
          <FilmsForm
            use={use}
            about={about}
            screens={method === 'screen'}
            inks={first.inks}
            shelf={(await shelfInks()).map(i => i.name)}
            system={measures}
          />
        )}
        {sets.map(({ print, key, made }) =>
          made ? (
            <MadeFiles key={key} id={key} print={print} made={made} about={about} measures={measures} />
          ) : null,
        )}
        {sets.some(s => !s.made) && <FilesMaker print={use.printId} about={about} />}
      </Stack>
    </Section>
  )
}

const sizeWords = (print: PrintToMake, measures: MeasureSystem): string =>
  `${print.sizes ? `on ${print.sizes.replaceAll('-', '–')} ` : ''}${formatLength(mm(print.widthMm), measures)} × ${formatLength(mm(print.heightMm), measures)}`

/** Films with their pictures, and all files of one size of a print. */
function MadeFiles({
  id,
  print,
  made,
  about,
  measures,
}: {
  id: string
  print: PrintToMake
  made: Production
  about: string
  measures: MeasureSystem
}) {
  const address = (name: string) => `/api/artwork/production/${id}/${name}`
  const caption = `Files for ${about}${print.sizes ? `, sizes ${print.sizes}` : ''}`
  const mesh = print.layers?.mesh ?? DEFAULT_LAYERS.mesh
  return (
    <Stack>
      {made.films.length > 0 && (
        <ol className={styles.films} aria-label={`Films for ${about}`}>
          {made.films.map((film, i) => {
            const file = made.files[i]
            return (
              <li key={film.ink} className={styles.film}>
                {file && (
                  // biome-ignore lint/performance/noImgElement: made to size by our own route
                  <img
                    src={`${address(file.name)}?picture`}
                    alt={`Film ${i + 1}: where ${film.ink} prints`}
                    loading="lazy"
                  />
                )}
                <span className={styles.colour}>
                  <span className={styles.swatch} style={{ background: film.hex }} />
                  <strong>{film.ink}</strong>
                </span>
                <span>
                  {formatArea(cm2(film.areaCm2), measures)}, mesh {mesh}
                </span>
                <span>
                  {film.lpi === null
                    ? 'solid'
                    : `halftone ${Math.round(film.lpi)} lines an inch at ${film.angle}°`}
                </span>
              </li>
            )
          })}
        </ol>
      )}
      <DataTable
        caption={caption}
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
              <a href={address(f.name)} download={f.name}>
                {f.name}
              </a>
            ),
          },
          {
            key: 'size',
            head: 'Size',
            numeric: true,
            cell: f => `${formatLength(mm(f.widthMm), measures)} × ${formatLength(mm(f.heightMm), measures)}`,
          },
          { key: 'px', head: 'Pixels', numeric: true, cell: f => `${f.widthPx} × ${f.heightPx}` },
          { key: 'bytes', head: 'MB', numeric: true, cell: f => (f.bytes / 1e6).toFixed(2) },
        ]}
      />
    </Stack>
  )
}
