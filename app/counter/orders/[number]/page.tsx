import { randomUUID } from 'node:crypto'
import type { Metadata } from 'next'
import Link from 'next/link'
import { Suspense } from 'react'
import { ChanceOf } from '@/app/floor/board/chances'
import { ActionForm } from '@/app/parts/action-form'
import { ButtonLink } from '@/app/parts/button'
import { DataTable } from '@/app/parts/data-table'
import { Field } from '@/app/parts/field'
import { Figure } from '@/app/parts/figure'
import { Notice } from '@/app/parts/notice'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Row, Stack } from '@/app/parts/row'
import { Section } from '@/app/parts/section'
import { StateMark } from '@/app/parts/state-mark'
import { SubmitButton } from '@/app/parts/submit-button'
import { WhatHappened } from '@/app/what-happened'
import { offerName, openOffer, standingOf } from '@/lib/orders/offer'
import { type OrderView, orderPieces, orderTitle } from '@/lib/orders/order'
import { type Account, accountOf } from '@/lib/orders/payments'
import { formatPieces } from '@/lib/orders/size-run'
import { canMove } from '@/lib/orders/states'
import { isWaiting, orderHistory } from '@/lib/orders/store'
import { mayDo } from '@/lib/server/rights'
import { requirePerson } from '@/lib/server/session'
import { METHOD_WORDS } from '@/lib/shop/methods'
import { type ShopFacts, shop } from '@/lib/shop/store'
import { keptForOrder } from '@/lib/stock/store'
import { formatMoney, type Minor, minor } from '@/lib/units/money'
import { formatDay, formatMoment, type Instant, instantOf } from '@/lib/units/time'
import { handOverAction, repeatAction, withdrawAction } from '../../actions'
import styles from '../../counter.module.css'
import { OrderInvoices } from '../../invoices/order-invoices'
import { loadOrder, type OrderAddress, orderName } from '../../load-order'
import { MoneyForm } from '../../money-form'
import { OrderLines } from '../../order-lines'
import { OrderWay } from '../../order-way'
import { PlanWords } from '../../plan-words'
import { Promised } from '../../promise'

export const generateMetadata = async ({ params }: OrderAddress): Promise<Metadata> => ({
  title: await orderName(params),
})

/** One order: how far it is, what is on it, what was offered, what was paid, and the one thing to do next. */
export default async function OrderPage({ params }: OrderAddress) {
  const person = await requirePerson('orders.see')
  const order = await loadOrder(params)
  const [facts, history] = await Promise.all([shop(), orderHistory(order.id)])
  const now = instantOf(new Date())
  const prices = mayDo(person, 'prices.see')
  const changes = mayDo(person, 'orders.change')
  const account = accountOf(order)
  return (
    <RoomPage
      sideLabel="Customer, promise and money"
      side={<Beside order={order} account={account} facts={facts} now={now} prices={prices} />}
    >
      <PageHead
        title={`${order.number} ${orderTitle(order)}`}
        back={{ href: '/counter', label: 'Counter' }}
        mark={<StateMark state={order.state} />}
        sense={`${formatPieces(orderPieces(order))} for ${order.customer.name}`}
        more={
          <>
            {changes && <More order={order} waiting={isWaiting(order, now)} />}
            {changes && order.agreed && (
              <ActionForm action={repeatAction.bind(null, order.number)} label="Repeat the order">
                <input type="hidden" name="formKey" value={randomUUID()} />
                <SubmitButton look="plain">Repeat it at today’s prices</SubmitButton>
              </ActionForm>
            )}
            {order.agreed && mayDo(person, 'books.see') && (
              <ButtonLink look="quiet" href={`/office/orders/${order.number}`}>
                What it earns
              </ButtonLink>
            )}
          </>
        }
        next={changes && <Next order={order} account={account} waiting={isWaiting(order, now)} />}
      />
      <OrderWay order={order} zone={facts.timeZone} />
      {order.asked && (
        <Notice title="The customer asks for a change:">
          <span className={styles.pre}>“{order.asked}”</span>
        </Notice>
      )}
      {order.endedWhy && <Notice title="Why it ended:">{order.endedWhy}</Notice>}
      {changes && order.state === 'ready' && (
        <HandOver order={order} account={account} facts={facts} prices={prices} />
      )}
      <Section title="What is printed on what">
        <OrderLines lines={order.lines} system={facts.measures} />
        {order.note && (
          <p>
            <strong>Note:</strong> <span className={styles.pre}>{order.note}</span>
          </p>
        )}
      </Section>
      {prices && <Offers order={order} facts={facts} now={now} />}
      {prices && <Money order={order} account={account} facts={facts} now={now} changes={changes} />}
      {prices && <OrderInvoices order={order} account={account} facts={facts} changes={changes} />}
      <WhatHappened about="this order" lines={history} facts={facts} who={person} />
      {changes && canMove(order.state, 'withdrawn') && <Withdraw order={order} />}
    </RoomPage>
  )
}

