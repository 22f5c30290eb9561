import type { Metadata } from 'next'
import Link from 'next/link'
import { ActionForm } from '@/app/parts/action-form'
import { ButtonLink } from '@/app/parts/button'
import { DayStrip, type StripStation } from '@/app/parts/day-strip'
import { EmptyState } from '@/app/parts/empty-state'
import { Live } from '@/app/parts/live'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Section } from '@/app/parts/section'
import { StateMark } from '@/app/parts/state-mark'
import { SubmitButton } from '@/app/parts/submit-button'
import { type BoardOrder, type BoardView, boardView } from '@/lib/floor/views/store'
import { mayDo } from '@/lib/server/rights'
import { requirePerson } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import type { MeasureSystem } from '@/lib/units/measure'
import {
  addDays,
  dayBounds,
  dayOf,
  formatDay,
  formatLongDay,
  formatMoment,
  formatTime,
  type Instant,
  instantOf,
  type ShopDay,
} from '@/lib/units/time'
import { planAnew } from './actions'
import { asDay } from './asked-day'
import styles from './floor.module.css'
import { stateWords } from './words'

export const metadata: Metadata = { title: 'Floor' }

type Search = { searchParams: Promise<{ day?: string | string[] }> }

/** The day's board: a strip per station, what to start next, what cannot start and why, what was promised. */
export default async function Board({ searchParams }: Search) {
  const person = await requirePerson('floor.see')
  const facts = await shop()
  const now = instantOf(new Date())
  const today = dayOf(now, facts.timeZone)
  const day = asDay((await searchParams).day) ?? today
  const board = await boardView(day, now)
  const { zone } = board
  const title = day === today ? 'Today' : formatDay(board.range.from, zone)
  const runs = board.stations.reduce((n, s) => n + s.runs.length, 0)
  return (
    <RoomPage
      wide
      side={<Beside board={board} day={day} today={today} />}
      sideLabel="Promises and what waits"
    >
      <Live topics={['floor', 'plan', 'orders', 'art', 'stock', 'shop']} minutes={1} />
      <PageHead
        title={title}
        sense={<Sense board={board} now={now} today={day === today} />}
        more={
          <nav className={styles.days} aria-label="Days">
            <ButtonLink href={`/floor?day=${addDays(day, -1)}`}>
              ← {dayWords(addDays(day, -1), today, zone)}
            </ButtonLink>
            {![addDays(day, -1), day, addDays(day, 1)].includes(today) && (
              <ButtonLink href="/floor">Today</ButtonLink>
            )}
            <ButtonLink href={`/floor?day=${addDays(day, 1)}`}>
              {dayWords(addDays(day, 1), today, zone)} →
            </ButtonLink>
          </nav>
        }
        next={
          board.next &&
          day === today && (
            <ButtonLink look="primary" size="floor" href={`/floor/stations/${board.next.station.code}`}>
              Start next: {board.next.number} on {board.next.station.name}
            </ButtonLink>
          )
        }
      />
      {board.stations.length === 0 ? (
        <EmptyState title="No stations yet">
          <p>Presses, printers and benches are put up in the office; their day then stands here.</p>
        </EmptyState>
      ) : (
        <DayStrip
          range={board.range}
          zone={zone}
          now={now}
          stations={board.stations.map(s => stripOf(s, facts.measures))}
          threads={board.rests.map(r => ({ ...r, what: 'settling' }))}
          label={`${formatLongDay(board.range.from, zone)}, by station`}
        />
      )}
      {runs === 0 && board.stations.length > 0 && (
        <p className={styles.quiet}>Nothing is planned for this day.</p>
      )}
      <footer className={styles.goodness}>
        <p>
          {board.goodness}
          {board.plan.madeAt !== null && (
            <span className={styles.quiet}>
              {' '}
              Planned {formatMoment(board.plan.madeAt, zone)}: {board.plan.reason}.
            </span>
          )}
        </p>
        {mayDo(person.role, 'floor.plan') && (
          <ActionForm action={planAnew} label="Plan anew" className={styles.inline}>
            <SubmitButton look="quiet" size="small">
              Plan anew
            </SubmitButton>
          </ActionForm>
        )}
        <Link href="/floor/stations">All stations</Link>
        <Link href={day === today ? '/floor/day' : `/floor/day?day=${day}`}>What happened</Link>
      </footer>
    </RoomPage>
  )
}

/** A day as a button names it. */
function dayWords(day: ShopDay, today: ShopDay, zone: string): string {
  if (day === today) return 'Today'
  if (day === addDays(today, -1)) return 'Yesterday'
  if (day === addDays(today, 1)) return 'Tomorrow'
  return formatDay(dayBounds(day, zone).from, zone)
}

