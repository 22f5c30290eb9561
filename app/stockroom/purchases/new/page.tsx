import { randomUUID } from 'node:crypto'
import type { Metadata } from 'next'
import { z } from 'zod'
import { ActionForm } from '@/app/parts/action-form'
import { ButtonLink } from '@/app/parts/button'
import { EmptyState } from '@/app/parts/empty-state'
import { Field } from '@/app/parts/field'
import { Figure } from '@/app/parts/figure'
import { MoneyField } from '@/app/parts/money-field'
import { Notice } from '@/app/parts/notice'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Row } from '@/app/parts/row'
import { Section } from '@/app/parts/section'
import { SubNav } from '@/app/parts/sub-nav'
import { SubmitButton } from '@/app/parts/submit-button'
import { WhatHappened } from '@/app/what-happened'
import { type Need, needsOf } from '@/lib/planning/needs/store'
import { historyOf } from '@/lib/server/history'
import { requirePerson } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import { type Buy, whatToBuy } from '@/lib/stock/breaks'
import { formatAmount, typedAmount } from '@/lib/stock/items'
import { proposals } from '@/lib/stock/purchase'
import { type SupplierFacts, supplier } from '@/lib/stock/suppliers/store'
import { type ItemLine, listItems, packOf } from '@/lib/stock/views/store'
import { microToMinor, sumMicro } from '@/lib/units/money'
import { addDays, dayOf, formatDay, type Instant, instantOf } from '@/lib/units/time'
import { supplierAction, writePurchaseAction } from '../../actions'
import { money } from '../../show'
import styles from '../../stockroom.module.css'

export const metadata: Metadata = { title: 'New purchase' }

const DAY = 86_400_000

