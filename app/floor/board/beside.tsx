'use client'
import Link from 'next/link'
import type { ReactNode } from 'react'
import { Button } from '@/app/parts/button'
import { Section } from '@/app/parts/section'
import { StateMark } from '@/app/parts/state-mark'
import type { BoardScreen, ScreenList, ScreenOrder } from '@/lib/floor/views/screen'
import { dayOf, formatDay, formatMoment, formatTime, type Instant, type ShopDay } from '@/lib/units/time'
import styles from '../floor.module.css'
import { ChanceOf } from './chances'

/**
 * What stands beside the board: promises of the day or the week, then what cannot start and why, then what is late. Each list names its first ones.
 * @param onAll asks for all of them
 */
export function Beside({
  screen: { promises, waiting, late, zone, days },
  day,
  week,
  today,
  onAll,
}: {
  screen: BoardScreen
  day: ShopDay
  week: boolean
  today: ShopDay
  onAll: () => void
}) {
  const time = (at: Instant) => (dayOf(at, zone) === day ? formatTime(at, zone) : formatMoment(at, zone))
  return (
    <>
      <Listed
        title={
          week
            ? `Promised by ${formatDay((days.to - 1) as Instant, zone)}`
            : day === today
              ? 'Promised by tonight'
              : 'Promised by then'
        }
        list={promises}
        none="Nothing is due."
        onAll={onAll}
      >
        {o => (
          <Order
            key={o.id}
            order={o}
            zone={zone}
            when={o.promiseAt === null ? '' : `${o.hard ? 'Event' : 'Promised'} ${time(o.promiseAt)}`}
          />
        )}
      </Listed>
      <Listed
        title="Cannot start yet"
        list={waiting}
        none="Everything that is agreed can be worked."
        onAll={onAll}
      >
        {w => (
          <li key={w.id}>
            <Link prefetch={false} href={`/floor/jobs/${w.number}`} className={styles.line}>
              <b>{w.number}</b> {w.title}
            </Link>
            {w.holds.map(h => (
              <span key={h}>{h}</span>
            ))}
          </li>
        )}
      </Listed>
      {late.count > 0 && (
        <Listed title="Late by this plan" list={late} none="" onAll={onAll}>
          {o => (
            <Order
              key={o.id}
              order={o}
              zone={zone}
              when={o.promiseAt === null ? '' : `promised ${formatDay(o.promiseAt, zone)}`}
            />
          )}
        </Listed>
      )}
    </>
  )
}

function Listed<T>({
  title,
  list,
  none,
  onAll,
  children,
}: {
  title: string
  list: ScreenList<T>
  none: string
  onAll: () => void
  children: (item: T) => ReactNode
}) {
  return (
    <Section title={title} aside={list.count}>
      {list.count === 0 ? (
        <p className={styles.quiet}>{none}</p>
      ) : (
        <ul className={styles.list}>{list.named.map(children)}</ul>
      )}
      {list.named.length < list.count && (
        <Button look="quiet" size="small" onClick={onAll} data-screen-only>
          Show all {list.count}
        </Button>
      )}
    </Section>
  )
}

function Order({ order, zone, when }: { order: ScreenOrder; zone: string; when: string }) {
  return (
    <li>
      <Link prefetch={false} href={`/floor/jobs/${order.number}`} className={styles.line}>
        <b>{order.number}</b> {order.customer}
      </Link>
      <span className={styles.quiet}>{when}</span>
      <Standing order={order} />
      <ChanceOf order={order.id} by={order.promiseAt} zone={zone} />
    </li>
  )
}

function Standing({ order: { late, words } }: { order: ScreenOrder }) {
  if (late === 'ready') return <StateMark state="ready" />
  if (late === 'late') return <StateMark state="late">{words}</StateMark>
  if (late === 'risk') return <StateMark state="risk">at risk: {words}</StateMark>
  return <span className={styles.quiet}>{words}</span>
}
