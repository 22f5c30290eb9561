import { ActionForm } from '@/app/parts/action-form'
import { Choices } from '@/app/parts/choices'
import { Field } from '@/app/parts/field'
import { MoneyField } from '@/app/parts/money-field'
import { Section } from '@/app/parts/section'
import { SelectField } from '@/app/parts/select-field'
import { SubmitButton } from '@/app/parts/submit-button'
import { TickField } from '@/app/parts/tick-field'
import { EVERYDAY, formatAmount, LOT_KINDS, UNITS } from '@/lib/stock/items'
import type { ItemLine, lotsOf } from '@/lib/stock/views/store'
import { countAction, moveAction, receiveAction } from '../../actions'
import styles from '../../stockroom.module.css'
import { FormKey } from './form-key'

/** What one does at the shelf: count, take in, take out or bring back. */
export function AtTheShelf({
  item,
  lots,
  prices,
  currency,
}: {
  item: ItemLine
  lots: Awaited<ReturnType<typeof lotsOf>>
  prices: boolean
  currency: string
}) {
  const { unit } = item
  const pieces = unit === 'piece' ? 'pieces' : UNITS[EVERYDAY[unit]].word
  const pack = item.pricePer > 1 ? `; a pack is ${formatAmount(item.pricePer, unit)}` : ''
  const hint = `In ${pieces}, or say the unit${pack}${item.widthMm ? '; 12 m is so long of the roll' : ''}.`
  return (
    <div className={styles.forms}>
      <Section title="Count" id="count">
        <ActionForm action={countAction.bind(null, item.sku)} label="Count this shelf" clear>
          <FormKey />
          <Field name="found" label="Really there" hint={hint} size={9} inputMode="decimal" required />
          <Field name="why" label="Note" required={false} maxLength={300} />
          <SubmitButton>Book the count</SubmitButton>
        </ActionForm>
      </Section>
      <Section title="Receive">
        <ActionForm action={receiveAction.bind(null, item.sku)} label="Receive without a purchase" clear>
          <FormKey />
          <Field name="quantity" label="Came in" hint={hint} size={9} inputMode="decimal" required />
          {prices && (
            <MoneyField
              name="cost"
              label="Cost of all of it"
              hint="Empty: at its usual price."
              currency={currency}
              required={false}
            />
          )}
          {LOT_KINDS.includes(item.kind) && (
            <>
              <Field name="lot" label="Lot" size={12} maxLength={40} required={false} />
              <Field name="goodUntil" label="Good until" type="date" required={false} />
              <TickField name="anyway" label="Out of date: take it in anyway" />
            </>
          )}
          <Field name="why" label="Note" required={false} maxLength={300} />
          <SubmitButton look="plain">Receive</SubmitButton>
        </ActionForm>
      </Section>
      <Section title="Take out or return">
        <ActionForm action={moveAction.bind(null, item.sku)} label="Take out or return" clear>
          <FormKey />
          <Choices
            name="kind"
            label="What happened"
            value="spoiled"
            options={[
              { value: 'spoiled', label: 'Spoiled on the shelf' },
              { value: 'supplier', label: 'Back to the supplier' },
              { value: 'order', label: 'Back from an order, unused' },
            ]}
          />
          <Field name="quantity" label="How much" hint={hint} size={9} inputMode="decimal" required />
          {lots.length > 1 && (
            <SelectField
              name="lot"
              label="Lot"
              options={[
                { value: 'any', label: 'in the order of use' },
                ...lots.map(l => ({ value: l.lot, label: l.lot || 'no lot' })),
              ]}
            />
          )}
          <Field name="order" label="Order" size={8} inputMode="numeric" required={false} />
          <Field name="why" label="Why" maxLength={300} />
          <SubmitButton look="plain">Book it</SubmitButton>
        </ActionForm>
      </Section>
    </div>
  )
}
