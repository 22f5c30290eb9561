import Link from 'next/link'
import { Suspense } from 'react'
import { ButtonLink } from '@/app/parts/button'
import { DataTable } from '@/app/parts/data-table'
import { Figure } from '@/app/parts/figure'
import { Row as SideBySide } from '@/app/parts/row'
import { StateMark } from '@/app/parts/state-mark'
import type { Row } from '@/lib/methods/compare'
import type { ReadyTime } from '@/lib/planning/store'
import { formatMicro, formatMoney, type Micro, roundToMicro } from '@/lib/units/money'
import { formatMinutes, formatMoment, type Instant } from '@/lib/units/time'
import { costWorking } from './cost-working'
import styles from './counter.module.css'

/** What a card needs beside its row. */
export type CardSetting = {
  currency: string
  zone: string
  /** Whether costs and margins may be seen. */
  costs: boolean
  promiseAt: Instant | null
  number: number
  /** Whether the screens of all its designs stand on the shelf. */
  kept: boolean
  /** The trial plan, still being made. */
  times: Promise<ReadyTime[]>
}

/** A unit amount to the cent, or finer where that says something. */
const each = (amount: Micro, currency: string) =>
  formatMicro(roundToMicro(Math.round(amount / 1000) * 1000), currency)

const percent = (share: number | null) => (share === null ? '–' : `${(share * 100).toFixed(1)} %`)

const usesScreens = (row: Row) => row.method === 'screen' && row.outside === null

/** Where the card of a way stands on the page. */
const cardId = (row: Row) => `way-${row.key.replace(/[^\w-]/g, '-')}`

/** The ways that can be made in one look, in the order they are sorted. */
export function Glance({ rows, setting }: { rows: readonly Row[]; setting: CardSetting }) {
  const { currency, costs } = setting
  return (
    <div className={styles.glance}>
      <DataTable
        caption="The ways in one look"
        quietCaption
        phone="scroll"
        rows={rows}
        rowKey={r => r.key}
        columns={[
          {
            key: 'way',
            head: 'Way',
            rowHead: true,
            wrap: true,
            cell: r => <a href={`#${cardId(r)}`}>{r.name}</a>,
          },
          { key: 'each', head: 'Price each', numeric: true, cell: r => each(r.priceEach, currency) },
          { key: 'all', head: 'In all', numeric: true, cell: r => formatMoney(r.price.gross, currency) },
          ...(costs
            ? [
                {
                  key: 'cost',
                  head: 'Cost each',
                  numeric: true,
                  cell: (r: Row) => each(r.costEach, currency),
                },
                {
                  key: 'margin',
                  head: 'Margin',
                  numeric: true,
                  cell: (r: Row) =>
                    `${formatMoney(r.price.margin, currency)}, ${percent(r.price.marginShare)}`,
                },
              ]
            : []),
          {
            key: 'ready',
            head: 'Ready',
            cell: r => (
              <Suspense fallback="…">
                <ReadyWhen row={r} setting={setting} />
              </Suspense>
            ),
          },
          { key: 'feel', head: 'Feel', wrap: true, cell: r => r.feel.value.words },
          {
            key: 'shelf',
            head: 'On the shelf',
            cell: r =>
              r.missing.length === 0 ? (
                <StateMark state="done">all</StateMark>
              ) : (
                <StateMark state="risk">not all</StateMark>
              ),
          },
        ]}
      />
    </div>
  )
}

async function ReadyWhen({ row, setting: { times, zone, promiseAt } }: { row: Row; setting: CardSetting }) {
  const readyAt = (await times).find(t => t.key === row.key)?.readyAt ?? null
  if (readyAt === null) return '–'
  const words = formatMoment(readyAt, zone)
  if (promiseAt === null) return words
  return <StateMark state={readyAt <= promiseAt ? 'done' : 'late'}>{words}</StateMark>
}

