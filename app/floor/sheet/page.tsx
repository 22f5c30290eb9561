import type { Metadata } from 'next'
import { ButtonLink } from '@/app/parts/button'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Section } from '@/app/parts/section'
import { stateWords } from '@/lib/floor/state-words'
import { type BoardStation, boardView, openingDay } from '@/lib/floor/views/store'
import { requirePerson } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import type { MeasureSystem } from '@/lib/units/measure'
import {
  addDays,
  dayOf,
  formatLongDay,
  formatMinutes,
  formatMoment,
  formatTime,
  type Instant,
  instantOf,
} from '@/lib/units/time'
import { asDay } from '../asked-day'
import { pieces } from '../text'
import { PrintButton } from '../tickets/[number]/print-button'
import styles from './sheet.module.css'

export const metadata: Metadata = { title: 'Day sheet' }

/** A day on paper: each station's runs in order, with room to tick them off; then what is promised and what cannot start. */
export default async function Sheet({
  searchParams,
}: {
  searchParams: Promise<{ day?: string | string[] }>
}) {
  await requirePerson('floor.see')
  const facts = await shop()
  const now = instantOf(new Date())
  const day = asDay((await searchParams).day) ?? (await openingDay(now))
  const view = await boardView(day, now)
  const { zone } = view
  const busy = view.stations.filter(s => s.runs.length > 0)
  return (
    <RoomPage narrow>
      <PageHead
        title={formatLongDay(view.days.from, zone)}
        back={{ href: `/floor?day=${day}`, label: 'Board' }}
        sense={`${facts.name}, as planned ${formatMoment(view.plan.madeAt ?? now, zone)}, printed ${formatMoment(now, zone)}`}
        more={
          <nav className={styles.days} aria-label="Days" data-screen-only>
            <ButtonLink href={`/floor/sheet?day=${addDays(day, -1)}`}>← Day before</ButtonLink>
            <ButtonLink href={`/floor/sheet?day=${addDays(day, 1)}`}>Day after →</ButtonLink>
          </nav>
        }
        next={
          <span data-screen-only>
            <PrintButton />
          </span>
        }
      />
      {busy.length === 0 && <p>Nothing is planned for this day.</p>}
      {busy.map(s => (
        <Lane key={s.station.id} lane={s} zone={zone} system={facts.measures} />
      ))}
      {view.promises.length > 0 && (
        <Section title="Promised" aside={view.promises.length}>
          <ul className={styles.list}>
            {view.promises.map(o => (
              <li key={o.id}>
                <b>{o.number}</b> {o.customer},{' '}
                {o.promiseAt !== null &&
                  (dayOf(o.promiseAt, zone) === day
                    ? formatTime(o.promiseAt, zone)
                    : formatMoment(o.promiseAt, zone))}
                {o.promiseHard && ', event'}: {o.state === 'ready' ? 'ready' : o.standing.words}
              </li>
            ))}
          </ul>
        </Section>
      )}
      {view.waiting.length > 0 && (
        <Section title="Cannot start yet" aside={view.waiting.length}>
          <ul className={styles.list}>
            {view.waiting.map(w => (
              <li key={w.orderId}>
                <b>{w.number}</b> {w.title}: {w.holds.map(h => h.text).join(' ')}
              </li>
            ))}
          </ul>
        </Section>
      )}
    </RoomPage>
  )
}

function Lane({ lane, zone, system }: { lane: BoardStation; zone: string; system: MeasureSystem }) {
  const runs = [...lane.runs].sort((a, b) => a.startAt - b.startAt)
  return (
    <table className={styles.lane}>
      <caption>
        {lane.station.name}
        {lane.open.length > 0 && (
          <small>
            {' '}
            open {lane.open.map(o => `${formatTime(o.from, zone)}–${formatTime(o.to, zone)}`).join(', ')}
          </small>
        )}
      </caption>
      <thead>
        <tr>
          <th scope="col">Time</th>
          <th scope="col">Order</th>
          <th scope="col">Work</th>
          <th scope="col">Pieces</th>
          <th scope="col">Who</th>
          <th scope="col">Done</th>
        </tr>
      </thead>
      <tbody>
        {runs.map(r => (
          <tr key={r.stepId}>
            <td className={styles.time}>
              {formatTime(r.workAt, zone)}–{formatTime(r.endAt, zone)}
            </td>
            <td>
              <b>{r.number}</b> {r.customer}
              {mark(r) && <em> {mark(r)}</em>}
            </td>
            <td>
              {r.title}
              {r.changeover > 0 && (
                <small>
                  {' '}
                  after {formatMinutes(r.changeover)} of changeover
                  {r.stationState && ` to ${stateWords(r.stationState, system)}`}, from{' '}
                  {formatTime(r.startAt as Instant, zone)}
                </small>
              )}
            </td>
            <td>{pieces(r.pieces)}</td>
            <td>{r.crew}</td>
            <td>{r.state === 'done' ? 'done' : <span className={styles.tick} />}</td>
          </tr>
        ))}
      </tbody>
    </table>
  )
}

function mark(r: BoardStation['runs'][number]): string {
  const parts = [
    r.standing?.standing === 'late' && 'late',
    r.standing?.standing === 'risk' && 'at risk',
    r.rush && 'rush',
    r.pinned && 'pinned',
  ]
  return parts.filter(Boolean).join(', ')
}
