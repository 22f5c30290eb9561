import type { Metadata } from 'next'
import Link from 'next/link'
import { ButtonLink } from '@/app/parts/button'
import { type Column, DataTable } from '@/app/parts/data-table'
import { PageHead } from '@/app/parts/page-head'
import { Pager } from '@/app/parts/pager'
import { RoomPage } from '@/app/parts/room-page'
import { Section } from '@/app/parts/section'
import { StateMark } from '@/app/parts/state-mark'
import { mayDo } from '@/lib/server/rights'
import { requirePerson } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import { listFilter } from '@/lib/stock/input'
import { PURCHASE_WORDS } from '@/lib/stock/purchase'
import { endedPurchases, openPurchases, type PurchaseView } from '@/lib/stock/purchases/store'
import { formatDay, instantOf } from '@/lib/units/time'
import { amountOf, money } from '../show'
import { StockNav } from '../stock-nav'

export const metadata: Metadata = { title: 'Purchases' }

const SIZE = 50

/** What is on the way, and what came. */
export default async function Purchases({
  searchParams,
}: {
  searchParams: Promise<Record<string, string | string[] | undefined>>
}) {
  const person = await requirePerson('stock.see')
  const now = instantOf(new Date())
  const page = listFilter.parse(await searchParams).page ?? 1
  const [facts, open, done] = await Promise.all([shop(), openPurchases(), endedPurchases(page, SIZE)])
  const late = open.filter(p => p.state === 'sent' && p.dueAt !== null && p.dueAt < now)
  const unsent = open.filter(p => p.state === 'draft').length
  const prices = mayDo(person, 'prices.see')
  const columns: Column<PurchaseView>[] = [
    {
      key: 'number',
      head: 'Purchase',
      rowHead: true,
      cell: p => <Link href={`/stockroom/purchases/${p.number}`}>{p.number}</Link>,
    },
    { key: 'supplier', head: 'From', wrap: true, cell: p => p.supplier },
    { key: 'what', head: 'What', wrap: true, cell: what },
    ...(prices
      ? [
          {
            key: 'value',
            head: 'Value',
            numeric: true,
            cell: (p: PurchaseView) => money(p.value, facts.currency),
          },
        ]
      : []),
    { key: 'due', head: 'Due', cell: p => (p.dueAt ? formatDay(p.dueAt, facts.timeZone) : 'no day given') },
    { key: 'state', head: 'Stands', cell: p => <State purchase={p} late={late.includes(p)} /> },
  ]
  return (
    <RoomPage>
      <StockNav current="/stockroom/purchases" />
      <PageHead
        title="Purchases"
        sense={`${open.length - unsent} on the way${late.length ? `, ${late.length} overdue` : ''}${unsent ? `, ${unsent} not sent yet` : ''}.`}
        next={
          mayDo(person, 'stock.buy') && (
            <ButtonLink look="primary" href="/stockroom/purchases/new">
              Order what runs low
            </ButtonLink>
          )
        }
      />
      <Section title="Not here yet">
        <DataTable
          caption="On the way or to be sent, the earliest first"
          quietCaption
          rows={open}
          rowKey={p => p.id}
          empty="Nothing is on the way or waits to be sent."
          mark={p => (late.includes(p) ? 'late' : undefined)}
          columns={columns}
        />
      </Section>
      <Section title="Done">
        <DataTable
          caption="Received or cancelled, newest first"
          quietCaption
          rows={done.rows}
          rowKey={p => p.id}
          empty="Nothing has been received yet."
          columns={columns}
        />
        <Pager
          page={page}
          size={SIZE}
          total={done.total}
          href={to => `/stockroom/purchases?page=${to}`}
          what="purchases"
        />
      </Section>
    </RoomPage>
  )
}

function what(p: PurchaseView): string {
  const [first] = p.lines
  if (!first) return 'nothing'
  const more = p.lines.length - 1
  return `${amountOf(first, first.quantity)} ${first.name}${more ? ` and ${more} more` : ''}`
}

function State({ purchase, late }: { purchase: PurchaseView; late: boolean }) {
  if (late) return <StateMark state="late">overdue</StateMark>
  if (purchase.state === 'received') return <StateMark state="done">received</StateMark>
  if (purchase.state === 'cancelled') return <StateMark state="withdrawn">cancelled</StateMark>
  const part = purchase.lines.some(l => l.received > 0)
  if (purchase.state === 'draft') return <StateMark state="risk">{PURCHASE_WORDS.draft}</StateMark>
  return <StateMark state="agreed">{part ? 'part received' : PURCHASE_WORDS[purchase.state]}</StateMark>
}
