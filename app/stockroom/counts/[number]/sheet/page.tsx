import { toSVG } from 'bwip-js/node'
import type { Metadata } from 'next'
import { notFound } from 'next/navigation'
import { PrintButton } from '@/app/floor/tickets/[number]/print-button'
import { readNumber } from '@/app/number-in-address'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { requirePerson } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import { findCount } from '@/lib/stock/counts/store'
import { EVERYDAY, formatAmount, UNITS } from '@/lib/stock/items'
import { formatLongDay } from '@/lib/units/time'
import styles from '../../../stockroom.module.css'

export const metadata: Metadata = { title: 'Sheet for counting' }

/** Rows of one sheet: a round of more is printed in parts. */
const MOST = 2_000

/** A count as a sheet for the clipboard: a box for each shelf, and its code for the scanner. */
export default async function Sheet({ params }: { params: Promise<{ number: string }> }) {
  await requirePerson('stock.see')
  const number = readNumber((await params).number)
  const found = number !== null ? await findCount(number, { size: MOST }) : null
  if (!found) notFound()
  const { count, lines, total } = found
  const { timeZone, name } = await shop()
  return (
    <RoomPage>
      <PageHead
        back={{ href: `/stockroom/counts/${count.number}`, label: `Count ${count.number}` }}
        title={`Count ${count.number}: ${count.name}`}
        sense={`${name}, ${formatLongDay(count.startedAt, timeZone)}. Counted by ______________________`}
        next={
          <span data-screen-only>
            <PrintButton />
          </span>
        }
      />
      {total > MOST && (
        <p>
          The first {MOST} of {total} shelves: take the rest out as CSV.
        </p>
      )}
      <table className={styles.sheet}>
        <thead>
          <tr>
            <th scope="col">Code</th>
            <th scope="col">Item</th>
            {!count.blind && (
              <th scope="col" className={styles.number}>
                Book
              </th>
            )}
            <th scope="col">Really there</th>
          </tr>
        </thead>
        <tbody>
          {lines.map(l => (
            <tr key={l.itemId}>
              <td
                className={styles.bars}
                // biome-ignore lint/security/noDangerouslySetInnerHtml: drawn here from the SKU alone
                dangerouslySetInnerHTML={{
                  __html: toSVG({ bcid: 'code128', text: l.sku, height: 8, includetext: false }),
                }}
              />
              <th scope="row">
                {l.name}
                <small className={styles.quiet}> {l.sku}</small>
              </th>
              {!count.blind && <td className={styles.number}>{formatAmount(l.onHand, l.unit)}</td>}
              <td className={styles.box}>{l.unit === 'piece' ? 'pieces' : UNITS[EVERYDAY[l.unit]].word}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </RoomPage>
  )
}
