import { ActionForm } from '@/app/parts/action-form'
import { DataTable } from '@/app/parts/data-table'
import { Stack } from '@/app/parts/row'
import { Section } from '@/app/parts/section'
import { SubmitButton } from '@/app/parts/submit-button'
import { DEFAULT_MEND, DEFAULT_OPENINGS, mendFor, type Openings } from '@/lib/artwork/print-files'
import type { ArtVersion, ArtworkUse, ArtworkWithUses } from '@/lib/artwork/store'
import { formatMoment, instantOf } from '@/lib/units/time'
import { keepOriginalAction, keepVersionAction } from './actions'
import { methodOf } from './desk'
import { LetThrough } from './let-through'
import styles from './let-through.module.css'

/**
 * Letting the garment breathe on one cloth: the sliders, and keeping what they give.
 * @param about which print: names the form where there are several
 */
export function Breathe({
  artwork,
  use,
  mayKeep,
  about,
}: {
  artwork: ArtworkWithUses
  use: ArtworkUse
  mayKeep: boolean
  about: string
}) {
  const kept = artwork.versions.find(v => v.cloth === use.colourHex.toLowerCase())
  const mend = mendFor(methodOf(use), use.colourHex, artwork.versions) ?? DEFAULT_MEND
  return (
    <Section level={3} title={`Let the ${use.colour} cloth breathe, and break up solids`}>
      <Stack>
        <ActionForm
          action={keepVersionAction}
          label={`Let the cloth through: ${about}`}
          className={styles.form}
        >
          <input type="hidden" name="artwork" value={artwork.id} />
          <LetThrough
            artwork={artwork.id}
            name={artwork.name}
            method={methodOf(use)}
            fields={{
              cloth: use.colourHex.toLowerCase(),
              widthMm: String(use.widthMm),
              heightMm: String(use.heightMm),
            }}
            tolerance={mend.tolerance}
            soft={mend.soft}
            outside={mend.reach === 'from-outside'}
            specks={mend.specks}
            openings={mend.openings ?? null}
            usual={DEFAULT_OPENINGS}
          />
          {mayKeep && <SubmitButton look="plain">Keep this version</SubmitButton>}
        </ActionForm>
        {mayKeep && (kept?.mend || (!kept && methodOf(use) === 'transfer')) && (
          <ActionForm action={keepOriginalAction} label={`Back to the original: ${about}`}>
            <input type="hidden" name="artwork" value={artwork.id} />
            <input type="hidden" name="cloth" value={use.colourHex.toLowerCase()} />
            <SubmitButton look="quiet">Print the original on {use.colour} instead</SubmitButton>
          </ActionForm>
        )}
      </Stack>
    </Section>
  )
}

const openingWords = ({ shape, lpi, angle, share, fromCm2 }: Openings): string =>
  `solids from ${fromCm2} cm² broken up: ${shape}, ${lpi} an inch at ${angle}°, ${Math.round(100 * share)}% open`

const settings = ({ mend }: ArtVersion): string =>
  mend
    ? [
        `tolerance ${mend.tolerance}, soft edge ${mend.soft}`,
        mend.specks === 'clear' ? 'specks cleared' : 'specks kept',
        ...(mend.reach === 'from-outside' ? ['only from outside'] : []),
        ...(mend.openings ? [openingWords(mend.openings)] : []),
      ].join(', ')
    : 'the original again'

/** The mended versions of an artwork, newest first, each with what made it. */
export function KeptVersions({ artwork, zone }: { artwork: ArtworkWithUses; zone: string }) {
  const newest = new Map([...artwork.versions].reverse().map(v => [v.cloth, v.id]))
  return (
    <DataTable
      caption="Kept versions"
      quietCaption
      rows={artwork.versions}
      rowKey={v => v.id}
      columns={[
        { key: 'cloth', head: 'Cloth', rowHead: true, cell: v => v.cloth },
        { key: 'settings', head: 'What made it', wrap: true, cell: settings },
        {
          key: 'file',
          head: 'File',
          cell: v =>
            v.mend ? (
              <a href={`/api/artwork/${artwork.id}/versions/${v.id}`} download>
                PNG of the version on {v.cloth}
              </a>
            ) : (
              '–'
            ),
        },
        { key: 'used', head: 'Printed from', cell: v => (newest.get(v.cloth) === v.id ? 'yes' : 'no more') },
        { key: 'who', head: 'Who', cell: v => v.byName },
        { key: 'at', head: 'When', cell: v => formatMoment(instantOf(v.at), zone) },
      ]}
    />
  )
}
