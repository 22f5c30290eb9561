import type { Metadata } from 'next'
import { Bars } from '@/app/parts/bars'
import { DataTable } from '@/app/parts/data-table'
import { Figure } from '@/app/parts/figure'
import { Notice } from '@/app/parts/notice'
import { OrderLink } from '@/app/parts/order-link'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Section } from '@/app/parts/section'
import { StateMark } from '@/app/parts/state-mark'
import { countBy, LATE_REASONS, LATE_WORDS } from '@/lib/books/months/late'
import { faultsOfMonth } from '@/lib/books/months/store'
import { MISPRINT_REASONS, MISPRINT_WORDS } from '@/lib/floor/misprint'
import { requirePerson } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import { microToMinor, sumMicro } from '@/lib/units/money'
import { formatMinutes, formatMoment, formatMonth, instantOf } from '@/lib/units/time'
import { askedMonth } from '../asked-month'
import { MonthChoice } from '../month-choice'
import { MonthNav } from '../month-nav'
import styles from '../office.module.css'
import { OfficeNav } from '../office-nav'
import { money, percent } from '../show'

export const metadata: Metadata = { title: 'Late orders and misprints' }

/** What went wrong in a month: late orders and why, misprints by cause. */
export default async function Faults({
  searchParams,
}: {
  searchParams: Promise<Record<string, string | string[] | undefined>>
}) {
  await requirePerson('books.see')
  const { month, all, unknown } = await askedMonth((await searchParams).month, instantOf(new Date()))
  const [{ timeZone }, found] = await Promise.all([shop(), faultsOfMonth(month)])
  const { late, spoiled, promised, currency } = found
  const causes = [...spoiled].sort(
    (a, b) => b.n - a.n || MISPRINT_REASONS.indexOf(a.key) - MISPRINT_REASONS.indexOf(b.key),
  )
  const pieces = causes.reduce((sum, c) => sum + c.n, 0)
  const worth = money(microToMinor(sumMicro(causes.map(c => c.value)), currency), currency)
  return (
    <RoomPage wide>
      <OfficeNav current="/office" />
      <MonthNav month={month} current="/office/faults" />
      <PageHead
        title={`Late orders and misprints, ${formatMonth(month)}`}
        sense="What went wrong, and the few causes that most of it comes from."
      />
      <MonthChoice month={month} all={all} path="/office/faults" />
      {unknown && (
        <Notice>The shop has no books of the month in the address: this is {formatMonth(month)}.</Notice>
      )}
      <div className={styles.figures}>
        <Figure
          label="Ready after their promise"
          value={`${late.length} of ${promised}`}
          tone={late.length > 0 ? 'late' : 'done'}
          note={promised > 0 ? `${percent(late.length / promised)} of the orders with a promise` : undefined}
        />
        <Figure
          label="Pieces spoiled"
          value={pieces.toLocaleString('en')}
          note={`They took ${worth} from the shelf.`}
        />
      </div>
      <div className={styles.pair}>
        <Section title="Why orders were late">
          <Bars
            title="Orders by the cause of their delay"
            running
            items={countBy(
              LATE_REASONS,
              late.map(l => ({ key: l.reason, n: 1 })),
            ).map(r => ({ key: r.key, label: LATE_WORDS[r.key], value: r.n, shown: String(r.n) }))}
            empty="None was late."
          />
        </Section>
        <Section title="Misprints by cause">
          <Bars
            title="Pieces, the most frequent cause first, with the running share"
            running
            items={causes.map(c => ({
              key: c.key,
              label: MISPRINT_WORDS[c.key],
              value: c.n,
              shown: `${c.n}, ${money(microToMinor(c.value, currency), currency)}`,
            }))}
            empty="No misprint was reported."
          />
        </Section>
      </div>
      <Section title="Late orders">
        <DataTable
          caption="Orders ready after their promise in this month, the latest first"
          quietCaption
          rows={late}
          rowKey={l => String(l.number)}
          empty="None: every order was ready by its promise."
          columns={[
            {
              key: 'order',
              head: 'Order',
              rowHead: true,
              wrap: true,
              cell: l => <OrderLink order={l} />,
            },
            {
              key: 'promise',
              head: 'Promised',
              cell: l => (
                <>
                  {formatMoment(l.promiseAt, timeZone)}{' '}
                  {l.promiseHard && <StateMark state="late">hard</StateMark>}
                </>
              ),
            },
            { key: 'ready', head: 'Ready', cell: l => formatMoment(l.readyAt, timeZone) },
            {
              key: 'late',
              head: 'Late by',
              numeric: true,
              sort: l => l.minutesLate,
              cell: l => formatMinutes(l.minutesLate),
            },
            { key: 'why', head: 'Why', wrap: true, cell: l => `${LATE_WORDS[l.reason]}: ${l.why}` },
          ]}
        />
        {late.length > 0 && (
          <p>
            The first cause that explains a delay is named, in this order: agreed too late, goods came late,
            made again, slower than planned, begun too late.
          </p>
        )}
      </Section>
    </RoomPage>
  )
}
