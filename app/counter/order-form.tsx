'use client'
import dynamic from 'next/dynamic'
import { useState } from 'react'
import { ActionForm } from '@/app/parts/action-form'
import { Button } from '@/app/parts/button'
import { Field } from '@/app/parts/field'
import type { FormAnswer } from '@/app/parts/form-context'
import { Row } from '@/app/parts/row'
import { SubmitButton } from '@/app/parts/submit-button'
import { TextArea } from '@/app/parts/text-area'
import { TickField } from '@/app/parts/tick-field'
import type { MeasureSystem } from '@/lib/units/measure'
import type { SaveAnswer } from './actions'
import styles from './counter.module.css'
import { CustomerChoice, type KnownCustomer } from './customer-choice'
import type { FormStyle } from './form-catalogue'
import { emptyLine, type FormLine, inAnotherColour, LineFields } from './line-fields'

// Read only where two people saved the same thing: its table stays out of what the form loads at first.
const Differences = dynamic(() => import('./differences').then(m => m.Differences))

/** An order as the form is filled with it. */
export type OrderFields = {
  customer?: KnownCustomer
  title: string
  note: string
  promiseDay: string
  promiseTime: string
  promiseHard: boolean
  rush: boolean
  lines: FormLine[]
}

/**
 * The form of an enquiry: who, by when, what on what. Typed through by keyboard from top to foot.
 * @param lock { formKey } for a new order, { version } for one that is changed
 */
export function OrderForm({
  action,
  lock,
  fields,
  catalogue,
  customers,
  system,
  today,
  save,
}: {
  action: (before: FormAnswer | null, form: FormData) => Promise<SaveAnswer>
  lock: { formKey: string } | { version: number }
  fields: OrderFields
  catalogue: readonly FormStyle[]
  customers: readonly KnownCustomer[]
  system: MeasureSystem
  today: string
  save: string
}) {
  const [lines, setLines] = useState<FormLine[]>(fields.lines.length ? fields.lines : [emptyLine(0)])
  const [conflict, setConflict] = useState<SaveAnswer | null>(null)
  const send = async (before: FormAnswer | null, form: FormData): Promise<FormAnswer> => {
    if (document.querySelector('progress'))
      return { ok: false, message: 'The artwork is still being sent: wait until it is in, then save again.' }
    const answer = await action(before, form)
    setConflict(answer?.differences ? answer : null)
    return answer
  }
  const nextKey = (all: readonly FormLine[]) => Math.max(...all.map(l => l.key)) + 1
  /** The button for it is there only where the blank comes in a colour that is not in the form yet. */
  const onAgain = (line: FormLine) => {
    const added = inAnotherColour(line, lines, catalogue, nextKey(lines))
    return added
      ? { onAgain: () => setLines(all => all.flatMap(l => (l.key === line.key ? [l, added] : [l]))) }
      : {}
  }
  const change = (line: FormLine) => setLines(all => all.map(l => (l.key === line.key ? line : l)))
  return (
    <ActionForm action={send} className={styles.order}>
      {conflict?.differences && <Differences rows={conflict.differences} />}
      {'formKey' in lock ? (
        <input type="hidden" name="formKey" value={lock.formKey} />
      ) : (
        <input type="hidden" name="version" value={conflict?.version ?? lock.version} />
      )}
      <CustomerChoice customers={customers} chosen={fields.customer} />
      <Row>
        <Field
          name="title"
          label="What it is for"
          required={false}
          value={fields.title}
          maxLength={200}
          placeholder="spring concert, staff shirts"
        />
        <Field name="promiseDay" label="Promise" type="date" min={today} value={fields.promiseDay} />
        <Field name="promiseTime" label="by" type="time" value={fields.promiseTime} />
      </Row>
      <Row>
        <TickField
          name="promiseHard"
          label="Hard promise"
          note="An event: late is worthless."
          checked={fields.promiseHard}
        />
        <TickField name="rush" label="Rush" note="Priced with the shop’s rush rate." checked={fields.rush} />
      </Row>
      {lines.map((line, i) => (
        <section key={line.key} className={styles.block} aria-label={`Blank ${i + 1}`}>
          <div className={styles.blockHead}>
            <h2>{lines.length > 1 ? `Blank ${i + 1}` : 'Blank and print'}</h2>
          </div>
          <LineFields
            line={line}
            catalogue={catalogue}
            system={system}
            onChange={change}
            {...onAgain(line)}
            {...(lines.length > 1
              ? { onRemove: () => setLines(all => all.filter(l => l.key !== line.key)) }
              : {})}
          />
        </section>
      ))}
      <Button size="small" onClick={() => setLines(all => [...all, emptyLine(nextKey(all))])}>
        Another blank
      </Button>
      <TextArea name="note" label="Note" required={false} value={fields.note} rows={2} maxLength={3000} />
      <div className={styles.send}>
        <SubmitButton>{save}</SubmitButton>
      </div>
    </ActionForm>
  )
}