/** Writes a purchase, proposed from what is short and what is below its reorder point, supplier by supplier. */
export default async function NewPurchase({
  searchParams,
}: {
  searchParams: Promise<Record<string, string | string[] | undefined>>
}) {
  const person = await requirePerson('stock.buy')
  const { from: asked, only } = z
    .object({
      from: z.string().max(120).optional().catch(undefined),
      only: z.literal('agreed').optional().catch(undefined),
    })
    .parse(await searchParams)
  const [facts, items] = await Promise.all([shop(), listItems()])
  const { currency, timeZone } = facts
  const all = proposals(items, only)
  const needed = items.filter(i => !i.retired && i.level.toBuy > 0).length
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
  const now = instantOf(new Date())
  const [from, needs, past] = await Promise.all([
    supplier(chosen.supplier),
    needsOf(chosen.wanted.map(i => i.id)),
    historyOf('supplier', chosen.supplier, 20),
  ])
  const lead = Math.max(0, ...chosen.wanted.map(i => i.leadDays))
  const due = addDays(dayOf(now, timeZone), lead)
  const lines = chosen.wanted.map(
    (item): Line => ({
      item,
      buy: whatToBuy(item.toOrder, { ...item, pack: packOf(item.kind, item.pricePer) }, currency),
      needs: needs.get(item.id) ?? [],
    }),
  )
  const total = sumMicro(lines.flatMap(l => (l.buy ? [l.buy.value] : [])))
  const late = lines.flatMap(l =>
    l.needs
      .filter(n => n.latest !== null && n.latest < now + l.item.leadDays * DAY)
      .map(n => ({ ...n, item: l.item })),
  )
  const wantedBy = lines.flatMap(l => l.needs.flatMap(n => n.latest ?? [])).sort((a, b) => a - b)[0]
  const href = (name: string) =>
    `/stockroom/purchases/new?from=${encodeURIComponent(name)}${only ? '&only=agreed' : ''}`
  const few = chosen.wanted.length === 1 ? 'item is' : 'items are'
  return (
    <RoomPage
      sideLabel="The supplier"
      side={
        chosen.supplier ? <SupplierCard facts={from} currency={currency} key={chosen.supplier} /> : undefined
      }
    >
      <PageHead
        back={{ href: '/stockroom/purchases', label: 'Purchases' }}
        title="New purchase"
        sense={
          chosen.wanted.length
            ? `${chosen.wanted.length} ${few} ${only ? 'missing for agreed orders' : 'short or below the reorder point'}, ${money(total, currency)} together. Change what you like.`
            : 'Nothing from here is short: order what you like.'
        }
        more={
          only ? (
            <ButtonLink href="/stockroom/purchases/new">All that runs low</ButtonLink>
          ) : (
            needed > 0 && (
              <ButtonLink href="/stockroom/purchases/new?only=agreed">
                Only what agreed orders need
              </ButtonLink>
            )
          )
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
      {lines.length > 0 && total < from.least && (
        <Notice kind="info">
          {from.name} takes orders from {money(from.least, currency)}: this one is{' '}
          {money(sumMicro([from.least, -total as typeof total]), currency)} short of it. Order more of what
          you use anyway, or wait.
        </Notice>
      )}
      {late.length > 0 && (
        <Notice kind="info">
          With the usual lead time these come too late:{' '}
          {[...new Map(late.map(n => [n.orderNumber, n])).values()]
            .slice(0, 5)
            .map(n => `order ${n.orderNumber} must begin by ${formatDay(n.latest as Instant, timeZone)}`)
            .join('; ')}
          . Ask for a faster delivery, or talk to the customer.
        </Notice>
      )}
      <ActionForm key={`${chosen.supplier} ${only}`} action={writePurchaseAction} label="New purchase">
        <input type="hidden" name="formKey" value={randomUUID()} />
        <Row>
          <Field name="supplier" label="From" value={chosen.supplier} maxLength={120} required />
          <Field
            name="dueAt"
            label="Due"
            type="date"
            value={due}
            hint={[
              lead ? `${lead} days of lead time.` : '',
              wantedBy === undefined
                ? ''
                : `The plan wants the first of it by ${formatDay(wantedBy, timeZone)}.`,
            ]
              .filter(Boolean)
              .join(' ')}
            required={false}
          />
        </Row>
        <Lines lines={lines} currency={currency} zone={timeZone} now={now} />
        {chosen.others.length > 0 && (
          <details>
            <summary>Other items from here ({chosen.others.length})</summary>
            <Lines
              lines={chosen.others.map(item => ({ item, buy: null, needs: [] }))}
              currency={currency}
              zone={timeZone}
              now={now}
            />
          </details>
        )}
        <Field name="note" label="Note" maxLength={500} required={false} />
        <SubmitButton look="primary">Write the purchase</SubmitButton>
      </ActionForm>
      <Section title="What happens then" small>
        <p>
          The next page has the order as a PDF and as a message, ready to send. Once you say there that it
          went out, its goods are on the way and the plan waits for their day.
        </p>
      </Section>
      {past.length > 0 && <WhatHappened about={chosen.supplier} lines={past} facts={facts} who={person} />}
    </RoomPage>
  )
}

type Line = { item: ItemLine; buy: Buy | null; needs: Need[] }

function Lines({
  lines,
  currency,
  zone,
  now,
}: {
  lines: readonly Line[]
  currency: string
  zone: string
  now: Instant
}) {
  return (
    <ul className={styles.lines}>
      {lines.map(({ item: i, buy, needs }) => {
        const show = (n: number) => formatAmount(n, i.unit)
        const pack = i.pricePer > 1 ? `pack of ${show(i.pricePer)} at ` : ''
        const [first] = needs
        return (
          <li key={i.id}>
            <div className={styles.what}>
              <span>{i.name}</span>
              <small className={styles.quiet}>
                {i.level.short > 0 ? `▲ ${show(i.level.short)} short · ` : ''}
                {show(i.level.free)} free, {show(i.level.onTheWay)} on the way
                {i.level.written > 0 ? `, ${show(i.level.written)} written and not sent` : ''} · {pack}
                {money(i.price, currency)}
              </small>
              {first && (
                <small className={styles.quiet}>
                  {show(first.quantity)} {first.spare ? 'for what may spoil of' : 'for'}{' '}
                  {whenWanted(first, zone, now + i.leadDays * DAY)}
                  {needs.length > 1 ? ` · ${needs.length - 1} more` : ''}
                </small>
              )}
              {buy && (
                <Figure
                  value={`${show(buy.quantity)} proposed`}
                  working={buy.working}
                  about={`the proposal for ${i.name}`}
                />
              )}
            </div>
            <Field
              name={`quantity.${i.id}`}
              label={
                <>
                  Order<span className="aloud"> of {i.name}</span>
                </>
              }
              value={buy ? typedAmount(buy.quantity, i.unit) : undefined}
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
              value={buy ? microToMinor(buy.value, currency) : undefined}
              required={false}
            />
          </li>
        )
      })}
    </ul>
  )
}

function whenWanted(need: Need, zone: string, comes: number): string {
  const order = `order ${need.orderNumber}`
  if (need.begins === null) return need.spare ? order : `${order}, which waits for it`
  const begins = `${order}, which begins ${formatDay(need.begins, zone)}`
  if (need.latest === null) return begins
  const latest = `${begins}, at the latest ${formatDay(need.latest, zone)}`
  return need.latest < comes ? `▲ ${latest}: the usual lead time is too long` : latest
}

/** What is known of the supplier, to be put right where one sees that it is missing. */
function SupplierCard({ facts, currency }: { facts: SupplierFacts; currency: string }) {
  return (
    <Section title={facts.name}>
      <ActionForm key={facts.version} action={supplierAction} label={`What is known of ${facts.name}`}>
        <input type="hidden" name="name" value={facts.name} />
        <input type="hidden" name="version" value={facts.version} />
        <Field
          name="email"
          label="E-mail for orders"
          type="email"
          value={facts.email}
          maxLength={200}
          required={false}
        />
        <Field name="phone" label="Telephone" value={facts.phone} maxLength={60} required={false} />
        <Field name="address" label="Address" value={facts.address} maxLength={300} required={false} />
        <MoneyField
          name="least"
          label="Smallest order"
          value={facts.least > 0 ? microToMinor(facts.least, currency) : undefined}
          currency={currency}
          required={false}
        />
        <Field
          name="note"
          label="Note"
          hint="The shop’s customer number, how to order."
          value={facts.note}
          maxLength={500}
          required={false}
        />
        <SubmitButton look="plain">Save</SubmitButton>
      </ActionForm>
    </Section>
  )
}
