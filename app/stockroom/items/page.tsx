import type { Metadata } from 'next'
import Link from 'next/link'
import { Button, ButtonLink } from '@/app/parts/button'
import { type Column, DataTable } from '@/app/parts/data-table'
import { Field } from '@/app/parts/field'
import { PageHead } from '@/app/parts/page-head'
import { Pager } from '@/app/parts/pager'
import { RoomPage } from '@/app/parts/room-page'
import { SelectField } from '@/app/parts/select-field'
import { StateMark } from '@/app/parts/state-mark'
import { mayDo } from '@/lib/server/rights'
import { requirePerson } from '@/lib/server/session'
import { styles as allStyles, shop } from '@/lib/shop/store'
import { itemFilter } from '@/lib/stock/input'
import { ITEM_KINDS, ITEM_SORTS, type ItemSort, KIND_WORDS } from '@/lib/stock/items'
import { type ItemLine, itemPage } from '@/lib/stock/views/store'
import { amountOf, itemHref, money } from '../show'
import { StockNav } from '../stock-nav'
import styles from '../stockroom.module.css'

export const metadata: Metadata = { title: 'Items' }

const SIZE = 100

/** Every item with where it stands. */
export default async function Items({
  searchParams,
}: {
  searchParams: Promise<Record<string, string | string[] | undefined>>
}) {
  const person = await requirePerson('stock.see')
  const filter = itemFilter.parse(await searchParams)
  const page = filter.page ?? 1
  const [facts, all, found] = await Promise.all([
    shop(),
    allStyles(),
    itemPage(
      {
        ...(filter.kind ? { kind: filter.kind } : {}),
        ...(filter.style ? { styleId: filter.style } : {}),
        ...(filter.words ? { words: filter.words } : {}),
        only: filter.only,
        sort: filter.sort,
        down: filter.down === '1',
      },
      page,
      SIZE,
    ),
  ])
  const { rows, total } = found
  const prices = mayDo(person, 'prices.see')
  const addressOf = (over: Partial<typeof filter>) => {
    const query = new URLSearchParams()
    for (const [key, value] of Object.entries({ ...filter, ...over }))
      if (value) query.set(key, String(value))
    return `/stockroom/items?${query}`
  }
  const address = (to: number) => addressOf({ page: to > 1 ? to : undefined })
  const worth: Column<ItemLine> = {
    key: 'worth',
    head: 'Value',
    numeric: true,
    cell: i => money(i.level.worth, facts.currency),
    foot: money(found.worth, facts.currency),
  }
  return (
    <RoomPage>
      <StockNav current="/stockroom/items" />
      <PageHead
        title="Items"
        sense={`${total.toLocaleString('en')} ${total === 1 ? 'item' : 'items'}${filter.words ? ` with “${filter.words}”` : ''}.`}
        more={mayDo(person, 'stock.buy') && <ButtonLink href="/stockroom/items/new">New item</ButtonLink>}
      />
      <form action="/stockroom/items">
        <search className={styles.filter}>
          <Field
            name="words"
            label="Find"
            type="search"
            value={filter.words}
            maxLength={120}
            placeholder="black M, ink, SKU"
          />
          <SelectField
            name="kind"
            label="Kind"
            value={filter.kind}
            empty="all kinds"
            options={ITEM_KINDS.map(k => ({ value: k, label: KIND_WORDS[k] }))}
          />
          <SelectField
            name="style"
            label="Style"
            value={filter.style}
            empty="all styles"
            options={all.map(s => ({ value: s.id, label: s.name }))}
          />
          <SelectField
            name="only"
            label="Show"
            value={filter.only}
            empty="everything"
            options={[
              { value: 'short', label: 'what is short' },
              { value: 'order', label: 'what to order' },
            ]}
          />
          <Button type="submit">Show</Button>
        </search>
      </form>
      <DataTable
        caption="Items"
        quietCaption
        rows={rows}
        rowKey={i => i.id}
        empty="Nothing on the shelves fits. Show all kinds, or look for fewer words."
        order={filter.sort ? { key: filter.sort, descending: filter.down === '1' } : undefined}
        orderHref={(key, down) =>
          isSort(key) ? addressOf({ sort: key, down: down ? '1' : undefined, page: undefined }) : undefined
        }
        mark={i => (i.level.short > 0 ? 'late' : i.toOrder > 0 ? 'risk' : undefined)}
        columns={[
          {
            key: 'name',
            head: 'Item',
            rowHead: true,
            wrap: true,
            cell: i => <Link href={itemHref(i.sku)}>{i.name}</Link>,
          },
          { key: 'sku', head: 'SKU', cell: i => i.sku, spare: true },
          {
            key: 'onHand',
            head: 'On hand',
            numeric: true,
            cell: i => amountOf(i, i.level.onHand),
          },
          {
            key: 'promised',
            head: 'Promised',
            numeric: true,
            cell: i => amountOf(i, i.level.promised),
          },
          {
            key: 'free',
            head: 'Free',
            numeric: true,
            cell: i => amountOf(i, i.level.free),
          },
          {
            key: 'onTheWay',
            head: 'On the way',
            numeric: true,
            cell: i => amountOf(i, i.level.onTheWay),
          },
          ...(prices ? [worth] : []),
          {
            key: 'standing',
            head: 'To do',
            cell: i =>
              i.level.short > 0 ? (
                <StateMark state="late">short {amountOf(i, i.level.short)}</StateMark>
              ) : i.toOrder > 0 ? (
                <StateMark state="risk">order {amountOf(i, i.toOrder)}</StateMark>
              ) : null,
          },
        ]}
      />
      <Pager page={page} size={SIZE} total={total} href={address} what="items" />
    </RoomPage>
  )
}

const isSort = (key: string): key is ItemSort => (ITEM_SORTS as readonly string[]).includes(key)
