import type { Metadata } from 'next'
import { z } from 'zod'
import { Button, ButtonLink } from '@/app/parts/button'
import { DataTable } from '@/app/parts/data-table'
import { Field } from '@/app/parts/field'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Row } from '@/app/parts/row'
import { Changed } from '@/app/what-happened'
import { changeWords } from '@/lib/books/change-words'
import { pastChanges } from '@/lib/books/store'
import { requirePerson } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import { formatLongDay, formatPast } from '@/lib/units/time'
import styles from '../office.module.css'
import { OfficeNav } from '../office-nav'

export const metadata: Metadata = { title: 'History' }

const SIZE = 100
const querySchema = z.object({
  words: z.string().max(120).optional().catch(undefined),
  before: z.uuid().optional().catch(undefined),
})

/** Who changed what: money, stock, states, rates, rights. Lines are only ever added. */
export default async function History({
  searchParams,
}: {
  searchParams: Promise<Record<string, string | string[] | undefined>>
}) {
  await requirePerson('books.see')
  const { words, before } = querySchema.parse(await searchParams)
  const [{ currency, timeZone }, { lines, next }] = await Promise.all([
    shop(),
    pastChanges({ most: SIZE, words, before }),
  ])
  // A search that reached its end of the part that it reads says how far back it looked.
  const seenTo = words && next && lines.length < SIZE ? formatLongDay(next.seenTo, timeZone) : null
  return (
    <RoomPage>
      <OfficeNav current="/office/history" />
      <PageHead title="History" sense="Who changed what, newest first. Nothing here can be changed." />
      <form action="/office/history">
        <search className={styles.filter}>
          <Field
            name="words"
            label="Find"
            type="search"
            value={words}
            maxLength={120}
            placeholder="a name, an order"
          />
          <Button type="submit">Find</Button>
        </search>
      </form>
      <DataTable
        caption="Changes, newest first"
        quietCaption
        rows={lines}
        rowKey={l => l.id}
        empty={
          seenTo
            ? `No change since ${seenTo} fits these words.`
            : words
              ? 'No change fits these words.'
              : 'Nothing has been changed yet.'
        }
        columns={[
          { key: 'at', head: 'When', rowHead: true, cell: l => formatPast(l.at, timeZone) },
          { key: 'by', head: 'Who', cell: l => l.byName },
          { key: 'what', head: 'What', wrap: true, cell: l => l.what },
          {
            key: 'changed',
            head: 'Before and after',
            wrap: true,
            cell: l => <Changed list={changeWords(l, { currency, zone: timeZone, unit: l.unit })} />,
          },
        ]}
      />
      {next && (
        <Row>
          {seenTo && lines.length > 0 && <span>Looked back to {seenTo}.</span>}
          <ButtonLink
            href={`/office/history?${new URLSearchParams({ ...(words ? { words } : {}), before: next.before })}`}
          >
            {seenTo ? 'Search further back' : 'Earlier'}
          </ButtonLink>
        </Row>
      )}
    </RoomPage>
  )
}
