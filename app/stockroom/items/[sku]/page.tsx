import type { Metadata } from 'next'
import Link from 'next/link'
import { notFound } from 'next/navigation'
import { z } from 'zod'
import { ButtonLink } from '@/app/parts/button'
import { Figure } from '@/app/parts/figure'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { StateMark } from '@/app/parts/state-mark'
import { WhatHappened } from '@/app/what-happened'
import { historyOf } from '@/lib/server/history'
import { mayDo } from '@/lib/server/rights'
import { requirePerson } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import { variancesOf } from '@/lib/stock/counts/store'
import { carriersOf } from '@/lib/stock/frames/store'
import { formatAmount, KIND_WORDS, lengthOfRoll } from '@/lib/stock/items'
import { USE_DAYS, useFrom } from '@/lib/stock/reorder'
import {
  freeWorking,
  onHandWorking,
  onTheWayWorking,
  promisedWorking,
  rollWorking,
  writtenWorking,
} from '@/lib/stock/standing-working'
import { stockRules } from '@/lib/stock/store'
import {
  bookOf,
  comingOf,
  dailyUse,
  findItem,
  layersOf,
  lotsOf,
  newestLines,
  promisesOf,
} from '@/lib/stock/views/store'
import { shelfWorking } from '@/lib/stock/worth'
import { formatDay, instantOf } from '@/lib/units/time'
import { itemHref, money } from '../../show'
import { StockNav } from '../../stock-nav'
import styles from '../../stockroom.module.css'
import { AtTheShelf } from './at-the-shelf'
import { BesideItem } from './beside-item'
import { Lots } from './lots'
import { StockBook } from './stock-book'

/** Lines of the book on one page. */
const LINES = 60

type Props = {
  params: Promise<{ sku: string }>
  searchParams: Promise<Record<string, string | string[] | undefined>>
}

export async function generateMetadata({ params }: Props): Promise<Metadata> {
  return { title: decodeURIComponent((await params).sku) }
}

/** One item: where it stands, its book, and what one does at the shelf. */
export default async function Item({ params, searchParams }: Props) {
  const person = await requirePerson('stock.see')
  const item = await findItem(decodeURIComponent((await params).sku))
  if (!item) notFound()
  const now = instantOf(new Date())
  const below = z.coerce
    .number()
    .int()
    .min(2)
    .optional()
    .catch(undefined)
    .parse((await searchParams).below)
  const [
    facts,
    rules,
    lines,
    promises,
    layers,
    days,
    newest,
    coming,
    written,
    lots,
    variances,
    past,
    frames,
  ] = await Promise.all([
    shop(),
    stockRules(),
    bookOf(item.id, { most: LINES, ...(below ? { below } : {}) }),
    promisesOf(item.id),
    layersOf(item.id),
    dailyUse(item.id, USE_DAYS, now),
    newestLines(item.id),
    comingOf(item.id),
    comingOf(item.id, 'draft'),
    lotsOf(item.id, now),
    variancesOf(item.id),
    historyOf('item', item.id, 30),
    item.level.carrying > 0 ? carriersOf(item.id) : [],
  ])
  const prices = mayDo(person, 'prices.see')
  const moves = mayDo(person, 'stock.move')
  const use = useFrom(days, item.leadDays)
  const { level, unit } = item
  const show = (n: number) => formatAmount(n, unit)
  const standing = {
    unit,
    standing: level,
    lines: newest,
    promises,
    coming: coming.map(c => ({ ...c, due: c.dueAt && formatDay(c.dueAt, facts.timeZone) })),
    written,
    frames,
    day: (at: typeof now) => formatDay(at, facts.timeZone),
  }
  const length = lengthOfRoll(level.onHand, item)
  return (
    <RoomPage
      sideLabel="Promises and reordering"
      side={
        <BesideItem
          item={item}
          promises={promises}
          variances={variances}
          use={use}
          prices={prices}
          buys={mayDo(person, 'stock.buy')}
          facts={facts}
        />
      }
    >
      <StockNav current="/stockroom/items" />
      <PageHead
        back={{ href: '/stockroom/items', label: 'Items' }}
        title={item.name}
        sense={`${item.sku} · ${KIND_WORDS[item.kind]}${item.retired ? ' · no longer bought' : ''}`}
        mark={
          level.short > 0 ? (
            <StateMark state="late">short {show(level.short)}</StateMark>
          ) : item.toOrder > 0 ? (
            <StateMark state="risk">order {show(item.toOrder)}</StateMark>
          ) : undefined
        }
        more={
          mayDo(person, 'stock.buy') && (
            <ButtonLink href={`${itemHref(item.sku)}/edit`}>Change the item</ButtonLink>
          )
        }
      />
      <div className={styles.figures}>
        <Figure
          label="On hand"
          value={show(level.onHand)}
          tone={level.onHand < 0 ? 'late' : undefined}
          working={onHandWorking(standing)}
        />
        {length !== null && item.widthMm !== null && (
          <Figure
            label="Of the roll"
            value={formatAmount(length, 'mm')}
            working={rollWorking(level.onHand, item.widthMm, length)}
          />
        )}
        <Figure label="Promised" value={show(level.promised)} working={promisedWorking(standing)} />
        {level.carrying > 0 && (
          <Figure
            label="Carry a screen"
            value={show(level.carrying)}
            note={<Link href="/stockroom/screens">Frame by frame</Link>}
          />
        )}
        <Figure
          label="Free"
          value={show(level.free)}
          tone={level.free < 0 ? 'late' : undefined}
          working={freeWorking(standing)}
        />
        <Figure label="On the way" value={show(level.onTheWay)} working={onTheWayWorking(standing)} />
        {level.written > 0 && (
          <Figure
            label="Written, not sent"
            value={show(level.written)}
            tone="risk"
            working={writtenWorking(standing)}
          />
        )}
        {prices && (
          <Figure
            label="Value"
            value={money(level.worth, facts.currency)}
            working={shelfWorking(level, layers, {
              unit,
              currency: facts.currency,
              valuation: rules.valuation,
            })}
          />
        )}
      </div>
      {lots.length > 0 && <Lots item={item} lots={lots} now={now} zone={facts.timeZone} moves={moves} />}
      {moves && !below && <AtTheShelf item={item} lots={lots} prices={prices} currency={facts.currency} />}
      <StockBook
        item={item}
        lines={lines}
        below={below}
        most={LINES}
        prices={prices}
        moves={moves}
        facts={facts}
      />
      <WhatHappened about="this item" lines={past} facts={facts} who={person} unit={unit} />
    </RoomPage>
  )
}
