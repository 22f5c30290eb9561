import type { Metadata } from 'next'
import { ButtonLink } from '@/app/parts/button'
import { DataTable } from '@/app/parts/data-table'
import { Notice } from '@/app/parts/notice'
import { PageHead } from '@/app/parts/page-head'
import { Pager } from '@/app/parts/pager'
import { RoomPage } from '@/app/parts/room-page'
import { Section } from '@/app/parts/section'
import { StateMark } from '@/app/parts/state-mark'
import { Waterfall } from '@/app/parts/waterfall'
import { moneyOfOrders } from '@/lib/books/invoices/store'
import { methodMix, monthReport } from '@/lib/books/store'
import { requirePerson } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import type { Minor } from '@/lib/units/money'
import { formatDay, formatMonth, instantOf, monthBounds } from '@/lib/units/time'
import { askedMonth } from './asked-month'
import { MonthChoice } from './month-choice'
import { CloseMonth, Closing, InHand, LateEntries } from './month-closing'
import { ByCustomer, MarginDots, MethodsOverMonths } from './month-drawn'
import { MonthNav } from './month-nav'
import { fallItems, GroupTable, MonthFigures, orderColumns, Ties } from './month-tables'
import styles from './office.module.css'
import { OfficeNav } from './office-nav'
import { money } from './show'

export const metadata: Metadata = { title: 'Month end' }

/** Rows of the table on one page; totals are always of all. */
const SIZE = 100
/** Months that the mix of methods goes back. */
const MIX = 6

/** What the month's orders really earned. */
export default async function MonthEnd({
  searchParams,
}: {
  searchParams: Promise<Record<string, string | string[] | undefined>>
}) {
  await requirePerson('books.see')
  const query = await searchParams
  const now = instantOf(new Date())
  const { month, all, unknown, present } = await askedMonth(query.month, now)
  const [{ timeZone }, { report, closed }, mix] = await Promise.all([
    shop(),
    monthReport(month),
    methodMix(month, MIX),
  ])
  const { currency, total } = report
  const bounds = monthBounds(month, timeZone)
  const owed = await moneyOfOrders(bounds.from, bounds.to)
  const show = (n: Minor) => money(n, currency)
  const toClose = all.findLast(m => m.closedAt === null && m.month < present)
  const newestClosed = all.find(m => m.closedAt !== null)?.month
  const page = Math.max(1, Math.min(Number(query.page) || 1, Math.ceil(report.rows.length / SIZE) || 1))
  const rows = report.rows.slice((page - 1) * SIZE, page * SIZE)
  return (
    <RoomPage wide>
      <OfficeNav current="/office" />
      <MonthNav month={month} current="/office" />
      <PageHead
        title={formatMonth(month)}
        mark={
          closed ? (
            <StateMark state="done">closed {formatDay(closed.at, timeZone)}</StateMark>
          ) : (
            <StateMark state="making">{month === present ? 'running' : 'open'}</StateMark>
          )
        }
        sense={
          report.rows.length === 0
            ? 'No order was handed over in it.'
            : `${report.rows.length} ${report.rows.length === 1 ? 'order' : 'orders'}, ${total.pieces.toLocaleString('en')} pieces handed over.`
        }
        more={
          <ButtonLink href={`/office/month.csv?month=${month}`} prefetch={false}>
            Download as CSV
          </ButtonLink>
        }
        next={
          toClose && toClose.month !== month ? (
            <ButtonLink look="primary" href={`/office?month=${toClose.month}`}>
              {formatMonth(toClose.month)} is still open
            </ButtonLink>
          ) : undefined
        }
      />
      <MonthChoice month={month} all={all} path="/office" />
      {unknown && (
        <Notice>The shop has no books of the month in the address: this is {formatMonth(month)}.</Notice>
      )}
      <MonthFigures report={report} />
      {report.rows.length > 0 && (
        <div className={styles.pair}>
          <Section title="From revenue to margin">
            <Waterfall
              title={<span className="aloud">Each cost a step down</span>}
              items={fallItems(report)}
            />
          </Section>
          <Section title="By method">
            <GroupTable groups={report.byMethod} what="Method" currency={currency} />
          </Section>
        </div>
      )}
      <Section title="Orders of the month">
        <DataTable
          caption={`Orders handed over in ${formatMonth(month)}; the totals are of all ${report.rows.length}`}
          quietCaption
          rows={rows}
          rowKey={r => String(r.number)}
          empty="None yet. An order stands here from the day that it is handed over."
          mark={r => (r.margin < 0 ? 'late' : undefined)}
          columns={orderColumns(report, timeZone)}
        />
        <Pager
          page={page}
          size={SIZE}
          total={report.rows.length}
          href={to => `/office?month=${month}&page=${to}`}
          what="orders"
        />
      </Section>
      {report.late.length > 0 && <LateEntries report={report} zone={timeZone} />}
      {report.rows.length > 0 && (
        <>
          <div className={styles.pair}>
            <MarginDots report={report} />
            <ByCustomer report={report} />
          </div>
          <div className={styles.pair}>
            <MethodsOverMonths mix={mix} currency={currency} />
            <Section title="Does it tie?">
              <Ties ties={report.ties} currency={currency} />
              <p>
                Still to come for these orders: {show(owed.due)}
                {owed.back > 0 && <>, to give back: {show(owed.back)}</>}. Tax and invoices tie on the
                journal’s page.
              </p>
            </Section>
          </div>
        </>
      )}
      {report.carried && <InHand carried={report.carried} month={month} currency={currency} />}
      {!closed && <CloseMonth month={month} over={month !== present} />}
      <Closing month={month} closed={closed} newest={newestClosed === month} zone={timeZone} />
    </RoomPage>
  )
}
