import type { Metadata } from 'next'
import Link from 'next/link'
import { notFound } from 'next/navigation'
import { z } from 'zod'
import { readNumber } from '@/app/number-in-address'
import { ActionForm } from '@/app/parts/action-form'
import { DataTable } from '@/app/parts/data-table'
import { Notice } from '@/app/parts/notice'
import { PageHead } from '@/app/parts/page-head'
import { Pager } from '@/app/parts/pager'
import { RoomPage } from '@/app/parts/room-page'
import { SubmitButton } from '@/app/parts/submit-button'
import { TickField } from '@/app/parts/tick-field'
import { requirePerson } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import { findCount } from '@/lib/stock/counts/store'
import { formatAmount, formatSigned } from '@/lib/stock/items'
import { sumMicro } from '@/lib/units/money'
import { itemHref, money } from '../../../show'
import { approveCountAction } from '../../actions'

export const metadata: Metadata = { title: 'Differences of a count' }

/** Differences on one page: all of them are approved together. */
const SIZE = 500

/** What a count found otherwise than the book has it; a person approves it. */
export default async function Differences({
  params,
  searchParams,
}: {
  params: Promise<{ number: string }>
  searchParams: Promise<Record<string, string | string[] | undefined>>
}) {
  await requirePerson('stock.buy')
  const number = readNumber((await params).number)
  const page = z.coerce
    .number()
    .int()
    .min(1)
    .catch(1)
    .parse((await searchParams).page)
  const found = number !== null ? await findCount(number, { only: 'different', page, size: SIZE }) : null
  if (!found) notFound()
  const { count, lines, total } = found
  const { currency } = await shop()
  const open = count.state === 'open'
  const here = `/stockroom/counts/${count.number}`
  return (
    <RoomPage>
      <PageHead
        back={{ href: here, label: `Count ${count.number}` }}
        title={`Differences of count ${count.number}`}
        sense={`${total} of ${count.counted} counted differ from the book; those on this page are worth ${money(sumMicro(lines.map(l => l.worth)), currency)}.`}
      />
      {open && count.counted < count.items && (
        <Notice>
          {count.items - count.counted} {count.items - count.counted === 1 ? 'shelf is' : 'shelves are'} not
          counted: they stay as the book has them. <Link href={`${here}?only=open`}>Count them</Link>
        </Notice>
      )}
      <ActionForm action={approveCountAction.bind(null, count.number)} label="Approve the differences">
        <DataTable
          caption="What differs from the book"
          quietCaption
          rows={lines}
          rowKey={l => l.itemId}
          empty="Everything that was counted agrees with the book."
          columns={[
            {
              key: 'item',
              head: 'Item',
              rowHead: true,
              wrap: true,
              cell: l => <Link href={itemHref(l.sku)}>{l.name}</Link>,
            },
            {
              key: 'book',
              head: 'Book then',
              numeric: true,
              cell: l => formatAmount(l.bookHad ?? 0, l.unit),
            },
            { key: 'found', head: 'Found', numeric: true, cell: l => formatAmount(l.found ?? 0, l.unit) },
            {
              key: 'difference',
              head: 'Difference',
              numeric: true,
              cell: l => formatSigned((l.found ?? 0) - (l.bookHad ?? 0), l.unit),
            },
            { key: 'worth', head: 'Worth', numeric: true, cell: l => money(l.worth, currency) },
            { key: 'by', head: 'Counted by', cell: l => l.countedBy },
            {
              key: 'left',
              head: open ? 'Leave it' : 'Then',
              cell: l =>
                open ? (
                  <TickField
                    name={`left.${l.itemId}`}
                    label={
                      <>
                        look again<span className="aloud"> at {l.name}</span>
                      </>
                    }
                  />
                ) : (
                  l.decided || 'not booked'
                ),
            },
          ]}
        />
        {open && count.counted > 0 && (
          <>
            <p>
              What is not ticked is booked. What moved since it was counted counts on. Ink and other things
              that printing uses up carry the difference to the orders since the last count.
            </p>
            <SubmitButton>Approve and book</SubmitButton>
          </>
        )}
      </ActionForm>
      <Pager
        page={page}
        size={SIZE}
        total={total}
        href={to => `${here}/differences?page=${to}`}
        what="differences"
      />
    </RoomPage>
  )
}
