import type { Metadata } from 'next'
import Link from 'next/link'
import { Suspense } from 'react'
import { ButtonLink } from '@/app/parts/button'
import { DataTable } from '@/app/parts/data-table'
import { EmptyState } from '@/app/parts/empty-state'
import { OrderLink } from '@/app/parts/order-link'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Stack } from '@/app/parts/row'
import { Section } from '@/app/parts/section'
import { StateMark } from '@/app/parts/state-mark'
import { ASK_KINDS, type Ask, type AskKind, asksOf, type OrderSummary } from '@/lib/orders/asks'
import { firstSteps } from '@/lib/orders/first-steps/store'
import { formatPieces } from '@/lib/orders/size-run'
import { ordersAsking } from '@/lib/orders/store'
import { mayDo } from '@/lib/server/rights'
import { requirePerson } from '@/lib/server/session'
import { type ShopFacts, shop } from '@/lib/shop/store'
import { formatMoney, type Minor, minor } from '@/lib/units/money'
import { formatDay, type Instant, instantOf } from '@/lib/units/time'
import { FindBox } from './find-box'
import { FirstSteps } from './first-steps'
import { InDanger } from './plan-words'
import { Promised } from './promise'
import { ASK_WORDS, sinceWords } from './words'

export const metadata: Metadata = { title: 'Counter' }

/** How many of one kind stand on the page; the list holds the rest. */
const SHOWN = 8

/** What asks something of the person at the counter now, the most pressing first. */
export default async function Counter() {
  const person = await requirePerson('orders.see')
  const now = instantOf(new Date())
  const [facts, orders, steps] = await Promise.all([
    shop(),
    ordersAsking(),
    mayDo(person, 'shop.change') ? firstSteps() : null,
  ])
  const prices = mayDo(person, 'prices.see')
  const changes = mayDo(person, 'orders.change')
  const asks = asksOf(orders, now).filter(a => prices || !['deposit', 'rest', 'giveBack'].includes(a.kind))
  const first = asks[0]
  const waiting = orders
    .filter(o => o.state === 'offered' && o.offerEnds !== null && o.offerEnds >= now)
    .sort((a, b) => (a.offerEnds ?? 0) - (b.offerEnds ?? 0))
  return (
    <RoomPage
      side={<Beside orders={orders} waiting={waiting} facts={facts} now={now} prices={prices} />}
      sideLabel="Waiting and due"
    >
      <PageHead
        title="Counter"
        sense={senseOf(asks)}
        more={
          <>
            <ButtonLink look="quiet" href="/counter/orders">
              Orders
            </ButtonLink>
            <ButtonLink look="quiet" href="/counter/customers">
              Customers
            </ButtonLink>
            {changes && (
              <ButtonLink look={first ? 'plain' : 'primary'} href="/counter/new">
                New enquiry
              </ButtonLink>
            )}
          </>
        }
        next={
          first &&
          changes && (
            <ButtonLink look="primary" href={ASK_WORDS[first.kind].href(first.order.number)}>
              {ASK_WORDS[first.kind].action(first.order)}
            </ButtonLink>
          )
        }
      />
      <FindBox />
      {asks.length === 0 && !steps && (
        <EmptyState title="Nothing waits for you">
          What comes in is written down as a new enquiry; what asks something of you stands here.
        </EmptyState>
      )}
      {ASK_KINDS.map(kind => (
        <Asking key={kind} kind={kind} asks={asks.filter(a => a.kind === kind)} facts={facts} now={now} />
      ))}
      {steps && <FirstSteps done={steps} />}
    </RoomPage>
  )
}

function senseOf(asks: readonly Ask[]): string {
  if (asks.length === 0) return 'Nothing is waiting.'
  const count = (kind: AskKind) => asks.filter(a => a.kind === kind).length
  const answers = count('answer') + count('change')
  const parts = [
    answers && `${answers} to answer`,
    count('handOver') && `${count('handOver')} to hand over`,
    count('expired') && `${count('expired')} to offer again`,
    count('deposit') + count('rest') && `${count('deposit') + count('rest')} to be paid`,
    count('giveBack') && `${count('giveBack')} to pay back`,
  ].filter(Boolean)
  return `${parts.join(' · ')}.`
}

