import type { Metadata } from 'next'
import Link from 'next/link'
import { ButtonLink } from '@/app/parts/button'
import { DataTable } from '@/app/parts/data-table'
import { EmptyState } from '@/app/parts/empty-state'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { StateMark } from '@/app/parts/state-mark'
import { isSort, type ListInput, listInput } from '@/lib/orders/input'
import { OPEN_STATES, ORDER_STATES, STATE_WORDS } from '@/lib/orders/states'
import { countByState, listOrders, PAGE_ROWS } from '@/lib/orders/store'
import { mayDo } from '@/lib/server/rights'
import { requirePerson } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import { formatMoney } from '@/lib/units/money'
import { instantOf } from '@/lib/units/time'
import styles from '../counter.module.css'
import { FindBox } from '../find-box'
import { Promised } from '../promise'

export const metadata: Metadata = { title: 'Orders' }

const addressOf = (input: ListInput, change: Partial<ListInput>): string => {
  const { state, find, sort, down, page } = { ...input, page: 1, ...change }
  const query = new URLSearchParams()
  if (state !== 'open') query.set('state', state)
  if (find) query.set('find', find)
  if (sort !== 'promise') query.set('sort', sort)
  if (down) query.set('down', '1')
  if (page > 1) query.set('page', String(page))
  return `/counter/orders${query.size ? `?${query}` : ''}`
}

/** Every order: by state, found by number or name, sorted and paged by the server. */
export default async function Orders({
  searchParams,
}: {
  searchParams: Promise<Record<string, string | string[]>>
}) {
  const person = await requirePerson('orders.see')
  const input = listInput.parse(await searchParams)
  const [facts, counts, { rows, total }] = await Promise.all([shop(), countByState(), listOrders(input)])
  const now = instantOf(new Date())
  const prices = mayDo(person, 'prices.see')
  const pages = Math.max(1, Math.ceil(total / PAGE_ROWS))
  const sum = (states: readonly (typeof ORDER_STATES)[number][]) =>
    states.reduce((n, s) => n + (counts[s] ?? 0), 0)
  return (
    <RoomPage>
      <PageHead
        title="Orders"
        back={{ href: '/counter', label: 'Counter' }}
        sense={
          input.find
            ? `${total} found for “${input.find}”.`
            : `${sum(OPEN_STATES)} open, ${sum(ORDER_STATES)} in all.`
        }
        next={
          mayDo(person, 'orders.change') && (
            <ButtonLink look="primary" href="/counter/new">
              New enquiry
            </ButtonLink>
          )
        }
      />
      <FindBox value={input.find} />
      <nav aria-label="Orders by state">
        <ul className={styles.filters}>
          {(['open', ...ORDER_STATES, 'all'] as const).map(state => (
            <li key={state}>
              <Link
                href={addressOf(input, { state })}
                aria-current={state === input.state ? 'page' : undefined}
              >
                {state === 'open' ? 'open' : state === 'all' ? 'all' : STATE_WORDS[state]}{' '}
                {state === 'open'
                  ? sum(OPEN_STATES)
                  : state === 'all'
                    ? sum(ORDER_STATES)
                    : (counts[state] ?? 0)}
              </Link>
            </li>
          ))}
        </ul>
      </nav>
      <DataTable
        caption="Orders"
        quietCaption
        rows={rows}
        rowKey={o => String(o.number)}
        order={{ key: input.sort, descending: input.down }}
        orderHref={(key, down) => (isSort(key) ? addressOf(input, { sort: key, down }) : undefined)}
        empty={
          <EmptyState
            title={input.find ? `Nothing fits “${input.find}”` : 'No orders here'}
            action={
              <ButtonLink href={addressOf(input, { state: 'all', find: '' })}>Show all orders</ButtonLink>
            }
          >
            {input.find && 'Orders are found by number, title, customer or contact.'}
          </EmptyState>
        }
        columns={[
          {
            key: 'number',
            head: 'Order',
            rowHead: true,
            cell: o => <Link href={`/counter/orders/${o.number}`}>{o.number}</Link>,
          },
          {
            key: 'customer',
            head: 'Customer',
            wrap: true,
            cell: o => <Link href={`/counter/customers/${o.customerId}`}>{o.customer}</Link>,
          },
          { key: 'what', head: 'What it is for', wrap: true, cell: o => o.title },
          { key: 'pieces', head: 'Pieces', numeric: true, cell: o => o.pieces.toLocaleString('en') },
          {
            key: 'promise',
            head: 'Promised',
            cell: o => (
              <Promised
                at={o.promiseAt}
                hard={o.promiseHard}
                state={o.state}
                now={now}
                zone={facts.timeZone}
              />
            ),
          },
          { key: 'state', head: 'State', cell: o => <StateMark state={o.state} /> },
          ...(prices
            ? [
                {
                  key: 'total',
                  head: 'Total',
                  numeric: true,
                  cell: (o: (typeof rows)[number]) =>
                    o.gross === null ? 'no price yet' : formatMoney(o.gross, facts.currency),
                },
                {
                  key: 'due',
                  head: 'Due',
                  numeric: true,
                  cell: (o: (typeof rows)[number]) =>
                    o.due === 0 ? '–' : formatMoney(o.due, facts.currency),
                },
              ]
            : []),
        ]}
      />
      {pages > 1 && (
        <nav className={styles.pages} aria-label="Pages">
          {input.page > 1 && (
            <ButtonLink href={addressOf(input, { page: input.page - 1 })}>Earlier</ButtonLink>
          )}
          <span>
            Page {Math.min(input.page, pages)} of {pages}
          </span>
          {input.page < pages && (
            <ButtonLink href={addressOf(input, { page: input.page + 1 })}>Later</ButtonLink>
          )}
        </nav>
      )}
    </RoomPage>
  )
}
