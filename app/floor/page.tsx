import type { Metadata } from 'next'
import Link from 'next/link'
import { ActionForm } from '@/app/parts/action-form'
import { Button, ButtonLink } from '@/app/parts/button'
import { DayStrip, type StripStation } from '@/app/parts/day-strip'
import { EmptyState } from '@/app/parts/empty-state'
import { Live } from '@/app/parts/live'
import { Notice } from '@/app/parts/notice'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Section } from '@/app/parts/section'
import { StateMark } from '@/app/parts/state-mark'
import { SubmitButton } from '@/app/parts/submit-button'
import { isWanted, type Wanted } from '@/lib/floor/find'
import { type BoardOrder, type BoardView, boardView, openingDay } from '@/lib/floor/views/store'
import { priceLists } from '@/lib/methods/store'
import { lastChange } from '@/lib/planning/board/store'
import { untilChanged } from '@/lib/server/live'
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
import board from './board/board.module.css'
import { ChanceOf } from './board/chances'
import { Movable } from './board/movable'
import { NowLine } from './board/now-line'
import type { SheetFacts } from './board/run-sheet'
import { PlanTools } from './board/tools'
import styles from './floor.module.css'
import { stateWords } from './words'

export const metadata: Metadata = { title: 'Floor' }

type Asked = Record<'day' | 'view' | 'find' | 'who' | 'station', string | string[] | undefined>
type Search = { searchParams: Promise<Partial<Asked>> }
const textOf = (value: string | string[] | undefined) => (typeof value === 'string' ? value.slice(0, 80) : '')

/** The board: a strip per station for a day or a week, what to start next, what cannot start and why, what was promised. */
export default async function Board({ searchParams }: Search) {
  const person = await requirePerson('floor.see')
  const [facts, asked] = await Promise.all([shop(), searchParams])
  const now = instantOf(new Date())
  const today = dayOf(now, facts.timeZone)
  const week = asked.view === 'week'
  const chosen = asDay(asked.day)
  const day = chosen ?? (await openingDay(now))
  const wanted: Wanted = {
    find: textOf(asked.find),
    who: textOf(asked.who),
    station: textOf(asked.station),
  }
  const plans = mayDo(person.role, 'floor.plan')
  const [view, last, lists] = await Promise.all([
    // One reading for all screens that hear of one change.
    untilChanged(`board ${day} ${week} ${Math.floor(now / 60_000)}`, () => boardView(day, now, week)),
    plans ? lastChange(now) : null,
    plans ? priceLists() : [],
  ])
  const { zone } = view
  const here = new Address(day, today, week, wanted)
  const runs = view.stations.reduce((n, s) => n + s.runs.length, 0)
  const lanes = view.stations.filter(s => !wanted.station || s.station.code === wanted.station)
  const lane = new Map(lanes.map((s, i) => [s.station.id, i]))
  const title = week
    ? `Week of ${formatDay(view.days.from, zone)}`
    : day === today
      ? 'Today'
      : formatDay(view.days.from, zone)
  return (
    <RoomPage wide side={<Beside board={view} day={day} today={today} />} sideLabel="Promises and what waits">
      <Live topics={['floor', 'plan', 'orders', 'art', 'stock', 'shop']} minutes={1} />
      <PageHead
        title={title}
        sense={<Sense board={view} now={now} today={day === today} week={week} />}
        more={
          <nav className={styles.days} aria-label="Days">
            <ButtonLink href={here.with({ day: addDays(day, week ? -7 : -1) })}>
              ← {week ? 'Week before' : dayWords(addDays(day, -1), today, zone)}
            </ButtonLink>
            {(week || ![addDays(day, -1), day, addDays(day, 1)].includes(today)) && (
              <ButtonLink href={here.with({ day: today })}>{week ? 'This week' : 'Today'}</ButtonLink>
            )}
            <ButtonLink href={here.with({ day: addDays(day, week ? 7 : 1) })}>
              {week ? 'Week after' : dayWords(addDays(day, 1), today, zone)} →
            </ButtonLink>
            <ButtonLink href={here.with({ week: !week })}>{week ? 'Day' : 'Week'}</ButtonLink>
          </nav>
        }
        next={
          view.next &&
          day === today && (
            <ButtonLink look="primary" size="floor" href={`/floor/stations/${view.next.station.code}`}>
              Start next: {view.next.number} on {view.next.station.name}
            </ButtonLink>
          )
        }
      />
      {!chosen && !week && day !== today && (
        <Notice title="Nothing is open today.">
          This is the next open day. <Link href={here.with({ day: today })}>Look at today all the same</Link>
        </Notice>
      )}
      <Filters board={view} wanted={wanted} here={here} />
      <Found board={view} wanted={wanted} here={here} />
      {plans && view.stations.length > 0 && (
        <PlanTools
          last={last}
          zone={zone}
          day={view.days.to > now ? day : today}
          now={now}
          stations={view.stations.map(s => ({ id: s.station.id, name: s.station.name }))}
        />
      )}
      {view.stations.length === 0 ? (
        <EmptyState title="No stations yet">
          <p>Presses, printers and benches are put up in the office; their day then stands here.</p>
        </EmptyState>
      ) : (
        <Movable
          range={view.range}
          zone={zone}
          plans={plans}
          stations={lanes.map(s => ({ id: s.station.id, name: s.station.name }))}
          facts={sheetFacts(lanes)}
          lists={lists.map(l => ({ key: l.list.key, name: l.list.name }))}
        >
          <DayStrip
            range={view.range}
            zone={zone}
            now={now}
            stations={lanes.map(s => stripOf(s, facts.measures, lane, wanted))}
            threads={view.rests.map(r => ({ ...r, what: 'settling' }))}
            label={week ? title : `${formatLongDay(view.days.from, zone)}, by station`}
          />
          <NowLine range={view.range} zone={zone} />
        </Movable>
      )}
      {runs === 0 && view.stations.length > 0 && (
        <p className={styles.quiet}>Nothing is planned for {week ? 'this week' : 'this day'}.</p>
      )}
      <footer className={styles.goodness}>
        <p>
          {view.goodness}
          {view.plan.madeAt !== null && (
            <span className={styles.quiet}>
              {' '}
              Planned {formatMoment(view.plan.madeAt, zone)}: {view.plan.reason}.
            </span>
          )}
        </p>
        {plans && (
          <ActionForm action={planAnew} label="Plan anew" className={styles.inline}>
            <SubmitButton look="quiet" size="small">
              Plan anew
            </SubmitButton>
          </ActionForm>
        )}
        <Link href="/floor/stations">All stations</Link>
        <Link href={day === today ? '/floor/day' : `/floor/day?day=${day}`}>What happened</Link>
        <Link href={`/floor/sheet?day=${day}`}>Day sheet to print</Link>
        <Link href="/wall">Wall view</Link>
      </footer>
    </RoomPage>
  )
}

