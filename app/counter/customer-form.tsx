'use client'
import dynamic from 'next/dynamic'
import { useState } from 'react'
import { ActionForm } from '@/app/parts/action-form'
import { Field } from '@/app/parts/field'
import type { FormAnswer } from '@/app/parts/form-context'
import { SubmitButton } from '@/app/parts/submit-button'
import { TextArea } from '@/app/parts/text-area'
import { TickField } from '@/app/parts/tick-field'
import type { Customer } from '@/lib/orders/order'
import type { SaveAnswer } from './actions'

// Read only where two people saved the same thing: its table stays out of what the form loads at first.
const Differences = dynamic(() => import('./differences').then(m => m.Differences))

/** A customer's own page to fill in; an existing one carries the version it was filled from. */
export function CustomerForm({
  action,
  customer,
  formKey,
}: {
  action: (before: FormAnswer | null, form: FormData) => Promise<SaveAnswer>
  customer?: Customer
  formKey?: string
}) {
  const [conflict, setConflict] = useState<SaveAnswer | null>(null)
  const send = async (before: FormAnswer | null, form: FormData): Promise<FormAnswer> => {
    const answer = await action(before, form)
    setConflict(answer?.differences ? answer : null)
    return answer
  }
  return (
    <ActionForm action={send}>
      {conflict?.differences && <Differences rows={conflict.differences} />}
      {customer && <input type="hidden" name="version" value={conflict?.version ?? customer.version} />}
      {formKey && <input type="hidden" name="formKey" value={formKey} />}
      <Field name="name" label="Name" value={customer?.name} maxLength={200} autoFocus={!customer} />
      <Field name="contact" label="Contact" required={false} value={customer?.contact} maxLength={200} />
      <Field name="phone" label="Phone" type="tel" required={false} value={customer?.phone} maxLength={60} />
      <Field
        name="email"
        label="E-mail"
        type="email"
        required={false}
        value={customer?.email}
        maxLength={250}
      />
      <TextArea name="address" label="Address" required={false} value={customer?.address} rows={3} />
      <TextArea name="note" label="Note" required={false} value={customer?.note} rows={2} />
      <TickField
        name="taxExempt"
        label="Exempt from tax"
        note="Keep the certificate: rules differ by place, and this tool gives no advice on them."
        checked={customer?.taxExempt}
      />
      <SubmitButton>{customer ? 'Save the customer' : 'Write the customer down'}</SubmitButton>
    </ActionForm>
  )
}
