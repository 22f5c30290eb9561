'use client'
import Link from 'next/link'
import { Suspense, useMemo, useState } from 'react'
import { ActionForm } from '@/app/parts/action-form'
import { Button, ButtonLink } from '@/app/parts/button'
import { DayStrip, type StripStation } from '@/app/parts/day-strip'
import { EmptyState } from '@/app/parts/empty-state'
import { Notice } from '@/app/parts/notice'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { SubmitButton } from '@/app/parts/submit-button'
import { isWanted, type Wanted } from '@/lib/floor/find'
import type { BoardScreen, ScreenStation } from '@/lib/floor/views/screen'
import {
  addDays,
  dayBounds,
  dayOf,
  formatDay,
  formatLongDay,
  formatMoment,
  type Instant,
  type ShopDay,
} from '@/lib/units/time'
import { planAnew } from '../actions'
import styles from '../floor.module.css'
import { type Asked, boardAddress } from './address'
import { Beside } from './beside'
import board from './board.module.css'
import { Movable } from './movable'
import { NowLine } from './now-line'
import { PlanTools } from './tools'
import { useScreen } from './use-screen'

/**
 * The board: a strip per station for a day or a week, what to start next, what cannot start and why, what was promised. Drawn on the
 * server once, and then here by itself whenever something in the shop changes.
 * @param first what the page came with
 * @param chosen whether somebody asked for this day
 * @param rem how wide this device's strip was last
 */
