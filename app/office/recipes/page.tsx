import type { Metadata } from 'next'
import Link from 'next/link'
import { ActionForm } from '@/app/parts/action-form'
import { DataTable } from '@/app/parts/data-table'
import { Field } from '@/app/parts/field'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Row } from '@/app/parts/row'
import { Section } from '@/app/parts/section'
import { SelectField } from '@/app/parts/select-field'
import { StateMark } from '@/app/parts/state-mark'
import { SubmitButton } from '@/app/parts/submit-button'
import { mayDo } from '@/lib/server/rights'
import { requirePerson } from '@/lib/server/session'
import { METHOD_WORDS, METHODS } from '@/lib/shop/methods'
import type { Recipe } from '@/lib/shop/recipe'
import { recipeFields } from '@/lib/shop/recipe-changes'
import { recipesNow } from '@/lib/shop/recipes/store'
import { tooHot } from '@/lib/shop/revise-recipe'
import { STATION_WORDS } from '@/lib/shop/stations'
import { stations } from '@/lib/shop/store'
import { OfficeNav } from '../office-nav'
import { newRecipeAction } from './actions'

export const metadata: Metadata = { title: 'Recipes' }

/** How many values of a recipe come from where, the shop's own first. */
function grounds(recipe: Recipe): string {
  const count = (...from: string[]) => recipeFields(recipe).filter(f => from.includes(f.held.from)).length
  return (
    [
      [count('measured'), 'measured here'],
      [count('setting', 'agreed'), 'set here'],
      [count('published'), 'published'],
      [count('default'), 'default'],
    ] as const
  )
    .filter(([n]) => n > 0)
    .map(([n, words]) => `${n} ${words}`)
    .join(', ')
}

/** The shop's recipes: how each method is worked, and how well each value is known. */
export default async function Recipes() {
  const person = await requirePerson('books.see')
  const [{ usual, more }, machines] = await Promise.all([recipesNow(), stations()])
  const all = [...METHODS.map(m => usual[m]), ...more]
  const rows = METHODS.flatMap(m => all.filter(r => r.method === m))
  const missing = (recipe: Recipe) => [
    ...new Set(
      recipe.steps.map(s => s.stationKind).filter(kind => !machines.some(station => station.kind === kind)),
    ),
  ]
  return (
    <RoomPage>
      <OfficeNav current="/office/recipes" />
      <PageHead
        title="Recipes"
        sense="How each method is worked: what it takes in time, heat and material. Every one whose machines stand here is offered in the comparison; what was agreed keeps the version of its day."
      />
      <DataTable
        caption="Recipes by method"
        quietCaption
        rows={rows}
        rowKey={r => r.id}
        columns={[
          {
            key: 'name',
            head: 'Recipe',
            rowHead: true,
            wrap: true,
            cell: r => <Link href={`/office/recipes/${r.id}`}>{r.name}</Link>,
          },
          { key: 'method', head: 'Method', cell: r => METHOD_WORDS[r.method].short },
          { key: 'version', head: 'Version', numeric: true, cell: r => r.version },
          { key: 'steps', head: 'Steps', numeric: true, cell: r => r.steps.length, spare: true },
          { key: 'grounds', head: 'How its values are known', wrap: true, cell: grounds },
          {
            key: 'state',
            head: 'In use',
            wrap: true,
            cell: r =>
              tooHot(r).length > 0 ? (
                <StateMark state="risk">hotter than a cloth takes</StateMark>
              ) : missing(r).length > 0 ? (
                `no ${missing(r)
                  .map(kind => STATION_WORDS[kind].name.toLowerCase())
                  .join(', no ')} here`
              ) : (
                <StateMark state="done">
                  {usual[r.method].id === r.id ? 'yes, the usual one' : 'yes'}
                </StateMark>
              ),
          },
        ]}
      />
      {mayDo(person, 'rates.change') && (
        <Section title="A new recipe">
          <p>It begins with the values of another, each with where it came from; change them next.</p>
          <ActionForm action={newRecipeAction} label="A new recipe">
            <Row align="top">
              <SelectField
                name="from"
                label="From"
                empty="choose a recipe"
                required
                options={rows.map(r => ({
                  value: r.id,
                  label: r.name,
                  group: METHOD_WORDS[r.method].name,
                }))}
              />
              <Field
                name="name"
                label="Its name"
                required
                maxLength={80}
                hint="As the ticket will say it: stretch film, bought in."
              />
            </Row>
            <SubmitButton look="plain">Make the recipe</SubmitButton>
          </ActionForm>
        </Section>
      )}
    </RoomPage>
  )
}
