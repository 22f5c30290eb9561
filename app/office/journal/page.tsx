import type { Metadata } from 'next'
import Link from 'next/link'
import { ActionForm } from '@/app/parts/action-form'
import { ButtonLink } from '@/app/parts/button'
import { DataTable } from '@/app/parts/data-table'
import { Field } from '@/app/parts/field'
import { Notice } from '@/app/parts/notice'
import { PageHead } from '@/app/parts/page-head'
import { Pager } from '@/app/parts/pager'
import { RoomPage } from '@/app/parts/room-page'
import { Section } from '@/app/parts/section'
import { StateMark } from '@/app/parts/state-mark'
import { SubmitButton } from '@/app/parts/submit-button'
import { ACCOUNT_ABOUT, ACCOUNTS } from '@/lib/books/journal/journal'
import { chart, journal } from '@/lib/books/journal/store'
import { mayDo } from '@/lib/server/rights'
import { requirePerson } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import { type Minor, minor, sumMinor } from '@/lib/units/money'
import { formatDay, formatMonth, instantOf } from '@/lib/units/time'
import { askedMonth } from '../asked-month'
import { MonthChoice } from '../month-choice'
import { MonthNav } from '../month-nav'
import styles from '../office.module.css'
import { OfficeNav } from '../office-nav'
import { money } from '../show'
import { chartAction } from './actions'

export const metadata: Metadata = { title: 'Journal' }

/** Entries on one page; the file holds all. */
const SIZE = 25