/** The one thing to do next, by state. */
function Next({ order, account, waiting }: { order: OrderView; account: Account; waiting: boolean }) {
  const to = (path: string, words: string) => (
    <ButtonLink look="primary" href={`/counter/orders/${order.number}${path}`}>
      {words}
    </ButtonLink>
  )
  switch (order.state) {
    case 'enquiry':
      return order.asked ? to('/edit', 'Change the enquiry') : to('/methods', 'Compare the methods')
    case 'offered':
      return waiting ? to('/offer', 'Show the offer') : to('/methods', 'Offer it anew')
    case 'agreed':
      return account.depositDue > 0 ? to('#money', 'Take the deposit') : <Floor number={order.number} />
    case 'making':
      return <Floor number={order.number} />
    case 'ready':
      return to('#hand-over', 'Hand it over')
    case 'handedOver':
      return account.due > 0 ? to('#money', 'Take the rest') : null
    default:
      return account.due < 0 ? to('#money', 'Give the money back') : null
  }
}
const Floor = ({ number }: { number: number }) => (
  <ButtonLink look="primary" href={`/floor/jobs/${number}`}>
    See it on the floor
  </ButtonLink>
)

function More({ order, waiting }: { order: OrderView; waiting: boolean }) {
  const { number, state } = order
  return (
    <>
      {state === 'enquiry' &&
        (order.asked ? (
          <ButtonLink href={`/counter/orders/${number}/methods`}>Compare the methods</ButtonLink>
        ) : (
          <ButtonLink href={`/counter/orders/${number}/edit`}>Change it</ButtonLink>
        ))}
      {(state === 'agreed' || state === 'making' || state === 'ready') && (
        <ButtonLink href={`/floor/tickets/${number}`}>Ticket</ButtonLink>
      )}
      {state === 'offered' && waiting && (
        <ButtonLink href={`/counter/orders/${number}/methods`}>Offer anew</ButtonLink>
      )}
    </>
  )
}