function Asking({
  kind,
  asks,
  facts,
  now,
}: {
  kind: AskKind
  asks: readonly Ask[]
  facts: ShopFacts
  now: Instant
}) {
  if (asks.length === 0) return null
  const money = kind === 'deposit' || kind === 'rest' || kind === 'giveBack'
  const amount = ({ order }: Ask): Minor =>
    kind === 'deposit' ? order.depositDue : minor(Math.abs(order.due))
  return (
    <Section
      title={ASK_WORDS[kind].heading}
      aside={asks.length > SHOWN ? `${SHOWN} of ${asks.length}, the longest waiting first` : undefined}
    >
      <DataTable
        caption={ASK_WORDS[kind].heading}
        quietCaption
        rows={asks.slice(0, SHOWN)}
        rowKey={a => String(a.order.number)}
        columns={[
          {
            key: 'number',
            head: 'Order',
            rowHead: true,
            cell: a => <Link href={ASK_WORDS[kind].href(a.order.number)}>{a.order.number}</Link>,
          },
          {
            key: 'customer',
            head: 'Customer',
            wrap: true,
            cell: a => <Link href={`/counter/customers/${a.order.customerId}`}>{a.order.customer}</Link>,
          },
          {
            key: 'what',
            head: kind === 'change' ? 'What they ask' : 'What it is for',
            wrap: true,
            cell: a =>
              kind === 'change'
                ? `“${shorten(a.order.asked, 140)}”`
                : `${a.order.title}, ${formatPieces(a.order.pieces)}`,
          },
          {
            key: 'promise',
            head: 'Promised',
            cell: a => (
              <Promised
                at={a.order.promiseAt}
                hard={a.order.promiseHard}
                state={a.order.state}
                now={now}
                zone={facts.timeZone}
              />
            ),
          },
          money
            ? {
                key: 'amount',
                head: 'Amount',
                numeric: true,
                cell: a => formatMoney(amount(a), facts.currency),
              }
            : { key: 'since', head: 'Waits', cell: a => sinceWords(a, now, facts.timeZone) },
        ]}
      />
    </Section>
  )
}

const shorten = (text: string, most: number) => (text.length > most ? `${text.slice(0, most - 1)}…` : text)

function Beside({
  orders,
  waiting,
  facts,
  now,
  prices,
}: {
  orders: readonly OrderSummary[]
  waiting: readonly OrderSummary[]
  facts: ShopFacts
  now: Instant
  prices: boolean
}) {
  const soon = orders
    .filter(
      o =>
        (o.state === 'agreed' || o.state === 'making' || o.state === 'ready') &&
        o.promiseAt !== null &&
        o.promiseAt < now + 3 * 86_400_000,
    )
    .sort((a, b) => (a.promiseAt ?? 0) - (b.promiseAt ?? 0))
  return (
    <Stack gap="large">
      <Suspense>
        <InDanger zone={facts.timeZone} />
      </Suspense>
      <Section title="Promised by the day after tomorrow" small>
        {soon.length === 0 && <p>No agreed order is promised before then.</p>}
        {soon.slice(0, 10).map(o => (
          <p key={o.number}>
            <OrderLink order={o} />
            <br />
            <Promised at={o.promiseAt} hard={o.promiseHard} state={o.state} now={now} zone={facts.timeZone} />{' '}
            <StateMark state={o.state} />
          </p>
        ))}
      </Section>
      <Section title="Offers waiting for an answer" small>
        {waiting.length === 0 && <p>No offer is out.</p>}
        {waiting.slice(0, 10).map(o => (
          <p key={o.number}>
            <OrderLink order={o} />
            <br />
            {prices && o.gross !== null && `${formatMoney(o.gross, facts.currency)}, `}
            valid until {o.offerEnds && formatDay(o.offerEnds, facts.timeZone)}
          </p>
        ))}
      </Section>
    </Stack>
  )
}
