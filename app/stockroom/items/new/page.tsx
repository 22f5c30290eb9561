import type { Metadata } from 'next'
import { ActionForm } from '@/app/parts/action-form'
import { Field } from '@/app/parts/field'
import { MoneyField } from '@/app/parts/money-field'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Row } from '@/app/parts/row'
import { SelectField } from '@/app/parts/select-field'
import { SubmitButton } from '@/app/parts/submit-button'
import { requirePerson } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import { ITEM_KINDS, KIND_WORDS } from '@/lib/stock/items'
import { newItemAction } from '../../actions'

export const metadata: Metadata = { title: 'New item' }

/** Adds a consumable, a pack of film, a box of bags. Blanks come with their style. */
export default async function NewItem() {
  await requirePerson('stock.buy')
  const { currency } = await shop()
  return (
    <RoomPage narrow>
      <PageHead
        back={{ href: '/stockroom/items', label: 'Items' }}
        title="New item"
        sense="Something on a shelf that was not in the book so far."
      />
      <ActionForm action={newItemAction}>
        <Field name="name" label="Name" maxLength={120} required />
        <Row>
          <Field
            name="sku"
            label="SKU"
            hint="Short and lasting: letters, digits, dashes."
            size={16}
            maxLength={40}
            required
          />
          <SelectField
            name="kind"
            label="Kind"
            empty="choose a kind"
            options={ITEM_KINDS.filter(k => k !== 'blank').map(k => ({ value: k, label: KIND_WORDS[k] }))}
          />
          <SelectField
            name="unit"
            label="Counted in"
            empty="choose a unit"
            options={[
              { value: 'piece', label: 'pieces' },
              { value: 'ul', label: 'litres, down to µl' },
              { value: 'mg', label: 'kilograms, down to mg' },
              { value: 'mm', label: 'metres, down to mm' },
              { value: 'cm2', label: 'square metres, down to cm²' },
            ]}
          />
        </Row>
        <Row>
          <Field
            name="pack"
            label="A pack holds"
            hint="5 kg, 100, 30 m; empty: one piece."
            size={10}
            required={false}
          />
          <MoneyField name="price" label="Price of a pack" currency={currency} required />
          <Field
            name="widthMm"
            label="Width of the roll"
            unit="mm"
            size={11}
            inputMode="numeric"
            hint="For film by area: then 30 m is so long of it."
            required={false}
          />
        </Row>
        <Row>
          <Field name="supplier" label="Supplier" maxLength={120} required={false} />
          <Field
            name="leadDays"
            label="Lead time"
            value={3}
            unit="days"
            size={4}
            inputMode="numeric"
            required
          />
        </Row>
        <SubmitButton look="primary">Add the item</SubmitButton>
      </ActionForm>
    </RoomPage>
  )
}