function Beside({
  order,
  account,
  facts,
  now,
  prices,
}: {
  order: OrderView
  account: Account
  facts: ShopFacts
  now: Instant
  prices: boolean
}) {
  const { customer } = order
  const show = (amount: Minor) => formatMoney(amount, facts.currency)
  return (
    <Stack gap="large">
      <Section title="Customer" level={3}>
        <p>
          <Link href={`/counter/customers/${customer.id}`}>{customer.name}</Link>
          {customer.contact && (
            <>
              <br />
              {customer.contact}
            </>
          )}
        </p>
        {customer.phone && (
          <p>
            <a href={`tel:${customer.phone.replace(/[^\d+]/g, '')}`}>{customer.phone}</a>
          </p>
        )}
        {customer.email && (
          <p>
            <a href={`mailto:${encodeURIComponent(customer.email)}`}>{customer.email}</a>
          </p>
        )}
      </Section>
      <Section title="Promise" level={3}>
        <p>
          <Promised
            at={order.promiseAt}
            hard={order.promiseHard}
            state={order.state}
            now={now}
            zone={facts.timeZone}
          />
          {order.promiseAt !== null && !order.promiseHard && ' soft'}
          {order.rush && (
            <>
              <br />
              Rush
            </>
          )}
          {(order.state === 'agreed' || order.state === 'making') && (
            <>
              <br />
              <ChanceOf order={order.id} by={order.promiseAt} zone={facts.timeZone} />
            </>
          )}
        </p>
        {order.method && <p>{METHOD_WORDS[order.method].name}</p>}
        {(order.state === 'agreed' || order.state === 'making') && (
          <Suspense fallback={<p>Looking at the plan …</p>}>
            <PlanWords orderId={order.id} zone={facts.timeZone} />
          </Suspense>
        )}
      </Section>
      <KeptFor orderId={order.id} />
      {prices && account.owed !== null && (
        <Section title="Money" level={3}>
          <Row gap="large">
            <Figure label="Owed" value={show(account.owed)} size="line" />
            <Figure label="Paid" value={show(account.paid)} size="line" />
            <Figure
              label={account.due < 0 ? 'To give back' : 'Due'}
              value={show(minor(Math.abs(account.due)))}
              size="line"
              {...(account.due === 0 ? { tone: 'done' as const } : {})}
            />
          </Row>
          {account.depositDue > 0 && (
            <p>Of it {show(account.depositDue)} as deposit before the work begins.</p>
          )}
        </Section>
      )}
    </Stack>
  )
}

/** Blanks that lie on the shelf, or are bought, for an order: the ordered ones and those in case some spoil. */
async function KeptFor({ orderId }: { orderId: string }) {
  const kept = await keptForOrder(orderId)
  if (kept.length === 0) return null
  const spare = kept.some(k => k.allowance > 0)
  return (
    <Section title="Blanks kept for it" level={3}>
      <ul className={styles.kept}>
        {kept.map(k => (
          <li key={k.sku}>
            <Link href={`/stockroom/items/${encodeURIComponent(k.sku)}`}>{k.name}</Link>
            <span>
              {k.ordered > 0 && k.ordered}
              {k.allowance > 0 && ` + ${k.allowance}`}
            </span>
          </li>
        ))}
      </ul>
      {spare && (
        <p className={styles.quiet}>
          After the +: in case some spoil. Work begins without them; what is left is free again when the order
          is ready.
        </p>
      )}
    </Section>
  )
}

function HandOver({
  order,
  account,
  facts,
  prices,
}: {
  order: OrderView
  account: Account
  facts: ShopFacts
  prices: boolean
}) {
  return (
    <Section title="Hand it over" id="hand-over">
      <ActionForm action={handOverAction.bind(null, order.number)} label="Hand over">
        {prices && account.due > 0 && (
          <Notice action={<ButtonLink href="#money">Take the money first</ButtonLink>}>
            {formatMoney(account.due, facts.currency)} is still due. It may be handed over all the same; the
            counter keeps asking for it.
          </Notice>
        )}
        <input type="hidden" name="version" value={order.version} />
        <SubmitButton>
          {formatPieces(orderPieces(order))} handed to {order.customer.name}
        </SubmitButton>
      </ActionForm>
    </Section>
  )
}

const STANDING_WORDS = {
  open: 'waits for the customer',
  agreed: 'agreed',
  declined: 'declined',
  ended: 'ended',
  expired: 'ended unanswered',
} as const

