import { ActionForm } from '@/app/parts/action-form'
import { Choices } from '@/app/parts/choices'
import { Field } from '@/app/parts/field'
import { MoneyField } from '@/app/parts/money-field'
import { Row } from '@/app/parts/row'
import { SubmitButton } from '@/app/parts/submit-button'
import { PAYMENT_MEANS, type PaymentKind } from '@/lib/orders/order'
import type { Minor } from '@/lib/units/money'
import { paymentAction } from './actions'

/**
 * Money taken or given back. Filled with what is due next.
 * @param formKey of this showing of the form: sent twice, it books once
 */
export function MoneyForm({
  number,
  formKey,
  kind,
  amount,
  currency,
}: {
  number: number
  formKey: string
  kind: PaymentKind
  amount: Minor
  currency: string
}) {
  return (
    <ActionForm action={paymentAction.bind(null, number)} label="Book money">
      <input type="hidden" name="formKey" value={formKey} />
      <Choices
        key={`kind-${formKey}`}
        name="kind"
        label="What it is"
        across
        value={kind}
        options={[
          { value: 'deposit', label: 'Deposit' },
          { value: 'rest', label: 'Rest' },
          { value: 'refund', label: 'Refund' },
        ]}
      />
      <Row>
        <MoneyField
          key={`amount-${formKey}`}
          name="amount"
          label="Amount"
          currency={currency}
          size={14}
          value={amount > 0 ? amount : null}
        />
        <Choices
          name="means"
          label="By"
          across
          value="card"
          options={PAYMENT_MEANS.map(value => ({ value, label: value }))}
        />
      </Row>
      <Field
        key={`note-${formKey}`}
        name="note"
        label="Note"
        required={false}
        hint="A refund says why."
        maxLength={600}
      />
      <SubmitButton look="plain">Book it</SubmitButton>
    </ActionForm>
  )
}
