import type { Metadata } from 'next'
import Link from 'next/link'
import { notFound } from 'next/navigation'
import { z } from 'zod'
import { ActionForm } from '@/app/parts/action-form'
import { type Column, DataTable } from '@/app/parts/data-table'
import { Facts } from '@/app/parts/facts'
import { Field } from '@/app/parts/field'
import { MoneyField } from '@/app/parts/money-field'
import { Notice } from '@/app/parts/notice'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Section } from '@/app/parts/section'
import { StateMark } from '@/app/parts/state-mark'
import { SubmitButton } from '@/app/parts/submit-button'
import { mayDo } from '@/lib/server/rights'
import { requirePerson } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import { typedAmount } from '@/lib/stock/items'
import { PURCHASE_WORDS } from '@/lib/stock/purchase'
import { findPurchase, type PurchaseLineView } from '@/lib/stock/purchases/store'
import { formatDay, formatMoment } from '@/lib/units/time'
import { endPurchaseAction, receivePurchaseAction } from '../../actions'
import { amountOf, itemHref, money } from '../../show'
import styles from '../../stockroom.module.css'

const numberSchema = z.coerce.number().int().min(1).max(999_999_999)

type Props = {
  params: Promise<{ number: string }>
  searchParams: Promise<Record<string, string | string[] | undefined>>
}

export async function generateMetadata({ params }: Props): Promise<Metadata> {
  return { title: `Purchase ${(await params).number.slice(0, 12)}` }
}

/** One purchase: what was ordered, what came, and receiving it. */
export default async function Purchase({ params, searchParams }: Props) {
  const person = await requirePerson('stock.see')
  const number = numberSchema.safeParse((await params).number)
  const purchase = number.success ? await findPurchase(number.data) : null
  if (!purchase) notFound()
  const { currency, timeZone } = await shop()
  const done = (await searchParams).done
  const prices = mayDo(person.role, 'prices.see')
  const open = purchase.lines.filter(l => l.received < l.quantity)
  const waits = purchase.state === 'sent'
  return (
    <RoomPage
      narrow={!prices}
      sideLabel="About this purchase"
      side={
        <>
          <Facts
            across
            items={[
              { name: 'From', value: purchase.supplier },
              { name: 'Ordered', value: formatMoment(purchase.createdAt, timeZone) },
              { name: 'By', value: purchase.byName },
              { name: 'Due', value: purchase.dueAt && formatDay(purchase.dueAt, timeZone) },
              ...(prices ? [{ name: 'Value', value: money(purchase.value, currency) }] : []),
              ...(purchase.note ? [{ name: 'Note', value: purchase.note }] : []),
            ]}
          />
          {waits && mayDo(person.role, 'stock.buy') && (
            <Section title="Nothing more comes" small>
              <ActionForm action={endPurchaseAction.bind(null, purchase.number)} label="End this purchase">
                <input type="hidden" name="version" value={purchase.version} />
                <Field name="why" label="Why" maxLength={300} required />
                <SubmitButton look="quiet">End it</SubmitButton>
              </ActionForm>
            </Section>
          )}
        </>
      }
    >
      <PageHead
        back={{ href: '/stockroom/purchases', label: 'Purchases' }}
        title={`Purchase ${purchase.number}`}
        sense={`${purchase.lines.length} ${purchase.lines.length === 1 ? 'line' : 'lines'} from ${purchase.supplier || 'a supplier'}.`}
        mark={
          purchase.state === 'received' ? (
            <StateMark state="done">received</StateMark>
          ) : purchase.state === 'cancelled' ? (
            <StateMark state="withdrawn">cancelled</StateMark>
          ) : (
            <StateMark state="agreed">{PURCHASE_WORDS[purchase.state]}</StateMark>
          )
        }
      />
      {done === 'sent' && (
        <Notice kind="done">What came is on the shelves; the rest is still on the way.</Notice>
      )}
      {done === 'received' && <Notice kind="done">Everything came and is on the shelves.</Notice>}
      {waits && open.length > 0 && mayDo(person.role, 'stock.move') && (
        <Section title="Receive">
          <ActionForm
            key={purchase.version}
            action={receivePurchaseAction.bind(null, purchase.number)}
            label={`Receive purchase ${purchase.number}`}
          >
            <input type="hidden" name="version" value={purchase.version} />
            <ul className={styles.lines}>
              {open.map(l => (
                <li key={l.id}>
                  <div className={styles.what}>
                    <Link href={itemHref(l.sku)}>{l.name}</Link>
                    <small className={styles.quiet}>
                      {amountOf(l, l.quantity - l.received)} to come of {amountOf(l, l.quantity)}
                    </small>
                  </div>
                  <Field
                    name={`came.${l.id}`}
                    label={
                      <>
                        Came, and is good<span className="aloud"> of {l.name}</span>
                      </>
                    }
                    value={typedAmount(l.quantity - l.received, l.unit)}
                    size={9}
                    required
                  />
                  {prices ? (
                    <MoneyField
                      name={`cost.${l.id}`}
                      label={
                        <>
                          Charged, if different<span className="aloud"> for {l.name}</span>
                        </>
                      }
                      currency={currency}
                    />
                  ) : (
                    <span />
                  )}
                </li>
              ))}
            </ul>
            <SubmitButton look="primary">Put it on the shelves</SubmitButton>
            <p>Wrong or damaged pieces are not received: write 0, or fewer, and tell the supplier.</p>
          </ActionForm>
        </Section>
      )}
      <Section title="Lines">
        <DataTable
          caption="What was ordered and what came"
          quietCaption
          rows={purchase.lines}
          rowKey={l => l.id}
          columns={[
            {
              key: 'item',
              head: 'Item',
              rowHead: true,
              wrap: true,
              cell: l => <Link href={itemHref(l.sku)}>{l.name}</Link>,
            },
            { key: 'ordered', head: 'Ordered', numeric: true, cell: l => amountOf(l, l.quantity) },
            { key: 'received', head: 'Received', numeric: true, cell: l => amountOf(l, l.received) },
            {
              key: 'open',
              head: 'To come',
              numeric: true,
              cell: l => (waits ? amountOf(l, l.quantity - l.received) : '0'),
            },
            ...(prices ? [valueColumn(currency, money(purchase.value, currency))] : []),
          ]}
        />
      </Section>
    </RoomPage>
  )
}

const valueColumn = (currency: string, total: string): Column<PurchaseLineView> => ({
  key: 'value',
  head: 'Cost',
  numeric: true,
  cell: l => money(l.value, currency),
  foot: total,
})