export function Board({
  first,
  asked,
  chosen,
  rem,
}: {
  first: BoardScreen
  asked: Asked
  chosen: boolean
  rem: number | undefined
}) {
  const [all, showAll] = useState(false)
  const { day, week, ...wanted } = asked
  const query = `${boardAddress(asked, { who: '', station: '' }).split('?')[1]}${all ? '&all=yes' : ''}`
  const { screen, look } = useScreen(first, query)
  const { zone, made, days, range, desk } = screen
  const today = dayOf(made, zone)
  const { find, who, station } = wanted
  const shown = useMemo(
    () => lanesOf(screen.stations, { find, who, station }),
    [screen.stations, find, who, station],
  )
  const threads = useMemo(() => screen.rests.map(r => ({ ...r, what: 'settling' })), [screen.rests])
  const names = useMemo(() => screen.stations.map(s => ({ id: s.id, name: s.name })), [screen.stations])
  const runs = screen.stations.reduce((n, s) => n + s.runs.length, 0)
  const title = week
    ? `Week of ${formatDay(days.from, zone)}`
    : day === today
      ? 'Today'
      : formatDay(days.from, zone)
  const to = (change: Partial<Asked>) => boardAddress(asked, change)
  return (
    <RoomPage
      wide
      side={
        <Suspense>
          <Beside screen={screen} day={day} week={week} today={today} onAll={() => showAll(true)} />
        </Suspense>
      }
      sideLabel="Promises and what waits"
    >
      <PageHead
        title={title}
        sense={<p>{senseOf(screen, today === day, week)}</p>}
        more={
          <nav className={styles.days} aria-label="Days">
            <ButtonLink prefetch={false} href={to({ day: addDays(day, week ? -7 : -1) })}>
              ← {week ? 'Week before' : dayWords(addDays(day, -1), today, zone)}
            </ButtonLink>
            {(week || ![addDays(day, -1), day, addDays(day, 1)].includes(today)) && (
              <ButtonLink prefetch={false} href={to({ day: today })}>
                {week ? 'This week' : 'Today'}
              </ButtonLink>
            )}
            <ButtonLink prefetch={false} href={to({ day: addDays(day, week ? 7 : 1) })}>
              {week ? 'Week after' : dayWords(addDays(day, 1), today, zone)} →
            </ButtonLink>
            <ButtonLink prefetch={false} href={to({ week: !week })}>
              {week ? 'Day' : 'Week'}
            </ButtonLink>
          </nav>
        }
        next={
          screen.next &&
          day === today && (
            <ButtonLink
              prefetch={false}
              look="primary"
              size="floor"
              href={`/floor/stations/${screen.next.code}`}
            >
              Start next: {screen.next.number} on {screen.next.station}
            </ButtonLink>
          )
        }
      />
      {!chosen && !week && day !== today && (
        <Notice title="Nothing is open today.">
          This is the next open day.{' '}
          <Link prefetch={false} href={to({ day: today })}>
            Look at today all the same
          </Link>
        </Notice>
      )}
      <Filters screen={screen} asked={asked} />
      <Found screen={screen} asked={asked} />
      {desk && screen.stations.length > 0 && (
        <PlanTools
          last={desk.last}
          zone={zone}
          day={days.to > made ? day : today}
          now={made}
          stations={names}
          onDone={look}
        />
      )}
      {screen.stations.length === 0 ? (
        <EmptyState title="No stations yet">
          <p>Presses, printers and benches are put up in the office; their day then stands here.</p>
        </EmptyState>
      ) : (
        <Movable
          range={range}
          zone={zone}
          plans={desk !== null}
          stations={shown.lanes}
          lists={desk?.lists ?? []}
          onDone={look}
        >
          {/* Taken over by the browser after all that is around it: its runs can be taken as they were drawn by the server. */}
          <Suspense>
            <DayStrip
              range={range}
              zone={zone}
              now={made}
              stations={shown.strips}
              threads={threads}
              rem={rem}
              label={week ? title : `${formatLongDay(days.from, zone)}, by station`}
            />
            <NowLine range={range} zone={zone} />
          </Suspense>
        </Movable>
      )}
      {runs === 0 && screen.stations.length > 0 && (
        <p className={styles.quiet}>
          Nothing is planned for {week ? 'this week' : 'this day'}.
          {desk &&
            day === today &&
            screen.next &&
            ' What comes next is planned for later: start it now, or let “Plan anew” draw forward what can be.'}
        </p>
      )}
      <footer className={styles.goodness}>
        <p>
          {screen.goodness}
          {screen.planned && (
            <span className={styles.quiet}>
              {' '}
              Planned {formatMoment(screen.planned.at, zone)}: {screen.planned.reason}.
            </span>
          )}
        </p>
        {desk && (
          <ActionForm action={planAnew} label="Plan anew" className={styles.inline}>
            <SubmitButton look="quiet" size="small">
              Plan anew
            </SubmitButton>
          </ActionForm>
        )}
        <Link prefetch={false} href="/floor/stations">
          All stations
        </Link>
        <Link prefetch={false} href={day === today ? '/floor/day' : `/floor/day?day=${day}`}>
          What happened
        </Link>
        <Link prefetch={false} href={`/floor/sheet?day=${day}`}>
          Day sheet to print
        </Link>
        <Link prefetch={false} href="/wall">
          Wall view
        </Link>
      </footer>
    </RoomPage>
  )
}

/** What is shown of the board: of one person, one station, one order or customer. A form without script. */
function Filters({ screen, asked }: { screen: BoardScreen; asked: Asked }) {
  const some = asked.find || asked.who || asked.station
  return (
    <search>
      <form action="/floor" className={board.filters} data-screen-only>
        <input type="hidden" name="day" value={asked.day} />
        {asked.week && <input type="hidden" name="view" value="week" />}
        <label>
          Order, customer or work
          <input type="search" name="find" defaultValue={asked.find} placeholder="1042, Kestrel, press" />
        </label>
        <label>
          Person
          <select name="who" defaultValue={asked.who}>
            <option value="">everybody</option>
            {screen.crew.map(m => (
              <option key={m.id} value={m.id}>
                {m.name}
              </option>
            ))}
          </select>
        </label>
        <label>
          Station
          <select name="station" defaultValue={asked.station}>
            <option value="">all</option>
            {screen.stations.map(s => (
              <option key={s.id} value={s.code}>
                {s.name}
              </option>
            ))}
          </select>
        </label>
        <Button type="submit">Show</Button>
        {some && (
          <ButtonLink
            look="quiet"
            prefetch={false}
            href={boardAddress(asked, { find: '', who: '', station: '' })}
          >
            Show everything
          </ButtonLink>
        )}
      </form>
    </search>
  )
}

