import type { Metadata } from 'next'
import { z } from 'zod'
import { Button, ButtonLink } from '@/app/parts/button'
import { DataTable } from '@/app/parts/data-table'
import { Field } from '@/app/parts/field'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { differences } from '@/lib/books/difference'
import { type PastChange, pastChanges } from '@/lib/books/store'
import { requirePerson } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import { formatMoment } from '@/lib/units/time'
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
  const [{ timeZone }, lines] = await Promise.all([
    shop(),
    pastChanges({ most: SIZE, ...(words ? { words } : {}), ...(before ? { before } : {}) }),
  ])
  const last = lines.at(-1)
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
        empty={words ? 'No change fits these words.' : 'Nothing has been changed yet.'}
        columns={[
          { key: 'at', head: 'When', rowHead: true, cell: l => formatMoment(l.at, timeZone) },
          { key: 'by', head: 'Who', cell: l => l.byName },
          { key: 'what', head: 'What', wrap: true, cell: l => l.what },
          { key: 'changed', head: 'Before and after', wrap: true, cell: l => <Changed line={l} /> },
        ]}
      />
      {lines.length === SIZE && last && (
        <ButtonLink
          href={`/office/history?${new URLSearchParams({ ...(words ? { words } : {}), before: last.id })}`}
        >
          Earlier
        </ButtonLink>
      )}
    </RoomPage>
  )
}

function Changed({ line }: { line: PastChange }) {
  const changed = differences(line.before, line.after)
  if (changed.length === 0) return null
  return (
    <details>
      <summary>
        {changed.length} {changed.length === 1 ? 'value' : 'values'}
      </summary>
      <ul className={styles.list}>
        {changed.map(d => (
          <li key={d.name}>
            {d.name}: {d.before === null ? '' : `${d.before} → `}
            {d.after ?? 'gone'}
          </li>
        ))}
      </ul>
    </details>
  )
}
