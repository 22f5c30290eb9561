import type { Metadata } from 'next'
import { notFound } from 'next/navigation'
import { ActionForm } from '@/app/parts/action-form'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Section } from '@/app/parts/section'
import { SubmitButton } from '@/app/parts/submit-button'
import { WhatHappened } from '@/app/what-happened'
import { decimal } from '@/lib/books/csv'
import { priceLists } from '@/lib/methods/store'
import { historyOf } from '@/lib/server/history'
import { requirePerson } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import { OfficeNav } from '../../office-nav'
import { retirePriceListAction, savePriceListAction } from '../actions'
import { ListForm } from '../list-form'

export const metadata: Metadata = { title: 'Price list' }

/** A price list of another printer: a new one, or one that is changed. */
export default async function PriceListPage({ params }: { params: Promise<{ key: string }> }) {
  const who = await requirePerson('rates.change')
  const { key } = await params
  const [facts, lists, past] = await Promise.all([shop(), priceLists(), historyOf('price list', key, 50)])
  const { currency } = facts
  const found = lists.find(l => l.list.key === key)
  if (!found && key !== 'new') notFound()
  const list = found?.list
  return (
    <RoomPage narrow>
      <OfficeNav current="/office/printers" />
      <PageHead
        title={list ? list.name : 'A new price list'}
        back={{ href: '/office/printers', label: 'Other printers' }}
        sense="What is offered by it keeps the prices of its day."
      />
      <ListForm
        action={savePriceListAction.bind(null, list?.key ?? null)}
        version={found?.version ?? 0}
        currency={currency}
        fields={{
          name: list?.name ?? '',
          method: list?.method ?? '',
          days: list ? String(list.days) : '',
          setupEach: list ? decimal(list.setupEach, currency) : '',
          freight: list ? decimal(list.freight, currency) : '',
          rows: list?.rows.map(r => `${r.from} ${decimal(r.each, currency)}`).join('\n') ?? '',
        }}
      />
      {list && (
        <Section title="No longer in use">
          <ActionForm action={retirePriceListAction.bind(null, list.key)} label="Put the list away">
            <SubmitButton look="plain">Put the list away</SubmitButton>
          </ActionForm>
        </Section>
      )}
      {list && <WhatHappened about="this list" lines={past} facts={facts} who={who} />}
    </RoomPage>
  )
}
