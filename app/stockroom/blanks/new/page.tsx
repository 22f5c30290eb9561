import type { Metadata } from 'next'
import { ActionForm } from '@/app/parts/action-form'
import { Choices } from '@/app/parts/choices'
import { Field } from '@/app/parts/field'
import { MoneyField } from '@/app/parts/money-field'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Row } from '@/app/parts/row'
import { SelectField } from '@/app/parts/select-field'
import { SubmitButton } from '@/app/parts/submit-button'
import { TextArea } from '@/app/parts/text-area'
import { requirePerson } from '@/lib/server/session'
import { BLANK_KIND_WORDS, BLANK_KINDS, SIZES } from '@/lib/shop/blanks'
import { shop } from '@/lib/shop/store'
import { newStyleAction } from '../../actions'

export const metadata: Metadata = { title: 'New style of blank' }

/** Writes a style of blank down: what it is made of decides which methods can print it. */
export default async function NewStyle() {
  await requirePerson('stock.buy')
  const { currency } = await shop()
  return (
    <RoomPage narrow>
      <PageHead
        back={{ href: '/stockroom/blanks', label: 'Blanks by size' }}
        title="New style"
        sense="Every colour gets every size. What it is made of decides how it can be printed."
      />
      <ActionForm action={newStyleAction}>
        <Row>
          <Field name="name" label="Name" maxLength={80} required />
          <Field name="code" label="Code" hint="Begins every SKU: T180." size={10} maxLength={12} required />
          <SelectField
            name="kind"
            label="Kind"
            empty="choose a kind"
            options={BLANK_KINDS.map(k => ({ value: k, label: BLANK_KIND_WORDS[k] }))}
          />
        </Row>
        <Field
          name="fibres"
          label="Made of"
          hint="In percent, from its label: 60 cotton, 40 polyester. A mug with a coat for dye: 100 coating."
          required
        />
        <TextArea
          name="colours"
          label="Colours"
          rows={4}
          hint="One on each line with its value on the screen: Black #1b1b1e"
          required
        />
        <Choices
          name="sizes"
          label="Sizes"
          many
          across
          values={['S', 'M', 'L', 'XL', '2XL']}
          options={SIZES.map(s => ({ value: s, label: s }))}
        />
        <Row>
          <MoneyField name="price" label="Price of a piece" currency={currency} required />
          <MoneyField name="larger" label="More from 2XL up" currency={currency} required={false} />
        </Row>
        <Row>
          <Field name="supplier" label="Supplier" maxLength={120} required={false} />
          <Field
            name="leadDays"
            label="Lead time"
            value={3}
            unit="days"
            size={9}
            inputMode="numeric"
            required
          />
        </Row>
        <Row>
          <Field
            name="reorderPoint"
            label="Reorder each size at"
            value={6}
            size={6}
            inputMode="numeric"
            required
          />
          <Field name="reorderTo" label="Order up to" value={24} size={6} inputMode="numeric" required />
        </Row>
        <SubmitButton look="primary">Write the style down</SubmitButton>
      </ActionForm>
    </RoomPage>
  )
}
