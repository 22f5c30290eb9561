import type { Metadata } from 'next'
import Link from 'next/link'
import { ButtonLink } from '@/app/parts/button'
import { DataTable } from '@/app/parts/data-table'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { priceLists } from '@/lib/methods/store'
import { mayDo } from '@/lib/server/rights'
import { requirePerson } from '@/lib/server/session'
import { METHOD_WORDS } from '@/lib/shop/methods'
import { shop } from '@/lib/shop/store'
import { formatMoney } from '@/lib/units/money'
import { formatMoment } from '@/lib/units/time'
import { OfficeNav } from '../office-nav'

export const metadata: Metadata = { title: 'Other printers' }

/** Who else prints for the shop, and what they ask: each stands in every comparison. */
export default async function Printers() {
  const person = await requirePerson('books.see')
  const [rows, { currency, timeZone }] = await Promise.all([priceLists(), shop()])
  const may = mayDo(person, 'rates.change')
  return (
    <RoomPage>
      <OfficeNav current="/office/printers" />
      <PageHead
        title="Other printers"
        sense="Work that is sent out: what another printer asks for printing on your blanks. Each list stands in every comparison beside your own ways."
        next={may ? <ButtonLink href="/office/printers/new">Write a price list down</ButtonLink> : undefined}
      />
      <DataTable
        caption="Price lists in use"
        quietCaption
        rows={rows}
        rowKey={r => r.list.key}
        empty="No price list yet. Ask a printer near you for theirs: then you see at every enquiry whether sending it out is cheaper."
        columns={[
          {
            key: 'name',
            head: 'Printer',
            rowHead: true,
            wrap: true,
            cell: r => <Link href={`/office/printers/${r.list.key}`}>{r.list.name}</Link>,
          },
          { key: 'method', head: 'Prints by', cell: r => METHOD_WORDS[r.list.method].short },
          { key: 'days', head: 'Days away', numeric: true, cell: r => r.list.days },
          {
            key: 'setup',
            head: 'Set-up of a print',
            numeric: true,
            cell: r => formatMoney(r.list.setupEach, currency),
          },
          {
            key: 'prices',
            head: 'Each, from so many',
            wrap: true,
            cell: r => r.list.rows.map(x => `${x.from}: ${formatMoney(x.each, currency)}`).join(', '),
          },
          {
            key: 'since',
            head: 'Since',
            cell: r => `${r.byName}, ${formatMoment(r.at, timeZone)}`,
            spare: true,
          },
        ]}
      />
    </RoomPage>
  )
}