/** The address of the board with one thing changed. */
class Address {
  constructor(
    readonly day: ShopDay,
    readonly today: ShopDay,
    readonly week: boolean,
    readonly wanted: Wanted,
  ) {}
  with(change: { day?: ShopDay; week?: boolean } & Partial<Wanted>): string {
    const { day = this.day, week = this.week, ...rest } = change
    const { find, who, station } = { ...this.wanted, ...rest }
    const query = new URLSearchParams({
      day,
      ...(week && { view: 'week' }),
      ...(find && { find }),
      ...(who && { who }),
      ...(station && { station }),
    })
    return `/floor?${query}`
  }
}

/** What is shown of the board: of one person, one station, one order or customer. A form without script. */
function Filters({ board: view, wanted, here }: { board: BoardView; wanted: Wanted; here: Address }) {
  const some = wanted.find || wanted.who || wanted.station
  return (
    <search>
      <form action="/floor" className={board.filters} data-screen-only>
        <input type="hidden" name="day" value={here.day} />
        {here.week && <input type="hidden" name="view" value="week" />}
        <label>
          Order, customer or work
          <input type="search" name="find" defaultValue={wanted.find} placeholder="1042, Kestrel, press" />
        </label>
        <label>
          Person
          <select name="who" defaultValue={wanted.who}>
            <option value="">everybody</option>
            {view.crew.map(m => (
              <option key={m.id} value={m.id}>
                {m.name}
              </option>
            ))}
          </select>
        </label>
        <label>
          Station
          <select name="station" defaultValue={wanted.station}>
            <option value="">all</option>
            {view.stations.map(s => (
              <option key={s.station.id} value={s.station.code}>
                {s.station.name}
              </option>
            ))}
          </select>
        </label>
        <Button type="submit">Show</Button>
        {some && (
          <ButtonLink look="quiet" href={here.with({ find: '', who: '', station: '' })}>
            Show everything
          </ButtonLink>
        )}
      </form>
    </search>
  )
}