function Sense({ board, now, today }: { board: BoardView; now: Instant; today: boolean }) {
  const runs = board.stations.flatMap(s => s.runs)
  const running = runs.filter(r => r.state === 'running').length
  const planned = runs.filter(r => r.state === 'waiting' || r.state === 'paused').length
  const parts = [
    formatLongDay(today ? now : board.range.from, board.zone),
    running ? `${running} running` : undefined,
    board.done ? `${board.done} done` : undefined,
    planned ? `${planned} to do` : undefined,
    board.late.length ? `${board.late.length} late` : undefined,
  ].filter(Boolean)
  return <p>{parts.join(' · ')}</p>
}

function stripOf(
  { station, open, runs }: BoardView['stations'][number],
  system: MeasureSystem,
): StripStation {
  return {
    id: station.id,
    name: station.name,
    note: stateWords(station.state, system) ?? undefined,
    href: `/floor/stations/${station.code}`,
    open,
    runs: runs.map(r => ({
      id: r.stepId,
      order: String(r.number),
      who: r.customer,
      detail: r.title,
      quantity: `${r.pieces} pcs`,
      href: `/floor/jobs/${r.number}#step-${r.stepId}`,
      start: r.startAt,
      work: r.workAt,
      end: r.endAt,
      changeover: r.stationState ? `to ${stateWords(r.stationState, system)}` : undefined,
      state: r.state === 'done' ? 'done' : r.state === 'running' ? 'running' : 'planned',
      standing:
        r.standing?.standing === 'late' ? 'late' : r.standing?.standing === 'risk' ? 'risk' : undefined,
      progress: r.pieces > 0 && r.state === 'running' ? r.good / r.pieces : undefined,
    })),
  }
}

/** What stands beside the board: promises of the day, then what cannot start and why. */
function Beside({ board, day, today }: { board: BoardView; day: ShopDay; today: ShopDay }) {
  return (
    <>
      <Section
        title={day === today ? 'Promised by tonight' : 'Promised by then'}
        aside={board.promises.length}
      >
        {board.promises.length === 0 ? (
          <p className={styles.quiet}>Nothing is due.</p>
        ) : (
          <ul className={styles.list}>
            {board.promises.map(o => (
              <li key={o.id}>
                <Link href={`/floor/jobs/${o.number}`} className={styles.line}>
                  <b>{o.number}</b> {o.customer}
                </Link>
                <span className={styles.quiet}>
                  {o.promiseHard ? 'Event' : 'Promised'}{' '}
                  {o.promiseAt !== null &&
                    (dayOf(o.promiseAt, board.zone) === day
                      ? formatTime(o.promiseAt, board.zone)
                      : formatMoment(o.promiseAt, board.zone))}
                </span>
                <Standing order={o} />
              </li>
            ))}
          </ul>
        )}
      </Section>
      <Section title="Cannot start yet" aside={board.waiting.length}>
        {board.waiting.length === 0 ? (
          <p className={styles.quiet}>Everything that is agreed can be worked.</p>
        ) : (
          <ul className={styles.list}>
            {board.waiting.map(w => (
              <li key={w.orderId}>
                <Link href={`/floor/jobs/${w.number}`} className={styles.line}>
                  <b>{w.number}</b> {w.title}
                </Link>
                {w.holds.map(h => (
                  <span key={h.text}>{h.text}</span>
                ))}
              </li>
            ))}
          </ul>
        )}
      </Section>
      {board.late.length > 0 && (
        <Section title="Late by this plan" aside={board.late.length}>
          <ul className={styles.list}>
            {board.late.map(o => (
              <li key={o.id}>
                <Link href={`/floor/jobs/${o.number}`} className={styles.line}>
                  <b>{o.number}</b> {o.customer}
                </Link>
                <span className={styles.quiet}>
                  {o.promiseAt !== null && `promised ${formatDay(o.promiseAt, board.zone)}`}
                </span>
                <Standing order={o} />
              </li>
            ))}
          </ul>
        </Section>
      )}
    </>
  )
}

function Standing({ order }: { order: BoardOrder }) {
  const { standing, words } = order.standing
  if (order.state === 'ready') return <StateMark state="ready" />
  if (standing === 'late') return <StateMark state="late">{words}</StateMark>
  if (standing === 'risk') return <StateMark state="risk">at risk: {words}</StateMark>
  return <span className={styles.quiet}>{words}</span>
}
