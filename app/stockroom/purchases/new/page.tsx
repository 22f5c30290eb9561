import { randomUUID } from 'node:crypto'
import type { Metadata } from 'next'
import { z } from 'zod'
import { ActionForm } from '@/app/parts/action-form'
import { ButtonLink } from '@/app/parts/button'
import { EmptyState } from '@/app/parts/empty-state'
import { Field } from '@/app/parts/field'
import { MoneyField } from '@/app/parts/money-field'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Row } from '@/app/parts/row'
import { Section } from '@/app/parts/section'
import { SubNav } from '@/app/parts/sub-nav'
import { SubmitButton } from '@/app/parts/submit-button'
import { requirePerson } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import { formatAmount, typedAmount } from '@/lib/stock/items'
import { priceFor, proposals } from '@/lib/stock/purchase'
import { type ItemLine, listItems } from '@/lib/stock/store'
import { microToMinor } from '@/lib/units/money'
import { addDays, dayOf, instantOf } from '@/lib/units/time'
import { writePurchaseAction } from '../../actions'
import { money } from '../../show'
import styles from '../../stockroom.module.css'

export const metadata: Metadata = { title: 'New purchase' }

/** Writes a purchase, proposed from what is short and what is below its reorder point, supplier by supplier. */
export default async function NewPurchase({
  searchParams,
}: {
  searchParams: Promise<Record<string, string | string[] | undefined>>
}) {
  await requirePerson('stock.buy')
  const asked = z
    .string()
    .max(120)
    .optional()
    .catch(undefined)
    .parse((await searchParams).from)
  const [{ currency, timeZone }, items] = await Promise.all([shop(), listItems()])
  const all = proposals(items)
  const chosen = all.find(p => p.supplier === asked) ?? all.find(p => p.wanted.length > 0) ?? all[0]
  if (!chosen)
    return (
      <RoomPage narrow>
        <PageHead back={{ href: '/stockroom/purchases', label: 'Purchases' }} title="New purchase" />
        <EmptyState
          title="Nothing can be ordered yet"
          action={<ButtonLink href="/stockroom/items/new">New item</ButtonLink>}
        >
          Add the items that this shop buys first.
        </EmptyState>
      </RoomPage>
    )
  const lead = Math.max(0, ...chosen.wanted.map(i => i.leadDays))
  const due = addDays(dayOf(instantOf(new Date()), timeZone), lead)
  const href = (supplier: string) => `/stockroom/purchases/new?from=${encodeURIComponent(supplier)}`
  return (
    <RoomPage>
      <PageHead
        back={{ href: '/stockroom/purchases', label: 'Purchases' }}
        title="New purchase"
        sense={
          chosen.wanted.length
            ? `${chosen.wanted.length} ${chosen.wanted.length === 1 ? 'item is' : 'items are'} short or below the reorder point. Change what you like.`
            : 'Nothing from here is short: order what you like.'
        }
      />
      <SubNav
        label="Suppliers"
        current={href(chosen.supplier)}
        items={all.map(p => ({
          href: href(p.supplier),
          label: p.supplier || 'no supplier set',
          count: p.wanted.length,
        }))}
      />
      <ActionForm key={chosen.supplier} action={writePurchaseAction} label="New purchase">
        <input type="hidden" name="formKey" value={randomUUID()} />
        <Row>
          <Field name="supplier" label="From" value={chosen.supplier} maxLength={120} required />
          <Field
            name="dueAt"
            label="Due"
            type="date"
            value={due}
            hint={lead ? `${lead} days of lead time.` : undefined}
            required={false}
          />
        </Row>
        <Lines items={chosen.wanted} currency={currency} propose />
        {chosen.others.length > 0 && (
          <details>
            <summary>Other items from here ({chosen.others.length})</summary>
            <Lines items={chosen.others} currency={currency} />
          </details>
        )}
        <Field name="note" label="Note" maxLength={500} required={false} />
        <SubmitButton look="primary">Write the purchase</SubmitButton>
      </ActionForm>
      <Section title="What happens then" small>
        <p>
          The goods count as on the way from now on, so orders no longer ask for them. Send the order to the
          supplier the way you always do.
        </p>
      </Section>
    </RoomPage>
  )
}

function Lines({
  items,
  currency,
  propose,
}: {
  items: readonly ItemLine[]
  currency: string
  propose?: boolean
}) {
  return (
    <ul className={styles.lines}>
      {items.map(i => {
        const show = (n: number) => formatAmount(n, i.unit)
        const pack = i.pricePer > 1 ? `pack of ${show(i.pricePer)} at ` : ''
        return (
          <li key={i.id}>
            <div className={styles.what}>
              <span>{i.name}</span>
              <small className={styles.quiet}>
                {i.level.short > 0 ? `▲ ${show(i.level.short)} short · ` : ''}
                {show(i.level.free)} free, {show(i.level.onTheWay)} on the way · {pack}
                {money(i.price, currency)}
              </small>
            </div>
            <Field
              name={`quantity.${i.id}`}
              label={
                <>
                  Order<span className="aloud"> of {i.name}</span>
                </>
              }
              value={propose ? typedAmount(i.toOrder, i.unit) : undefined}
              size={9}
            />
            <MoneyField
              name={`cost.${i.id}`}
              label={
                <>
                  Cost of the line<span className="aloud"> {i.name}</span>
                </>
              }
              currency={currency}
              value={propose ? microToMinor(priceFor(i.toOrder, i.price, i.pricePer), currency) : undefined}
              required={false}
            />
          </li>
        )
      })}
    </ul>
  )
}