/** The month as journal lines for the book-keeper, and the accounts they stand on. */
export default async function JournalPage({
  searchParams,
}: {
  searchParams: Promise<Record<string, string | string[] | undefined>>
}) {
  const person = await requirePerson('books.see')
  const query = await searchParams
  const { month, all, unknown } = await askedMonth(query.month, instantOf(new Date()))
  const [{ currency, timeZone }, accounts, { journal: written, closedAt }] = await Promise.all([
    shop(),
    chart(),
    journal(month),
  ])
  const show = (n: Minor) => money(n, currency)
  const used = ACCOUNTS.filter(a => written.sums.has(a)).sort((a, b) =>
    accounts[a].number.localeCompare(accounts[b].number, 'en', { numeric: true }),
  )
  const sum = (side: 'debit' | 'credit') => sumMinor(used.map(a => written.sums.get(a)?.[side] ?? minor(0)))
  const page = Math.max(1, Math.min(Number(query.page) || 1, Math.ceil(written.entries.length / SIZE) || 1))
  const lines = written.entries
    .slice((page - 1) * SIZE, page * SIZE)
    .flatMap((e, i) => e.lines.map((l, k) => ({ ...l, entry: e, first: k === 0, key: `${i}.${k}` })))
  return (
    <RoomPage wide>
      <OfficeNav current="/office" />
      <MonthNav month={month} current="/office/journal" />
      <PageHead
        title={`Journal of ${formatMonth(month)}`}
        mark={
          closedAt === null ? (
            <StateMark state="making">open: it may still change</StateMark>
          ) : (
            <StateMark state="done">closed {formatDay(closedAt, timeZone)}</StateMark>
          )
        }
        sense="Every line for the book-keeper, on the accounts set below. Debits and credits are equal, entry by entry."
        next={
          <ButtonLink look="primary" href={`/office/journal.csv?month=${month}`} prefetch={false}>
            Download as CSV
          </ButtonLink>
        }
      />
      <MonthChoice month={month} all={all} path="/office/journal" />
      {unknown && (
        <Notice>The shop has no books of the month in the address: this is {formatMonth(month)}.</Notice>
      )}
      <div className={styles.pair}>
        <Section title="By account">
          <DataTable
            caption={`Sums of ${formatMonth(month)} by account`}
            quietCaption
            rows={used.map(a => ({
              account: a,
              ...(written.sums.get(a) ?? { debit: minor(0), credit: minor(0) }),
            }))}
            rowKey={r => r.account}
            empty="Nothing was booked in it yet."
            columns={[
              {
                key: 'name',
                head: 'Account',
                rowHead: true,
                wrap: true,
                cell: r => `${accounts[r.account].number} ${accounts[r.account].name}`,
                foot: 'All',
              },
              {
                key: 'debit',
                head: 'Debit',
                numeric: true,
                cell: r => (r.debit === 0 ? '–' : show(r.debit)),
                foot: show(sum('debit')),
              },
              {
                key: 'credit',
                head: 'Credit',
                numeric: true,
                cell: r => (r.credit === 0 ? '–' : show(r.credit)),
                foot: show(sum('credit')),
              },
            ]}
          />
        </Section>
        <Section title="Does it tie?">
          <DataTable
            caption="The journal against the books it came from"
            quietCaption
            rows={[
              { name: 'Debits against credits', journal: sum('debit'), book: sum('credit') },
              ...written.ties.filter(t => t.journal !== 0 || t.book !== 0),
            ]}
            rowKey={t => t.name}
            mark={t => (t.journal === t.book ? undefined : 'late')}
            columns={[
              { key: 'name', head: 'What', rowHead: true, wrap: true, cell: t => t.name },
              { key: 'journal', head: 'Journal', numeric: true, cell: t => show(t.journal) },
              { key: 'book', head: 'Book', numeric: true, cell: t => show(t.book) },
              {
                key: 'ties',
                head: 'Ties',
                cell: t =>
                  t.journal === t.book ? (
                    <StateMark state="done">to the cent</StateMark>
                  ) : (
                    <StateMark state="late">off by {show(minor(t.journal - t.book))}</StateMark>
                  ),
              },
            ]}
          />
        </Section>
      </div>
      <Section title="Entries">
        <DataTable
          caption={`Entries of ${formatMonth(month)}, day by day`}
          quietCaption
          rows={lines}
          rowKey={l => l.key}
          empty="None yet."
          columns={[
            { key: 'day', head: 'Day', cell: l => (l.first ? l.entry.day : '') },
            {
              key: 'what',
              head: 'What',
              wrap: true,
              cell: l =>
                l.first ? (
                  <>
                    {l.entry.words}
                    {l.entry.customer && `, ${l.entry.customer}`}
                    {l.entry.order !== null && (
                      <>
                        {' '}
                        <Link href={`/office/orders/${l.entry.order}`}>{l.entry.order}</Link>
                      </>
                    )}
                  </>
                ) : (
                  ''
                ),
            },
            {
              key: 'account',
              head: 'Account',
              wrap: true,
              rowHead: true,
              cell: l => `${accounts[l.account].number} ${accounts[l.account].name}`,
            },
            { key: 'debit', head: 'Debit', numeric: true, cell: l => (l.amount > 0 ? show(l.amount) : '') },
            {
              key: 'credit',
              head: 'Credit',
              numeric: true,
              cell: l => (l.amount < 0 ? show(minor(-l.amount)) : ''),
            },
          ]}
        />
        <Pager
          page={page}
          size={SIZE}
          total={written.entries.length}
          href={to => `/office/journal?month=${month}&page=${to}`}
          what="entries"
        />
      </Section>
      {mayDo(person, 'rates.change') && (
        <Section title="Accounts">
          <details data-screen-only>
            <summary>Set the book-keeper’s numbers and names</summary>
            <ActionForm key={JSON.stringify(accounts)} action={chartAction} label="Accounts">
              <p className={styles.about}>
                Several may share one number. The numbers that stand here at first are common practice: ask
                your book-keeper for theirs.
              </p>
              <div className={styles.accounts}>
                {ACCOUNTS.map(a => (
                  <div key={a}>
                    <Field
                      name={`${a}.number`}
                      label="Account"
                      value={accounts[a].number}
                      size={8}
                      maxLength={20}
                    />
                    <Field
                      name={`${a}.name`}
                      label="Name"
                      value={accounts[a].name}
                      maxLength={60}
                      hint={ACCOUNT_ABOUT[a]}
                    />
                  </div>
                ))}
              </div>
              <SubmitButton look="primary">Save the accounts</SubmitButton>
            </ActionForm>
          </details>
        </Section>
      )}
    </RoomPage>
  )
}
