import type { Metadata } from 'next'
import Link from 'next/link'
import { ButtonLink } from '@/app/parts/button'
import { DataTable } from '@/app/parts/data-table'
import { Figure } from '@/app/parts/figure'
import { Live } from '@/app/parts/live'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Section } from '@/app/parts/section'
import { StateMark } from '@/app/parts/state-mark'
import type { DayHours } from '@/lib/floor/happened/day'
import { type DayView, dayView } from '@/lib/floor/happened/store'
import { requirePerson } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import {
  addDays,
  dayBounds,
  dayOf,
  formatLongDay,
  formatMinutes,
  formatMoment,
  formatTime,
  instantOf,
} from '@/lib/units/time'
import { asDay } from '../asked-day'
import { FloorNav } from '../floor-nav'
import { reportWords } from '../text'
import styles from './day.module.css'

export const metadata: Metadata = { title: 'What happened' }

/** A day as it really was: pieces, hours, misprints, lateness, and who reported what when. */
export default async function Day({ searchParams }: { searchParams: Promise<{ day?: string | string[] }> }) {
  await requirePerson('floor.see')
  const { timeZone: zone } = await shop()
  const now = instantOf(new Date())
  const today = dayOf(now, zone)
  const day = asDay((await searchParams).day) ?? today
  const view = await dayView(day, now)
  const spoiled = view.misprints.reduce((n, m) => n + m.quantity, 0)
  const late = view.promises.filter(p => p.late !== null)
  return (
    <RoomPage wide>
      <Live topics={['floor', 'orders']} minutes={5} />
      <FloorNav current="/floor/day" />
      <PageHead
        title="What happened"
        sense={formatLongDay(dayBounds(day, zone).from, zone)}
        more={
          <nav className={styles.days} aria-label="Days">
            <ButtonLink href={`/floor/day?day=${addDays(day, -1)}`}>← Day before</ButtonLink>
            {day !== today && <ButtonLink href="/floor/day">Today</ButtonLink>}
            {day < today && <ButtonLink href={`/floor/day?day=${addDays(day, 1)}`}>Day after →</ButtonLink>}
          </nav>
        }
      />
      <div className={styles.figures}>
        <Figure label="Off the last step" value={view.made} unit={view.made === 1 ? 'piece' : 'pieces'} />
        <Figure
          label="Spoiled"
          value={spoiled}
          unit={spoiled === 1 ? 'piece' : 'pieces'}
          {...(spoiled ? { tone: 'risk' as const } : {})}
        />
        <Figure
          label="Promises of the day"
          value={
            view.promises.length === 0
              ? 'none'
              : late.length === 0
                ? `${view.promises.length}, none late`
                : `${late.length} of ${view.promises.length} late`
          }
          {...(late.length ? { tone: 'late' as const } : {})}
        />
        <Figure label="People’s hours" value={formatMinutes(Math.round(view.hours.labour / 60))} />
      </div>
      <Hours hours={view.hours} />
      {view.promises.length > 0 && <Promises promises={view.promises} zone={zone} />}
      {view.misprints.length > 0 && (
        <Section title="Misprints">
          <DataTable
            caption="Misprints of the day"
            quietCaption
            rows={view.misprints}
            rowKey={m => `${m.number} ${m.at} ${m.size}`}
            columns={[
              { key: 'at', head: 'When', cell: m => formatTime(m.at, zone) },
              {
                key: 'what',
                head: 'What',
                rowHead: true,
                cell: m => (
                  <Link href={`/floor/jobs/${m.number}`}>{`${m.number}: ${m.quantity} × ${m.size}`}</Link>
                ),
              },
              { key: 'step', head: 'At', wrap: true, cell: m => m.step },
              { key: 'why', head: 'Why', cell: m => m.reason },
              { key: 'by', head: 'Who', cell: m => m.byName },
            ]}
          />
        </Section>
      )}
      <Section title="Finished steps: planned and real">
        <DataTable
          caption="Steps that were finished that day, with what was planned and what they took"
          quietCaption
          rows={view.steps}
          rowKey={s => s.id}
          empty="No step was finished that day."
          columns={[
            {
              key: 'step',
              head: 'Step',
              rowHead: true,
              wrap: true,
              cell: s => (
                <>
                  <Link href={`/floor/jobs/${s.number}#step-${s.id}`}>{s.number}</Link> {s.title}
                </>
              ),
            },
            { key: 'station', head: 'Station', cell: s => s.station },
            { key: 'pieces', head: 'Pieces', numeric: true, cell: s => s.pieces },
            { key: 'planned', head: 'Planned', numeric: true, cell: s => formatMinutes(s.planned) },
            { key: 'actual', head: 'Real', numeric: true, cell: s => formatMinutes(s.actual) },
            {
              key: 'more',
              head: 'More or less',
              numeric: true,
              cell: s =>
                s.actual === s.planned
                  ? 'as planned'
                  : `${formatMinutes(Math.abs(s.actual - s.planned))} ${s.actual > s.planned ? 'more' : 'less'}`,
            },
          ]}
        />
      </Section>
      <Section title="Who did what">
        <DataTable
          caption="Reports of the day, newest first"
          quietCaption
          rows={view.reports}
          rowKey={r => r.id}
          empty="Nobody has reported anything that day."
          columns={[
            {
              key: 'at',
              head: 'When',
              cell: r => (
                <>
                  {formatTime(r.at, zone)}
                  {r.cameAt !== null && <small> (came in {formatTime(r.cameAt, zone)})</small>}
                </>
              ),
            },
            { key: 'by', head: 'Who', cell: r => r.byName },
            {
              key: 'what',
              head: 'What',
              rowHead: true,
              wrap: true,
              cell: r =>
                r.undone ? (
                  <span className={styles.undone}>
                    <s>{reportWords(r)}</s>taken back
                  </span>
                ) : (
                  reportWords(r)
                ),
            },
            {
              key: 'step',
              head: 'Step',
              wrap: true,
              cell: r => (
                <>
                  <Link href={`/floor/jobs/${r.number}#reports`}>{r.number}</Link> {r.step}
                </>
              ),
            },
            { key: 'station', head: 'Station', spare: true, cell: r => r.station ?? '–' },
          ]}
        />
        <p>A wrong report is taken back on the page of its job.</p>
      </Section>
    </RoomPage>
  )
}