/** Where what is looked for stands, when it is not on what is shown. */
function Found({ board: view, wanted, here }: { board: BoardView; wanted: Wanted; here: Address }) {
  if (!wanted.find.trim()) return null
  const only = { ...wanted, who: '', station: '' }
  const match = (r: { number: number; customer: string; title: string }) =>
    isWanted({ ...r, crewId: null, stationCode: '' }, only)
  const shown = view.stations.flatMap(s => s.runs).filter(match).length
  const others = view.all
    .filter(match)
    .filter(r => r.startAt < view.days.from || r.startAt >= view.days.to)
    .sort((a, b) => a.startAt - b.startAt)
  const days = new Map(others.map(r => [dayOf(r.startAt, view.zone), r]))
  return (
    <p className={board.found} role="status">
      {shown > 0
        ? `${shown === 1 ? '1 run' : `${shown} runs`} here match “${wanted.find.trim()}”.`
        : `Nothing here matches “${wanted.find.trim()}”.`}
      {days.size > 0 && ' Also on '}
      {[...days].slice(0, 5).map(([day, r], i) => (
        <span key={day}>
          {i > 0 && ', '}
          <Link href={here.with({ day, week: false })}>{formatDay(r.startAt, view.zone)}</Link>
        </span>
      ))}
      {days.size > 0 && '.'}
      {shown === 0 && days.size === 0 && (
        <>
          {' '}
          <Link href={`/counter/find?q=${encodeURIComponent(wanted.find.trim())}`}>Look in all orders</Link>
        </>
      )}
    </p>
  )
}

/** What the sheet of each run says, by run. */
function sheetFacts(lanes: BoardView['stations']): Record<string, SheetFacts> {
  const facts: Record<string, SheetFacts> = {}
  for (const { station, runs } of lanes)
    for (const r of runs)
      facts[r.stepId] = {
        number: String(r.number),
        orderId: r.orderId,
        customer: r.customer,
        title: r.title,
        pieces: r.pieces,
        station: { code: station.code, name: station.name },
        crew: r.crew,
        work: r.workAt,
        end: r.endAt,
        state: r.state === 'done' ? 'done' : r.state === 'running' ? 'running' : 'planned',
        standing: r.standing && {
          state: r.standing.standing === 'late' ? 'late' : r.standing.standing === 'risk' ? 'risk' : 'plain',
          words: r.standing.words,
        },
        pinned: r.pinned,
        waits: r.state === 'waiting',
        rush: r.rush,
      }
  return facts
}

/** A day as a button names it. */
function dayWords(day: ShopDay, today: ShopDay, zone: string): string {
  if (day === today) return 'Today'
  if (day === addDays(today, -1)) return 'Yesterday'
  if (day === addDays(today, 1)) return 'Tomorrow'
  return formatDay(dayBounds(day, zone).from, zone)
}

function Sense({
  board,
  now,
  today,
  week,
}: {
  board: BoardView
  now: Instant
  today: boolean
  week: boolean
}) {
  const runs = board.stations.flatMap(s => s.runs)
  const running = runs.filter(r => r.state === 'running').length
  const planned = runs.filter(r => r.state === 'waiting' || r.state === 'paused').length
  const parts = [
    week
      ? `to ${formatDay((board.days.to - 1) as Instant, board.zone)}`
      : formatLongDay(today ? now : board.days.from, board.zone),
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
  lanes: ReadonlyMap<string, number>,
  wanted: Wanted,
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
      pinned: r.pinned,
      can: r.state === 'waiting' ? r.can.flatMap(id => lanes.get(id) ?? []).sort((a, b) => a - b) : undefined,
      dim: !isWanted({ ...r, stationCode: station.code }, wanted),
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
                <ChanceOf order={o.id} by={o.promiseAt} zone={board.zone} />
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
                <ChanceOf order={o.id} by={o.promiseAt} zone={board.zone} />
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