function Offers({ order, facts, now }: { order: OrderView; facts: ShopFacts; now: Instant }) {
  if (order.offers.length === 0) return null
  const open = openOffer(order.offers, now)
  return (
    <Section
      title="Offers"
      aside={open && <Link href={`/counter/orders/${order.number}/offer`}>Show and send</Link>}
    >
      <DataTable
        caption="Offers"
        quietCaption
        rows={order.offers}
        rowKey={o => o.id}
        columns={[
          {
            key: 'offer',
            head: 'Offer',
            rowHead: true,
            cell: o => (
              <Link href={`/counter/orders/${order.number}/offer?version=${o.version}`}>
                {offerName(order.number, o.version)}
              </Link>
            ),
          },
          { key: 'method', head: 'Method', cell: o => METHOD_WORDS[o.method].short },
          {
            key: 'total',
            head: 'Total',
            numeric: true,
            cell: o => (
              <>
                {o.snapshot.belowCostWhy && <StateMark state="risk">below cost</StateMark>}{' '}
                {formatMoney(o.gross, facts.currency)}
              </>
            ),
          },
          { key: 'until', head: 'Valid until', cell: o => formatDay(o.validUntil, facts.timeZone) },
          {
            key: 'standing',
            head: 'Standing',
            wrap: true,
            cell: o => {
              const standing = standingOf(o, now)
              return (
                <>
                  {STANDING_WORDS[standing]}
                  {standing === 'agreed' &&
                    o.agreedAt &&
                    ` by ${o.agreedName}, ${formatMoment(o.agreedAt, facts.timeZone)}`}
                  {standing === 'open' &&
                    (o.openedAt
                      ? `, looked at ${formatMoment(o.openedAt, facts.timeZone)}`
                      : ', not opened yet')}
                </>
              )
            },
          },
        ]}
      />
    </Section>
  )
}

function Money({
  order,
  account,
  facts,
  now,
  changes,
}: {
  order: OrderView
  account: Account
  facts: ShopFacts
  now: Instant
  changes: boolean
}) {
  const show = (amount: Minor) => formatMoney(amount, facts.currency)
  const ahead = openOffer(order.offers, now)
  const takes = account.owed !== null ? account.due !== 0 || account.paid > 0 : ahead !== null
  if (!takes && order.payments.length === 0) return null
  const kind =
    account.due < 0 ? 'refund' : account.depositDue > 0 || account.owed === null ? 'deposit' : 'rest'
  const amount =
    account.owed === null
      ? (ahead?.snapshot.page.deposit ?? minor(0))
      : account.depositDue > 0
        ? account.depositDue
        : minor(Math.abs(account.due))
  return (
    <Section title="Money" id="money">
      <DataTable
        caption="Payments"
        quietCaption
        rows={order.payments}
        rowKey={p => p.id}
        empty="Nothing has been paid yet."
        columns={[
          { key: 'at', head: 'When', cell: p => formatMoment(p.at, facts.timeZone) },
          { key: 'kind', head: 'What', rowHead: true, cell: p => `${p.kind}, ${p.means}` },
          { key: 'note', head: 'Note', wrap: true, cell: p => p.note },
          {
            key: 'by',
            head: 'Who',
            cell: p => p.byName,
            foot: order.payments.length > 1 ? 'Paid in all' : undefined,
          },
          {
            key: 'amount',
            head: 'Amount',
            numeric: true,
            cell: p => show(p.amount),
            foot: order.payments.length > 1 ? show(account.paid) : undefined,
          },
        ]}
      />
      {changes && takes && (
        <MoneyForm
          number={order.number}
          formKey={randomUUID()}
          kind={kind}
          amount={amount}
          currency={facts.currency}
        />
      )}
    </Section>
  )
}

function Withdraw({ order }: { order: OrderView }) {
  return (
    <Section title="End it">
      <details>
        <summary>The customer does not want it, or the shop cannot make it</summary>
        <ActionForm action={withdrawAction.bind(null, order.number)} label="Withdraw the order">
          <input type="hidden" name="version" value={order.version} />
          <Field
            name="why"
            label="Why"
            hint="Kept with the order. Blanks that were kept for it are free again."
            maxLength={600}
          />
          <SubmitButton look="danger">Withdraw order {order.number}</SubmitButton>
        </ActionForm>
      </details>
    </Section>
  )
}
