import type { Metadata } from 'next'
import type { ReactNode } from 'react'
import { classNames } from '@/app/parts/class-names'
import { Live } from '@/app/parts/live'
import { StateMark } from '@/app/parts/state-mark'
import { stateWords } from '@/lib/floor/state-words'
import { type BoardOrder, type BoardStation, openingDay, sharedBoard } from '@/lib/floor/views/store'
import { wallPages } from '@/lib/floor/wall-pages'
import { requirePerson } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import type { MeasureSystem } from '@/lib/units/measure'
import { dayOf, formatDay, formatTime, instantOf } from '@/lib/units/time'
import { WallTurner } from './turner'
import styles from './wall.module.css'

export const metadata: Metadata = { title: 'Wall' }

/** Holds named for one order; the rest stand on the board. */
const MOST_HOLDS = 1

/** The day for a screen on the wall: what runs and comes at each station, what is late, promised and waiting. It turns by itself. */
export default async function Wall({
  searchParams,
}: {
  searchParams: Promise<{ colours?: string | string[] }>
}) {
  await requirePerson('floor.see')
  const [facts, { colours }] = await Promise.all([shop(), searchParams])
  const now = instantOf(new Date())
  const day = await openingDay(now)
  const view = await sharedBoard(day, false, now)
  const { zone } = view
  const risky = view.stations.length
    ? view.promises.filter(o => o.standing.standing === 'risk' && !view.late.includes(o))
    : []
  const trouble = [...view.late, ...risky]
  const today = dayOf(now, zone) === day
  const pages: { title: string; body: ReactNode }[] = [
    ...wallPages(view.stations).map(lanes => ({
      title: today ? 'Now and next' : `Next: ${formatDay(view.days.from, zone)}`,
      body: lanes.map(s => <Lane key={s.station.id} lane={s} zone={zone} system={facts.measures} />),
    })),
    ...wallPages(trouble).map(orders => ({
      title: 'Late and at risk',
      body: orders.map(o => <Order key={o.id} order={o} zone={zone} />),
    })),
    ...wallPages(view.promises.filter(o => !trouble.includes(o))).map(orders => ({
      title: today ? 'Promised by tonight' : 'Promised by then',
      body: orders.map(o => <Order key={o.id} order={o} zone={zone} />),
    })),
    ...wallPages(view.waiting).map(list => ({
      title: 'Cannot start yet',
      body: list.map(w => (
        <li key={w.orderId} className={styles.row}>
          <b className={styles.number}>{w.number}</b>
          <span className={styles.words}>
            {w.title}
            <small>
              {w.holds
                .slice(0, MOST_HOLDS)
                .map(h => h.text)
                .join(' ')}
              {w.holds.length > MOST_HOLDS && ` And ${w.holds.length - MOST_HOLDS} more.`}
            </small>
          </span>
        </li>
      )),
    })),
  ]
  return (
    <main className={styles.wall}>
      <Live topics={['floor', 'plan', 'orders', 'art', 'stock', 'shop']} minutes={1} />
      <WallTurner
        shop={facts.name}
        zone={zone}
        now={now}
        colours={colours === 'night' || colours === 'day' ? colours : null}
        titles={pages.map(p => p.title)}
      >
        {pages.map((p, i) => (
          // biome-ignore lint/suspicious/noArrayIndexKey: pages have no name of their own
          <ul key={i} className={styles.page} aria-label={p.title}>
            {p.body}
          </ul>
        ))}
      </WallTurner>
    </main>
  )
}

function Lane({ lane, zone, system }: { lane: BoardStation; zone: string; system: MeasureSystem }) {
  const { station, runs } = lane
  const now = runs.find(r => r.state === 'running')
  const next = runs
    .filter(r => r.state === 'waiting' || r.state === 'paused')
    .sort((a, b) => a.workAt - b.workAt)
    .slice(0, 2)
  const state = stateWords(station.state, system)
  return (
    <li className={styles.lane}>
      <span className={styles.station}>
        {station.name}
        {state && <small>{state}</small>}
      </span>
      {now ? (
        <span className={classNames(styles.now, now.standing?.standing === 'late' && styles.late)}>
          <b className={styles.number}>{now.number}</b> {now.customer}
          <small>
            {now.good} of {now.pieces} done
            {now.standing?.standing === 'late' && ', late'}
          </small>
          {now.pieces > 0 && (
            <i style={{ width: `${Math.round((100 * now.good) / now.pieces)}%` }} aria-hidden="true" />
          )}
        </span>
      ) : (
        <span className={styles.free}>free</span>
      )}
      <span className={styles.next}>
        {next.length === 0 && 'nothing more'}
        {next.map(r => (
          <span key={r.stepId} className={styles.line}>
            <time>{formatTime(r.workAt, zone)}</time> <b>{r.number}</b> {r.pieces} pcs
          </span>
        ))}
      </span>
    </li>
  )
}

function Order({ order, zone }: { order: BoardOrder; zone: string }) {
  const { standing, words } = order.standing
  return (
    <li className={styles.row}>
      <b className={styles.number}>{order.number}</b>
      <span className={styles.words}>
        {order.customer}
        <small>
          {order.promiseHard ? 'Event' : 'Promised'}{' '}
          {order.promiseAt !== null &&
            `${formatDay(order.promiseAt, zone)}, ${formatTime(order.promiseAt, zone)}`}
        </small>
      </span>
      <span className={styles.mark}>
        {order.state === 'ready' ? (
          <StateMark state="ready" />
        ) : standing === 'late' || standing === 'risk' ? (
          <StateMark state={standing}>{standing === 'risk' ? `at risk: ${words}` : words}</StateMark>
        ) : (
          words
        )}
      </span>
    </li>
  )
}
