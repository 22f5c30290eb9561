import { randomUUID } from 'node:crypto'
import type { Metadata } from 'next'
import Link from 'next/link'
import { ActionForm } from '@/app/parts/action-form'
import { DataTable } from '@/app/parts/data-table'
import { Field } from '@/app/parts/field'
import { PageHead } from '@/app/parts/page-head'
import { Pager } from '@/app/parts/pager'
import { RoomPage } from '@/app/parts/room-page'
import { Row } from '@/app/parts/row'
import { Section } from '@/app/parts/section'
import { SelectField } from '@/app/parts/select-field'
import { StateMark } from '@/app/parts/state-mark'
import { SubmitButton } from '@/app/parts/submit-button'
import { TickField } from '@/app/parts/tick-field'
import { mayDo } from '@/lib/server/rights'
import { requirePerson } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import { listCounts } from '@/lib/stock/counts/store'
import { listFilter } from '@/lib/stock/input'
import { ITEM_KINDS, KIND_WORDS } from '@/lib/stock/items'
import { formatMoment } from '@/lib/units/time'
import { StockNav } from '../stock-nav'
import { startCountAction } from './actions'

export const metadata: Metadata = { title: 'Counts' }

const SIZE = 50

/** Rounds of counting, and the way to a new one. */
export default async function Counts({
  searchParams,
}: {
  searchParams: Promise<Record<string, string | string[] | undefined>>
}) {
  const person = await requirePerson('stock.see')
  const page = listFilter.parse(await searchParams).page ?? 1
  const [{ timeZone }, { rows, total }] = await Promise.all([shop(), listCounts(page, SIZE)])
  const open = rows.filter(r => r.state === 'open')
  return (
    <RoomPage>
      <StockNav current="/stockroom/counts" />
      <PageHead
        title="Counts"
        sense={
          open.length
            ? `${open.length} being counted.`
            : 'Walk the shelves with a sheet or a phone; a person approves the differences.'
        }
      />
      {mayDo(person, 'stock.move') && (
        <Section title="Begin a count">
          <ActionForm action={startCountAction} label="Begin a count">
            <input type="hidden" name="formKey" value={randomUUID()} />
            <Row>
              <Field name="name" label="Name" hint="Ink shelf, end of May." maxLength={80} required />
              <SelectField
                name="kind"
                label="What is counted"
                empty="everything"
                options={ITEM_KINDS.map(k => ({ value: k, label: KIND_WORDS[k] }))}
              />
            </Row>
            <TickField name="blind" label="Blind" note="Whoever counts does not see what the book says." />
            <SubmitButton>Begin</SubmitButton>
          </ActionForm>
        </Section>
      )}
      <Section title="Rounds of counting">
        <DataTable
          caption="Rounds of counting, the newest first"
          quietCaption
          rows={rows}
          rowKey={r => r.id}
          empty="Nobody has counted yet."
          columns={[
            {
              key: 'number',
              head: 'Count',
              rowHead: true,
              wrap: true,
              cell: r => (
                <Link href={`/stockroom/counts/${r.number}`}>
                  {r.number}, {r.name}
                </Link>
              ),
            },
            { key: 'done', head: 'Counted', numeric: true, cell: r => `${r.counted} of ${r.items}` },
            {
              key: 'began',
              head: 'Began',
              wrap: true,
              cell: r => `${r.startedBy}, ${formatMoment(r.startedAt, timeZone)}`,
            },
            {
              key: 'state',
              head: 'Stands',
              cell: r =>
                r.state === 'open' ? (
                  <StateMark state="making">{r.blind ? 'open, blind' : 'open'}</StateMark>
                ) : r.state === 'approved' ? (
                  <StateMark state="done">approved</StateMark>
                ) : (
                  <StateMark state="withdrawn">dropped</StateMark>
                ),
            },
          ]}
        />
        <Pager
          page={page}
          size={SIZE}
          total={total}
          href={to => `/stockroom/counts?page=${to}`}
          what="counts"
        />
      </Section>
    </RoomPage>
  )
}