const time = (seconds: number | undefined) => (seconds ? formatMinutes(Math.round(seconds / 60)) : '–')

function Hours({ hours }: { hours: DayHours }) {
  return (
    <Section title="Hours">
      <DataTable
        caption="Hours by person and station"
        quietCaption
        rows={hours.rows}
        rowKey={r => r.person}
        empty="No hours are booked for that day: they are booked when a step is paused or counted."
        phone="scroll"
        columns={[
          { key: 'person', head: 'Who', rowHead: true, cell: r => r.person, foot: 'The station itself' },
          ...hours.stations.map(s => ({
            key: s,
            head: s,
            numeric: true,
            cell: (r: DayHours['rows'][number]) => time(r.at.get(s)),
            foot: time(hours.machine.get(s)),
          })),
          {
            key: 'all',
            head: 'All',
            numeric: true,
            cell: r => time(r.sum),
            foot: time([...hours.machine.values()].reduce((a, b) => a + b, 0)),
          },
        ]}
      />
    </Section>
  )
}

function Promises({ promises, zone }: { promises: DayView['promises']; zone: string }) {
  return (
    <Section title="Promises of the day">
      <DataTable
        caption="What was promised for that day, and when it was ready"
        quietCaption
        rows={promises}
        rowKey={p => String(p.number)}
        mark={p => (p.late !== null ? 'late' : p.readyAt !== null ? 'done' : undefined)}
        columns={[
          {
            key: 'order',
            head: 'Order',
            rowHead: true,
            cell: p => <Link href={`/floor/jobs/${p.number}`}>{`${p.number} ${p.customer}`}</Link>,
          },
          {
            key: 'promise',
            head: 'Promised',
            cell: p => `${formatTime(p.promiseAt, zone)}${p.hard ? ', event' : ''}`,
          },
          {
            key: 'ready',
            head: 'Ready',
            cell: p => (p.readyAt === null ? 'not yet' : formatMoment(p.readyAt, zone)),
          },
          {
            key: 'late',
            head: 'Stands',
            cell: p =>
              p.late !== null ? (
                <StateMark state="late">{formatMinutes(p.late)} late</StateMark>
              ) : p.readyAt !== null ? (
                <StateMark state="done">in time</StateMark>
              ) : (
                'its time has not come'
              ),
          },
        ]}
      />
    </Section>
  )
}
