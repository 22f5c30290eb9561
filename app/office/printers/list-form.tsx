'use client'
import { useState } from 'react'
import { ActionForm } from '@/app/parts/action-form'
import { Field } from '@/app/parts/field'
import type { FormAnswer } from '@/app/parts/form-context'
import { MoneyField } from '@/app/parts/money-field'
import { Notice } from '@/app/parts/notice'
import { Row } from '@/app/parts/row'
import { SelectField } from '@/app/parts/select-field'
import { SubmitButton } from '@/app/parts/submit-button'
import { TextArea } from '@/app/parts/text-area'
import { METHOD_WORDS, METHODS } from '@/lib/shop/methods'
import type { ListAnswer } from './actions'

/** What the form is filled with: rows as text, amounts as typed. */
export type ListFields = {
  name: string
  method: string
  days: string
  setupEach: string
  freight: string
  rows: string
}

/** The form of a price list. @param version 0 for a new one */
export function ListForm({
  action,
  version,
  fields,
  currency,
}: {
  action: (before: FormAnswer | null, form: FormData) => Promise<ListAnswer>
  version: number
  fields: ListFields
  currency: string
}) {
  const [conflict, setConflict] = useState<ListAnswer | null>(null)
  const send = async (before: FormAnswer | null, form: FormData): Promise<FormAnswer> => {
    const answer = await action(before, form)
    setConflict(answer?.version === undefined ? null : answer)
    return answer
  }
  return (
    <ActionForm action={send} label="Price list">
      {conflict?.stands && <Notice title="Saved meanwhile:">{conflict.stands}</Notice>}
      <input type="hidden" name="version" value={conflict?.version ?? version} />
      <Row align="top">
        <Field name="name" label="What you call them" value={fields.name} maxLength={80} required />
        <SelectField
          name="method"
          label="They print by"
          empty="choose a method"
          value={fields.method}
          required
          options={METHODS.map(m => ({ value: m, label: METHOD_WORDS[m].name }))}
        />
        <Field
          name="days"
          label="Away"
          unit="working days"
          size={12}
          value={fields.days}
          inputMode="numeric"
          hint="Both ways in the post with them."
          required
        />
      </Row>
      <Row align="top">
        <MoneyField
          name="setupEach"
          label="Set-up of each print"
          currency={currency}
          value={fields.setupEach}
          required
        />
        <MoneyField
          name="freight"
          label="Freight, there and back"
          currency={currency}
          value={fields.freight}
          required
        />
      </Row>
      <TextArea
        name="rows"
        label="Price of one print on one piece"
        value={fields.rows}
        rows={6}
        required
        hint="One row on each line: from how many pieces, then the price. 10 3.20 means 3.20 each from 10 pieces on. Before tax, our blanks."
      />
      <SubmitButton look="primary">Save the price list</SubmitButton>
    </ActionForm>
  )
}