/** Where what is looked for stands, when it is not on what is shown. */
function Found({ screen, asked }: { screen: BoardScreen; asked: Asked }) {
  const find = asked.find.trim()
  if (!find) return null
  const shown = screen.stations
    .flatMap(s => s.runs)
    .filter(r => isWanted({ ...r, crewId: null, stationCode: '' }, { find, who: '', station: '' })).length
  return (
    <p className={board.found} role="status">
      {shown > 0
        ? `${shown === 1 ? '1 run' : `${shown} runs`} here match “${find}”.`
        : `Nothing here matches “${find}”.`}
      {screen.elsewhere.length > 0 && ' Also on '}
      {screen.elsewhere.map(({ day, at }, i) => (
        <span key={day}>
          {i > 0 && ', '}
          <Link prefetch={false} href={boardAddress(asked, { day, week: false })}>
            {formatDay(at, screen.zone)}
          </Link>
        </span>
      ))}
      {screen.elsewhere.length > 0 && '.'}
      {shown === 0 && screen.elsewhere.length === 0 && (
        <>
          {' '}
          <Link prefetch={false} href={`/counter/find?q=${encodeURIComponent(find)}`}>
            Look in all orders
          </Link>
        </>
      )}
    </p>
  )
}

/** A day as a button names it. */
function dayWords(day: ShopDay, today: ShopDay, zone: string): string {
  if (day === today) return 'Today'
  if (day === addDays(today, -1)) return 'Yesterday'
  if (day === addDays(today, 1)) return 'Tomorrow'
  return formatDay(dayBounds(day, zone).from, zone)
}

function senseOf(
  { stations, days, zone, made, done, late }: BoardScreen,
  today: boolean,
  week: boolean,
): string {
  const runs = stations.flatMap(s => s.runs)
  const running = runs.filter(r => r.state === 'running').length
  const planned = runs.filter(r => r.state === 'planned').length
  return [
    week ? `to ${formatDay((days.to - 1) as Instant, zone)}` : formatLongDay(today ? made : days.from, zone),
    running ? `${running} running` : undefined,
    done ? `${done} done` : undefined,
    planned ? `${planned} to do` : undefined,
    late.count ? `${late.count} late` : undefined,
  ]
    .filter(Boolean)
    .join(' · ')
}

/** The stations that are shown, and what is drawn of them. Lanes are counted among those shown. */
function lanesOf(
  all: readonly ScreenStation[],
  wanted: Wanted,
): { lanes: readonly ScreenStation[]; strips: StripStation[] } {
  const lanes = all.filter(s => !wanted.station || s.code === wanted.station)
  const lane = new Map(lanes.map((s, i) => [all.indexOf(s), i]))
  const strips = lanes.map(s => ({
    id: s.id,
    name: s.name,
    note: s.note,
    href: `/floor/stations/${s.code}`,
    open: s.open,
    runs: s.runs.map(r => ({
      id: r.id,
      order: String(r.number),
      who: r.customer,
      detail: r.title,
      quantity: `${r.pieces} pcs`,
      href: `/floor/jobs/${r.number}#step-${r.id}`,
      start: r.start,
      work: r.work,
      end: r.end,
      changeover: r.to && `to ${r.to}`,
      state: r.state,
      standing: r.late === 'late' || r.late === 'risk' ? r.late : undefined,
      progress: r.pieces > 0 && r.state === 'running' ? r.good / r.pieces : undefined,
      pinned: r.pinned,
      can: r.can?.flatMap(i => lane.get(i) ?? []),
      dim: !isWanted({ ...r, crewId: r.crewId ?? null, stationCode: s.code }, wanted),
    })),
  }))
  return { lanes, strips }
}
