import { ActionForm } from '../action-form'
import { Choices } from '../choices'
import { Field } from '../field'
import { MeasureField } from '../measure-field'
import { MoneyField } from '../money-field'
import { Row } from '../row'
import { Section } from '../section'
import { SelectField } from '../select-field'
import { SizeRunField } from '../size-run-field'
import { SubmitButton } from '../submit-button'
import { TextArea } from '../text-area'
import { TickField } from '../tick-field'
import { tryForm } from './actions'

/** Every kind of field in one form that refuses. */
export function ShowForms() {
  return (
    <Section title="Fields">
      <ActionForm action={tryForm} label="All fields">
        <Row>
          <Field name="customer" label="Customer" hint="A name is enough to begin." required />
          <SelectField
            name="blank"
            label="Blank"
            empty="choose a blank"
            options={[
              { value: 'a', label: 'Heavy cotton tee', group: 'Tees' },
              { value: 'b', label: 'Polyester sports tee', group: 'Tees' },
              { value: 'c', label: 'Canvas tote', group: 'Bags' },
            ]}
          />
        </Row>
        <SizeRunField
          name="sizes"
          hint="Or paste a run: S 4, M 8, L 8, 2XL 4"
          sizes={[
            { size: 'S', quantity: 4, free: 12 },
            { size: 'M', quantity: 8, free: 30 },
            { size: 'L', quantity: 8, free: 6 },
            { size: 'XL', free: 18 },
            { size: '2XL', quantity: 4, free: 3, note: '+ €1.20' },
          ]}
        />
        <Row>
          <MeasureField name="width" label="Width of the print" system="metric" value={254} />
          <MeasureField name="heat" label="Heat" of="temperature" system="imperial" value={150} />
          <MoneyField name="price" label="Price" currency="EUR" value={1250} />
          <Field name="day" label="Promised for" type="date" value="2026-05-14" />
          <Field name="time" label="at" type="time" value="12:00" />
        </Row>
        <Choices
          name="promise"
          label="The promise is"
          value="soft"
          options={[
            { value: 'hard', label: 'hard', note: 'an event: a day later is no use' },
            { value: 'soft', label: 'soft', note: 'a day later would be forgiven' },
          ]}
        />
        <Choices
          name="placement"
          label="Placement"
          across
          value="front"
          options={[
            { value: 'front', label: 'Full front' },
            { value: 'chest', label: 'Left chest' },
            { value: 'back', label: 'Back' },
            { value: 'sleeve', label: 'Sleeve', disabled: true },
          ]}
        />
        <Choices
          name="days"
          label="Open on"
          many
          across
          values={['1', '2']}
          options={['Mon', 'Tue', 'Wed', 'Thu', 'Fri'].map((d, i) => ({ value: String(i + 1), label: d }))}
        />
        <TickField
          name="kids"
          label="Meant for children"
          note="Brings a reminder about fibre and safety labels."
        />
        <TextArea name="note" label="Note" required={false} hint="Travels on the ticket." />
        <Row align="middle">
          <SubmitButton>Try it</SubmitButton>
        </Row>
      </ActionForm>
    </Section>
  )
}
