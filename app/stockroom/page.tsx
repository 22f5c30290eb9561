import type { Metadata } from 'next'
import Link from 'next/link'
import { Bars } from '@/app/parts/bars'
import { ButtonLink } from '@/app/parts/button'
import { DataTable } from '@/app/parts/data-table'
import { EmptyState } from '@/app/parts/empty-state'
import { Figure } from '@/app/parts/figure'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Section } from '@/app/parts/section'
import { StateMark } from '@/app/parts/state-mark'
import { mayDo } from '@/lib/server/rights'
import { requirePerson } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import { KIND_WORDS } from '@/lib/stock/items'
import { isExpired } from '@/lib/stock/lots'
import { toCome as toComeOf } from '@/lib/stock/purchase'
import { comingBefore, type PurchaseView } from '@/lib/stock/purchases/store'
import { stockRules } from '@/lib/stock/store'
import { VALUATION_WORDS } from '@/lib/stock/valuation'
import { type ItemLine, listItems, lotsUntil } from '@/lib/stock/views/store'
import { worthByKind, worthWorking } from '@/lib/stock/worth'
import { addDays, dayBounds, dayOf, formatDay, formatLongDay, instantOf } from '@/lib/units/time'
import { amountOf, itemHref, money } from './show'
import { StockNav } from './stock-nav'
import styles from './stockroom.module.css'

export const metadata: Metadata = { title: 'Stockroom' }

/** What is short, what comes, what the shelves are worth. */
export default async function Stockroom() {
  const person = await requirePerson('stock.see')
  const now = instantOf(new Date())
  const facts = await shop()
  const today = dayOf(now, facts.timeZone)
  const [items, coming, rules, dated] = await Promise.all([
    listItems(),
    comingBefore(dayBounds(addDays(today, 7), facts.timeZone).to),
    stockRules(),
    lotsUntil(dayBounds(addDays(today, 42), facts.timeZone).to),
  ])
  const endOfToday = dayBounds(today, facts.timeZone).to
  const here = coming.filter(p => p.dueAt !== null && p.dueAt < endOfToday)
  const short = items.filter(i => i.level.short > 0).sort((a, b) => b.level.toBuy - a.level.toBuy)
  const low = items.filter(i => i.toOrder > 0 && i.level.short === 0)
  const below = items.filter(i => i.level.onHand < 0)
  const prices = mayDo(person, 'prices.see')
  const buys = mayDo(person, 'stock.buy')
  const byKind = worthByKind(items)
  const worth = byKind.reduce((sum, k) => sum + k.worth, 0) as ItemLine['price']
  return (
    <RoomPage
      sideLabel="On the shelves"
      side={
        prices ? (
          <Section title="On the shelves">
            <div className={styles.figures}>
              <Figure
                label="Value on the shelf"
                value={money(worth, facts.currency)}
                working={worthWorking(byKind, facts.currency, VALUATION_WORDS[rules.valuation])}
              />
            </div>
            <Bars
              title="By kind"
              items={byKind.map(k => ({
                key: k.kind,
                label: <Link href={`/stockroom/items?kind=${k.kind}`}>{KIND_WORDS[k.kind]}</Link>,
                value: k.worth,
                shown: money(k.worth, facts.currency),
              }))}
            />
          </Section>
        ) : undefined
      }
    >
      <StockNav current="/stockroom" />
      <PageHead
        title="Stockroom"
        sense={senseOf(short.length, here.length, low.length, below.length)}
        more={<ButtonLink href="/stockroom/items">Find an item</ButtonLink>}
        next={
          here[0] ? (
            <ButtonLink look="primary" href={`/stockroom/purchases/${here[0].number}`}>
              Receive purchase {here[0].number}
            </ButtonLink>
          ) : (
            nextOf({
              below,
              toBuy: short.some(i => i.level.toBuy > 0),
              toSend: short.some(i => i.level.toSend > 0),
              low: low.length > 0,
              buys,
            })
          )
        }
      />
      {below.length > 0 && (
        <Section title="The book says less than nothing">
          <DataTable
            caption="Work took more than the book had: count these shelves, or receive what came"
            rows={below}
            rowKey={i => i.id}
            columns={[
              { key: 'item', head: 'Item', rowHead: true, wrap: true, cell: i => <ItemLink item={i} /> },
              { key: 'onHand', head: 'On hand', numeric: true, cell: i => amountOf(i, i.level.onHand) },
              {
                key: 'do',
                head: 'To do',
                cell: i => <Link href={`${itemHref(i.sku)}#count`}>Count it</Link>,
              },
            ]}
            mark={() => 'risk'}
          />
        </Section>
      )}
      {dated.length > 0 && (
        <Section title="Lots to use up or throw out">
          <DataTable
            caption="Out of date, or within six weeks"
            rows={dated}
            rowKey={l => `${l.itemId} ${l.lot}`}
            mark={l => (isExpired(l, now) ? 'late' : 'risk')}
            columns={[
              {
                key: 'item',
                head: 'Item',
                rowHead: true,
                wrap: true,
                cell: l => <Link href={itemHref(l.sku)}>{l.name}</Link>,
              },
              { key: 'lot', head: 'Lot', cell: l => l.lot },
              { key: 'left', head: 'Left', numeric: true, cell: l => amountOf(l, l.left) },
              {
                key: 'until',
                head: 'Good until',
                cell: l => l.goodUntil && formatLongDay(l.goodUntil, facts.timeZone),
              },
              {
                key: 'state',
                head: 'To do',
                cell: l =>
                  isExpired(l, now) ? (
                    <StateMark state="late">out of date</StateMark>
                  ) : (
                    <StateMark state="risk">use first</StateMark>
                  ),
              },
            ]}
          />
        </Section>
      )}
      <Section title="Short for agreed work">
        {short.length === 0 ? (
          <EmptyState title="Nothing is short">Every agreed order has its blanks on the shelf.</EmptyState>
        ) : (
          <DataTable
            caption="Promised to orders and not on the shelf"
            quietCaption
            rows={short}
            rowKey={i => i.id}
            mark={i => (i.level.toBuy > 0 || i.level.toSend > 0 ? 'late' : 'risk')}
            columns={[
              { key: 'item', head: 'Item', rowHead: true, wrap: true, cell: i => <ItemLink item={i} /> },
              { key: 'promised', head: 'Promised', numeric: true, cell: i => amountOf(i, i.level.promised) },
              { key: 'onHand', head: 'On hand', numeric: true, cell: i => amountOf(i, i.level.onHand) },
              { key: 'way', head: 'On the way', numeric: true, cell: i => amountOf(i, i.level.onTheWay) },
              {
                key: 'short',
                head: 'Short',
                numeric: true,
                cell: i =>
                  i.level.toBuy > 0 ? (
                    <StateMark state="late">buy {amountOf(i, i.level.toBuy)}</StateMark>
                  ) : i.level.toSend > 0 ? (
                    <StateMark state="late">{amountOf(i, i.level.toSend)} written, not sent</StateMark>
                  ) : (
                    <StateMark state="risk">wait for {amountOf(i, i.level.short)}</StateMark>
                  ),
              },
            ]}
          />
        )}
      </Section>
      <Section title="Coming this week" aside={<Link href="/stockroom/purchases">All purchases</Link>}>
        <DataTable
          caption="Purchases that are due, the earliest first"
          quietCaption
          rows={coming}
          rowKey={p => p.id}
          empty="Nothing is due this week."
          mark={p => (p.dueAt !== null && p.dueAt < now ? 'late' : undefined)}
          columns={[
            {
              key: 'number',
              head: 'Purchase',
              rowHead: true,
              cell: p => <Link href={`/stockroom/purchases/${p.number}`}>{p.number}</Link>,
            },
            { key: 'supplier', head: 'From', wrap: true, cell: p => p.supplier },
            { key: 'due', head: 'Due', cell: p => p.dueAt && formatDay(p.dueAt, facts.timeZone) },
            { key: 'what', head: 'Still to come', wrap: true, cell: p => toCome(p) },
          ]}
        />
      </Section>
      <Section
        title="Below the reorder point"
        aside={low.length > 0 && buys ? <Link href="/stockroom/purchases/new">Order them</Link> : undefined}
      >
        <DataTable
          caption="Items to order, with how much"
          quietCaption
          rows={low}
          rowKey={i => i.id}
          empty="Every shelf is above its reorder point."
          columns={[
            { key: 'item', head: 'Item', rowHead: true, wrap: true, cell: i => <ItemLink item={i} /> },
            { key: 'free', head: 'Free', numeric: true, cell: i => amountOf(i, i.level.free) },
            { key: 'way', head: 'On the way', numeric: true, cell: i => amountOf(i, i.level.onTheWay) },
            { key: 'point', head: 'Reorder at', numeric: true, cell: i => amountOf(i, i.reorderPoint) },
            { key: 'order', head: 'To order', numeric: true, cell: i => amountOf(i, i.toOrder) },
          ]}
        />
      </Section>
    </RoomPage>
  )
}

