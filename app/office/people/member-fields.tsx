import { Choices } from '@/app/parts/choices'
import { Field } from '@/app/parts/field'
import { MoneyField } from '@/app/parts/money-field'
import { STATION_KINDS, STATION_WORDS, type StationKind } from '@/lib/shop/stations'
import { minor } from '@/lib/units/money'

/** Name, wage and skills of somebody who works here. */
export function MemberFields({
  name,
  wage,
  skills,
  currency,
}: {
  name: string
  wage: number
  skills: readonly StationKind[]
  currency: string
}) {
  return (
    <>
      <Field name="name" label="Name" value={name} maxLength={80} required />
      <MoneyField
        name="wage"
        label="Wage an hour"
        value={minor(wage)}
        currency={currency}
        hint="Pay and what the shop pays on top of it."
        required
      />
      <Choices
        name="skills"
        label="Works at"
        many
        values={skills}
        options={STATION_KINDS.map(k => ({ value: k, label: STATION_WORDS[k].name }))}
      />
    </>
  )
}
