import type { Metadata } from 'next'
import { ImportDesk } from '@/app/imports/import-desk'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { BLANK_COLUMNS } from '@/lib/orders/imports/blanks'
import { requirePerson } from '@/lib/server/session'
import { lookAtBlanksAction, takeBlanksAction } from './actions'

export const metadata: Metadata = { title: 'Blanks from a file' }

/** Takes styles, colours and sizes of blanks in from a table: a supplier's price list, for instance. */
export default async function ImportBlanks() {
  await requirePerson('stock.buy')
  return (
    <RoomPage>
      <PageHead
        title="Blanks from a file"
        back={{ href: '/stockroom/blanks', label: 'Blanks by size' }}
        sense="One row for each style, colour and size: a supplier’s price list, for instance. What lies on the shelf is not touched. Empty cells change nothing, and the same file again changes nothing."
      />
      <ImportDesk columns={BLANK_COLUMNS} look={lookAtBlanksAction} take={takeBlanksAction} what="blanks" />
    </RoomPage>
  )
}