/** The one thing to do next when no parcel waits: what holds up agreed work first. */
function nextOf({
  below,
  toBuy,
  toSend,
  low,
  buys,
}: {
  below: ItemLine[]
  toBuy: boolean
  toSend: boolean
  low: boolean
  buys: boolean
}) {
  if (buys && toBuy)
    return (
      <ButtonLink look="primary" href="/stockroom/purchases/new?only=agreed">
        Order what is short
      </ButtonLink>
    )
  if (buys && toSend)
    return (
      <ButtonLink look="primary" href="/stockroom/purchases">
        Send what is written
      </ButtonLink>
    )
  if (below[0])
    return (
      <ButtonLink look="primary" href={`${itemHref(below[0].sku)}#count`}>
        Count {below[0].name}
      </ButtonLink>
    )
  if (buys && low)
    return (
      <ButtonLink look="primary" href="/stockroom/purchases/new">
        Order what runs low
      </ButtonLink>
    )
  return undefined
}

const ItemLink = ({ item }: { item: ItemLine }) => <Link href={itemHref(item.sku)}>{item.name}</Link>

function toCome(purchase: PurchaseView): string {
  const open = purchase.lines.filter(l => toComeOf(l) > 0)
  const [first] = open
  if (!first) return 'nothing'
  const amount = amountOf(first, toComeOf(first))
  return `${amount} ${first.name}${open.length > 1 ? ` and ${open.length - 1} more` : ''}`
}

function senseOf(short: number, here: number, low: number, below: number): string {
  const parts = [
    below && `${below} to count`,
    here && `${here} ${here === 1 ? 'purchase is' : 'purchases are'} due`,
    short && `${short} ${short === 1 ? 'item is' : 'items are'} short for agreed work`,
    low && `${low} to reorder`,
  ].filter(Boolean)
  return parts.length ? `${parts.join(' · ')}.` : 'Every shelf holds what is promised.'
}
