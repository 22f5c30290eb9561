import type { Metadata } from 'next'
import { notFound } from 'next/navigation'
import { z } from 'zod'
import { ActionForm } from '@/app/parts/action-form'
import { Field } from '@/app/parts/field'
import { MoneyField } from '@/app/parts/money-field'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Row } from '@/app/parts/row'
import { SubmitButton } from '@/app/parts/submit-button'
import { TextArea } from '@/app/parts/text-area'
import { TickField } from '@/app/parts/tick-field'
import { requirePerson } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import { typedBreaks } from '@/lib/stock/breaks'
import { formatAmount, typedAmount } from '@/lib/stock/items'
import { findItem } from '@/lib/stock/views/store'
import { microToMinor } from '@/lib/units/money'
import { changeItemAction } from '../../../actions'
import { itemHref } from '../../../show'

export const metadata: Metadata = { title: 'Change an item' }

/** Changes what an item is called, costs and when it is ordered. Its book stays. */
export default async function EditItem({
  params,
  searchParams,
}: {
  params: Promise<{ sku: string }>
  searchParams: Promise<Record<string, string | string[] | undefined>>
}) {
  await requirePerson('stock.buy')
  const item = await findItem(decodeURIComponent((await params).sku))
  if (!item) notFound()
  const { currency } = await shop()
  // The point that its use asks for, where somebody chose to take it: saved like any other.
  const point = z.coerce
    .number()
    .int()
    .min(0)
    .optional()
    .catch(undefined)
    .parse((await searchParams).point)
  const bare = (n: number) => typedAmount(n, item.unit)
  return (
    <RoomPage narrow>
      <PageHead
        back={{ href: itemHref(item.sku), label: item.name }}
        title="Change the item"
        sense={`${item.sku}: what is in the book stays as it is.`}
      />
      <ActionForm action={changeItemAction.bind(null, item.sku)}>
        <input type="hidden" name="version" value={item.version} />
        <Field name="name" label="Name" value={item.name} maxLength={120} required />
        <Field name="supplier" label="Supplier" value={item.supplier} maxLength={120} required={false} />
        <MoneyField
          name="price"
          label={
            item.pricePer > 1
              ? `Price of a pack (${formatAmount(item.pricePer, item.unit)})`
              : 'Price of a piece'
          }
          value={microToMinor(item.price, currency)}
          currency={currency}
          required
        />
        <Row align="top">
          <Field
            name="minOrder"
            label="Smallest order"
            value={bare(item.minOrder)}
            hint="0: any quantity."
            size={9}
            required
          />
          <TextArea
            name="breaks"
            label="Prices by quantity"
            value={typedBreaks(item.breaks, item.unit, currency)}
            hint={`One a line, for ${item.pricePer > 1 ? 'a pack' : 'a piece'}: 72 at 2.40`}
            rows={3}
            required={false}
          />
        </Row>
        {item.unit === 'cm2' && (
          <Field
            name="widthMm"
            label="Width of the roll"
            value={item.widthMm ?? ''}
            unit="mm"
            size={11}
            inputMode="numeric"
            hint="With it, amounts may be typed in metres of the roll."
            required={false}
          />
        )}
        <Row>
          <Field
            name="reorderPoint"
            label="Reorder at"
            value={bare(point ?? item.reorderPoint)}
            size={9}
            hint={
              point === undefined
                ? undefined
                : `What its use asks for; it was ${formatAmount(item.reorderPoint, item.unit)}.`
            }
            required
          />
          <Field name="reorderTo" label="Order up to" value={bare(item.reorderTo)} size={9} required />
          <Field
            name="leadDays"
            label="Lead time"
            value={item.leadDays}
            unit="days"
            size={4}
            inputMode="numeric"
            required
          />
        </Row>
        <TickField
          name="retired"
          label="No longer bought"
          note="It leaves the lists; its book stays."
          checked={item.retired}
        />
        <SubmitButton look="primary">Save</SubmitButton>
      </ActionForm>
    </RoomPage>
  )
}
