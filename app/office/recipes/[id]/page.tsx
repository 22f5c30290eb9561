import type { Metadata } from 'next'
import { notFound } from 'next/navigation'
import { Choices } from '@/app/parts/choices'
import { DataTable } from '@/app/parts/data-table'
import { Field } from '@/app/parts/field'
import { Notice } from '@/app/parts/notice'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Row } from '@/app/parts/row'
import { Section } from '@/app/parts/section'
import { SelectField } from '@/app/parts/select-field'
import { Sign } from '@/app/parts/sign'
import { SubmitButton } from '@/app/parts/submit-button'
import { mayDo } from '@/lib/server/rights'
import { requirePerson } from '@/lib/server/session'
import { METHOD_WORDS } from '@/lib/shop/methods'
import { peelSchema, pressureSchema } from '@/lib/shop/recipe'
import { type RecipeField, recipeChanges, recipeFields, shownValue, unitOf } from '@/lib/shop/recipe-changes'
import { type RecipeRow, recipeVersions } from '@/lib/shop/recipes/store'
import { tooHot } from '@/lib/shop/revise-recipe'
import { STARTING_VALUE } from '@/lib/shop/sourced'
import { shop, stations } from '@/lib/shop/store'
import { type MeasureSystem, mm } from '@/lib/units/measure'
import { formatMoment } from '@/lib/units/time'
import { ORIGIN_WORDS, type Origin } from '@/lib/units/working'
import styles from '../../office.module.css'
import { OfficeNav } from '../../office-nav'
import { saveRecipeAction } from '../actions'
import { Belt } from '../belt'
import { RecipeForm } from '../recipe-form'

/** Heated length of a small dryer where the shop's own is not known, mm. Common practice. */
const USUAL_BELT_MM = 1200

type Address = { params: Promise<{ id: string }> }

export async function generateMetadata({ params }: Address): Promise<Metadata> {
  const [newest] = await recipeVersions((await params).id)
  return { title: newest ? `Recipe ${newest.recipe.name}` : 'Recipe' }
}

/** One recipe: each value with where it came from, and every version that it had. */
export default async function RecipePage({ params }: Address) {
  const person = await requirePerson('books.see')
  const [versions, facts, machines] = await Promise.all([
    recipeVersions((await params).id),
    shop(),
    stations(),
  ])
  const [newest] = versions
  if (!newest) notFound()
  const { recipe } = newest
  const fields = recipeFields(recipe)
  const groups = [...new Set(fields.map(f => f.group))]
  const onBelt = recipe.steps.find(s => s.stationKind === 'dryer')?.settings[0]?.dwellSeconds.value || null
  const heated = mm(machines.find(m => m.kind === 'dryer')?.bedHeightMm ?? USUAL_BELT_MM)
  const may = mayDo(person, 'rates.change')
  return (
    <RoomPage>
      <OfficeNav current="/office/recipes" />
      <PageHead
        title={recipe.name}
        back={{ href: '/office/recipes', label: 'Recipes' }}
        sense={`${METHOD_WORDS[recipe.method].name}, ${recipe.supply === 'bought-in' ? 'bought in by the sheet' : 'made here'}. Version ${recipe.version}${newest.at === null ? '' : `, ${newest.byName}, ${formatMoment(newest.at, facts.timeZone)}`}.`}
      />
      <div className={styles.notices}>
        <Notice>{STARTING_VALUE}</Notice>
        {tooHot(recipe).map(text => (
          <Notice key={text} kind="caution" title="Too hot.">
            {text}
          </Notice>
        ))}
      </div>
      {/* Keyed by version: a saved form is drawn anew with what is saved. */}
      <RecipeForm
        key={recipe.version}
        action={saveRecipeAction.bind(null, recipe.id)}
        version={recipe.version}
      >
        <Field name="name" label="Name" value={recipe.name} maxLength={80} required />
        {groups.map(group => (
          <Section key={group} title={group}>
            <div className={styles.values}>
              {fields
                .filter(f => f.group === group)
                .map(f => (
                  <ValueField key={f.path} field={f} system={facts.measures} />
                ))}
            </div>
          </Section>
        ))}
        {recipe.notes.length > 0 && (
          <Section title="Notes">
            <ul className={styles.list}>
              {recipe.notes.map(n => (
                <li key={n}>{n}</li>
              ))}
            </ul>
          </Section>
        )}
        {may && (
          <Section title="Keep it as a new version">
            <Row align="top">
              <Choices
                name="ground"
                label="How you know the new values"
                value="setting"
                options={[
                  { value: 'setting', label: 'We set it so', note: 'A wish, or the maker’s data sheet.' },
                  { value: 'measured', label: 'Measured here', note: 'With a probe, a scale, a clock.' },
                ]}
              />
              <Field
                name="note"
                label="With what"
                required={false}
                maxLength={120}
                hint="Stands beside the value as its source: donut probe, sheet of the film."
              />
            </Row>
            <SubmitButton look="primary">Save as version {recipe.version + 1}</SubmitButton>
          </Section>
        )}
      </RecipeForm>
      {onBelt !== null && (
        <Section title="The belt of the dryer">
          <Belt dwell={onBelt} heated={heated} system={facts.measures} />
        </Section>
      )}
      <Section title="Versions">
        <Versions versions={versions} system={facts.measures} zone={facts.timeZone} />
      </Section>
    </RoomPage>
  )
}

/** Whether a value is the shop's own: measured or set here. */
const isOwn = (from: Origin) => from === 'measured' || from === 'setting'

function ValueField({ field, system }: { field: RecipeField; system: MeasureSystem }) {
  const { held } = field
  const hint = (
    <>
      <b className={isOwn(held.from) ? styles.own : undefined}>
        {isOwn(held.from) && <Sign name="done" />} {ORIGIN_WORDS[held.from]}
      </b>
      {held.source ? `: ${held.source.replace(/^(measured|set) here(, |; )/, '')}` : ''}
    </>
  )
  const shown = shownValue(field, system)
  const choices = field.kind === 'pressure' ? pressureSchema : field.kind === 'peel' ? peelSchema : null
  return choices ? (
    <SelectField
      name={field.path}
      label={field.label}
      value={shown}
      hint={hint}
      options={choices.options.map(o => ({ value: o, label: o }))}
    />
  ) : (
    <Field
      name={field.path}
      label={field.label}
      value={shown}
      unit={unitOf(field, system)}
      hint={hint}
      size={12}
      inputMode="decimal"
    />
  )
}

function Versions({
  versions,
  system,
  zone,
}: {
  versions: readonly RecipeRow[]
  system: MeasureSystem
  zone: string
}) {
  return (
    <DataTable
      caption="Every version, newest first"
      quietCaption
      rows={versions.map((v, i) => ({ ...v, before: versions[i + 1] }))}
      rowKey={v => String(v.recipe.version)}
      columns={[
        { key: 'version', head: 'Version', rowHead: true, cell: v => v.recipe.version },
        {
          key: 'when',
          head: 'Since',
          cell: v => (v.at === null ? 'the beginning' : formatMoment(v.at, zone)),
        },
        { key: 'who', head: 'Who', cell: v => v.byName || '–' },
        {
          key: 'what',
          head: 'What changed',
          wrap: true,
          cell: v => {
            if (!v.before) return 'the first version'
            const list = recipeChanges(v.before.recipe, v.recipe, system)
            return (
              <ul className={styles.list}>
                {list.map(c => (
                  <li key={c.name}>
                    {c.name}: {c.before} → {c.after}
                  </li>
                ))}
              </ul>
            )
          },
        },
      ]}
    />
  )
}
