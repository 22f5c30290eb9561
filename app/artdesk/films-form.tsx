import Link from 'next/link'
import { ActionForm } from '@/app/parts/action-form'
import { Choices } from '@/app/parts/choices'
import { Field } from '@/app/parts/field'
import { MeasureField } from '@/app/parts/measure-field'
import { Row, Stack } from '@/app/parts/row'
import { SubmitButton } from '@/app/parts/submit-button'
import { DEFAULT_LAYERS } from '@/lib/artwork/print-files'
import type { ArtworkUse } from '@/lib/artwork/store'
import type { MeasureSystem } from '@/lib/units/measure'
import { keepFilmsAction, usualFilmsAction } from './actions'

/**
 * How a print's films are made: inks, mesh, choke, ruling and angle, and which inks of the shelf may name a film.
 * @param inks as many as the films have as they stand
 * @param shelf names of the inks on the shelf
 */
export function FilmsForm({
  use,
  about,
  screens,
  inks,
  shelf,
  system,
}: {
  use: ArtworkUse
  about: string
  screens: boolean
  inks: number
  shelf: readonly string[]
  system: MeasureSystem
}) {
  const films = use.films ?? DEFAULT_LAYERS
  return (
    <details>
      <summary>{screens ? 'Choose inks, mesh, choke and halftone' : 'Choose the choke of the white'}</summary>
      <Stack>
        <ActionForm action={keepFilmsAction} label={`How the films are made: ${about}`}>
          <input type="hidden" name="print" value={use.printId} />
          <input type="hidden" name="was" value={JSON.stringify(use.films)} />
          <Row>
            {screens ? (
              <>
                <Field
                  name="inks"
                  label="Inks at most"
                  inputMode="numeric"
                  size={6}
                  value={use.films?.inks ?? ''}
                  hint={`empty: as the art needs, now ${inks}`}
                />
                <Field
                  name="mesh"
                  label="Mesh"
                  unit="threads/in"
                  inputMode="numeric"
                  size={16}
                  value={films.mesh}
                />
              </>
            ) : (
              <input type="hidden" name="mesh" value={films.mesh} />
            )}
            <MeasureField
              name="choke"
              label="Choke of the white"
              system={system}
              value={films.chokeMm}
              hint="how far it lies inside the colour"
            />
            {screens && (
              <>
                <Field
                  name="lpi"
                  label="Ruling"
                  unit="lines/in"
                  inputMode="decimal"
                  size={14}
                  value={films.lpi ?? ''}
                  hint="empty: what the mesh holds"
                />
                <Field
                  name="angle"
                  label="First angle"
                  unit="°"
                  inputMode="decimal"
                  size={9}
                  value={films.angle ?? ''}
                  hint="empty: 22.5°, others 30° apart"
                />
              </>
            )}
          </Row>
          {screens && shelf.length > 0 && (
            <Choices
              name="shelf"
              label="Inks of the shop that may be used"
              many
              across
              values={use.films?.shelf ?? [...shelf]}
              options={shelf.map(name => ({ value: name, label: name }))}
            />
          )}
          {screens && (
            <p>
              {shelf.length > 0
                ? 'A colour of the art that is near an ink of the shop is printed with it: '
                : 'No ink of the shop is named yet, so films carry a number and a colour: '}
              <Link href="/artdesk/inks">{shelf.length > 0 ? 'the list of inks' : 'name the inks'}</Link>.
            </p>
          )}
          <SubmitButton look="plain">Make the films so</SubmitButton>
        </ActionForm>
        {use.films && (
          <ActionForm action={usualFilmsAction} label={`Back to the usual films: ${about}`}>
            <input type="hidden" name="print" value={use.printId} />
            <input type="hidden" name="was" value={JSON.stringify(use.films)} />
            <SubmitButton look="quiet">Back to the usual</SubmitButton>
          </ActionForm>
        )}
      </Stack>
    </details>
  )
}
