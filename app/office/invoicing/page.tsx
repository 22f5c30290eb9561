import type { Metadata } from 'next'
import { ActionForm } from '@/app/parts/action-form'
import { Field } from '@/app/parts/field'
import { Notice } from '@/app/parts/notice'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Section } from '@/app/parts/section'
import { SelectField } from '@/app/parts/select-field'
import { SubmitButton } from '@/app/parts/submit-button'
import { TextArea } from '@/app/parts/text-area'
import { WhatHappened } from '@/app/what-happened'
import { invoiceName, TAX_BY, TAX_BY_WORDS } from '@/lib/books/invoices/invoice'
import { invoicing, nextNumbers } from '@/lib/books/invoices/store'
import { nextOrderNumber } from '@/lib/orders/store'
import { historyOf } from '@/lib/server/history'
import { requirePerson } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import styles from '../office.module.css'
import { OfficeNav } from '../office-nav'
import { invoicingAction, orderNumberAction } from './actions'

export const metadata: Metadata = { title: 'Invoicing' }

/** What stands on invoices, and how the numbers of invoices and orders run. */
export default async function InvoicingPage() {
  const who = await requirePerson('shop.change')
  const [facts, rules, next, nextOrder, past] = await Promise.all([
    shop(),
    invoicing(),
    nextNumbers(),
    nextOrderNumber(),
    historyOf('shop', 'invoicing', 50),
  ])
  return (
    <RoomPage narrow>
      <OfficeNav current="/office/invoicing" />
      <PageHead
        title="Invoicing"
        sense="What stands on invoices from now on, and how numbers run. Tax and prices are under Rates."
      />
      <Section title="On every invoice">
        {!rules.seller && (
          <Notice>No invoice can be written until it says who invoices: type the name and address.</Notice>
        )}
        <ActionForm key={JSON.stringify(rules)} action={invoicingAction} label="On every invoice">
          <TextArea
            name="seller"
            label="Who invoices"
            rows={4}
            maxLength={500}
            value={rules.seller}
            hint="The full name and address, line by line."
            required
          />
          <div className={styles.fields}>
            <Field
              name="taxNumber"
              label="Tax number"
              value={rules.taxNumber}
              maxLength={60}
              required={false}
            />
            <Field name="days" label="Due after" value={String(rules.days)} unit="days" size={10} required />
          </div>
          <Field
            name="bank"
            label="Where to pay"
            value={rules.bank}
            maxLength={300}
            hint="Bank and account number, on one line."
            required={false}
          />
          <TextArea
            name="note"
            label="At the foot"
            rows={2}
            maxLength={500}
            value={rules.note}
            required={false}
          />
          <div className={styles.fields}>
            <Field
              name="prefix"
              label="Before the number"
              value={rules.prefix}
              size={8}
              hint={`The next invoice is ${invoiceName('invoice', next.invoice, rules)}.`}
              required={false}
            />
            <Field name="first" label="First number" value={String(rules.first)} size={8} required />
            <Field
              name="creditPrefix"
              label="Before a credit note’s"
              value={rules.creditPrefix}
              size={8}
              hint={`The next credit note is ${invoiceName('credit', next.credit, rules)}.`}
              required={false}
            />
            <Field
              name="firstCredit"
              label="First credit note"
              value={String(rules.firstCredit)}
              size={8}
              required
            />
          </div>
          <SelectField
            name="taxBy"
            label="Tax is owed"
            value={rules.taxBy}
            hint="How the tax of a period is counted under Money. No invoice changes with it."
            options={TAX_BY.map(by => ({ value: by, label: TAX_BY_WORDS[by] }))}
          />
          <Notice kind="caution">
            Whether tax may be counted by payments, and from when, is for the rules where the shop is. What an
            invoice has to say, and how its numbers run, is for the rules where the shop is: show one to your
            tax adviser before you send the first.
          </Notice>
          <SubmitButton look="primary">Save</SubmitButton>
        </ActionForm>
      </Section>
      <Section title="Numbers of orders">
        <ActionForm key={nextOrder} action={orderNumberAction} label="Numbers of orders">
          <Field
            name="nextOrder"
            label="Number of the next order"
            value={String(nextOrder)}
            size={10}
            inputMode="numeric"
            hint="It can only go up: no number is given twice."
            required
          />
          <SubmitButton look="plain">Go on from it</SubmitButton>
        </ActionForm>
      </Section>
      <WhatHappened about="what stands on invoices" lines={past} facts={facts} who={who} />
    </RoomPage>
  )
}