/** One method: can or cannot with every reason, what it costs and brings, when it would be ready, how it feels. */
export function MethodCard({ row, chosen, setting }: { row: Row; chosen: boolean; setting: CardSetting }) {
  const { currency, costs } = setting
  const { price } = row
  return (
    <li
      id={cardId(row)}
      className={styles.method}
      data-chosen={chosen || undefined}
      data-cannot={!row.can || undefined}
    >
      <h2>{row.name}</h2>
      {row.can ? (
        <StateMark state="done">can be done</StateMark>
      ) : (
        <StateMark state="late">cannot be done</StateMark>
      )}
      {row.reasons.length > 0 && (
        <ul>
          {row.reasons.map(r => (
            <li key={r.message}>{r.message}</li>
          ))}
        </ul>
      )}
      {row.can && (
        <>
          <SideBySide gap="large">
            <Figure
              label="Price each"
              value={each(row.priceEach, currency)}
              about={`price by ${row.name}`}
              // How a price comes about holds the cost and the wished margin.
              {...(costs && price.lines.length === 1 && price.lines[0]
                ? { working: price.lines[0].working }
                : {})}
              {...(price.lines.length > 1 ? { note: 'on average; by blank below' } : {})}
            />
            <Figure
              label="In all"
              value={formatMoney(price.gross, currency)}
              working={price.workings.gross}
              note="with tax"
            />
          </SideBySide>
          {costs && (
            <SideBySide gap="large">
              <Figure
                label="Cost each"
                size="line"
                value={each(row.costEach, currency)}
                working={costWorking(row.cost, currency)}
              />
              <Figure
                label="Cost"
                size="line"
                value={formatMoney(row.cost.total, currency)}
                working={costWorking(row.cost, currency)}
              />
              <Figure
                label="Margin"
                size="line"
                value={percent(price.marginShare)}
                note={formatMoney(price.margin, currency)}
                working={price.workings.margin}
                {...(price.belowCost ? { tone: 'late' as const } : {})}
              />
            </SideBySide>
          )}
          <Suspense fallback={<p>Ready: looking at the plan …</p>}>
            <Ready row={row} setting={setting} />
          </Suspense>
        </>
      )}
      {row.can && <Figure label="Feel" size="line" value={row.feel.value.words} working={row.feel.working} />}
      {row.can && row.missing.length > 0 && (
        <div className={styles.reasons}>
          <StateMark state="risk">not all on the shelf</StateMark>
          <ul>
            {row.missing.map(m => (
              <li key={m.name}>
                {m.name}: {m.unit} short
              </li>
            ))}
          </ul>
        </div>
      )}
      {row.can && row.recipe && row.key !== row.method && (
        <p className={styles.reasons}>
          Recipe “{row.recipe.name}”, version {row.recipe.version}
        </p>
      )}
      {row.can && setting.kept && row.recipe && usesScreens(row) && (
        <p className={styles.reasons}>
          <StateMark state="done">screens on the shelf</StateMark> none have to be made for this repeat.
        </p>
      )}
      {row.can && row.remarks.length > 0 && (
        <ul className={styles.reasons} aria-label="Remarks">
          {row.remarks.map(r => (
            <li key={r.message}>
              {r.weight === 'warn' && <StateMark state="risk">mind</StateMark>} {r.message}
            </li>
          ))}
        </ul>
      )}
      {row.can && (
        <ButtonLink
          look={chosen ? 'plain' : 'primary'}
          href={`/counter/orders/${setting.number}/methods?method=${encodeURIComponent(row.key)}#offer`}
          aria-current={chosen ? 'true' : undefined}
        >
          {chosen
            ? 'Chosen'
            : `Offer it by ${row.outside?.name ?? row.name.toLowerCase().replace(' (dtg)', '')}`}
        </ButtonLink>
      )}
    </li>
  )
}

/** What all of several methods would wait for. One method alone says it itself. */
export function commonWaits(times: readonly ReadyTime[]): string[] {
  const [first, ...others] = times
  if (!first || others.length === 0) return []
  return first.waits.filter(text => others.every(t => t.waits.includes(text)))
}

async function Ready({ row, setting }: { row: Row; setting: CardSetting }) {
  const times = await setting.times
  const time = times.find(t => t.key === row.key)
  const said = commonWaits(times)
  const { zone, promiseAt } = setting
  if (!time) return null
  const { readyAt, waits, makesLate } = time
  return (
    <div>
      {readyAt === null ? (
        <StateMark state="late">finds no place on the plan</StateMark>
      ) : (
        <p>
          Ready <strong>{formatMoment(readyAt, zone)}</strong>{' '}
          {promiseAt !== null &&
            (readyAt <= promiseAt ? (
              <StateMark state="done">in time</StateMark>
            ) : (
              <StateMark state="late">
                {formatMinutes((readyAt - promiseAt) / 60_000)} after the promise
              </StateMark>
            ))}
        </p>
      )}
      {waits
        .filter(text => !said.includes(text))
        .map(text => (
          <p key={text} className={styles.reasons}>
            {text}
          </p>
        ))}
      {makesLate.slice(0, 3).map(l => (
        <p key={l.number} className={styles.reasons}>
          Makes <Link href={`/counter/orders/${l.number}`}>{l.number}</Link> later by{' '}
          {formatMinutes(l.minutes)}.
        </p>
      ))}
    </div>
  )
}
