import { randomUUID } from 'node:crypto'
import type { Metadata } from 'next'
import Link from 'next/link'
import { notFound } from 'next/navigation'
import { z } from 'zod'
import { ActionForm } from '@/app/parts/action-form'
import { ButtonLink } from '@/app/parts/button'
import { Choices } from '@/app/parts/choices'
import { DataTable } from '@/app/parts/data-table'
import { Facts } from '@/app/parts/facts'
import { Field } from '@/app/parts/field'
import { Figure } from '@/app/parts/figure'
import { MoneyField } from '@/app/parts/money-field'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Section } from '@/app/parts/section'
import { SelectField } from '@/app/parts/select-field'
import { StateMark } from '@/app/parts/state-mark'
import { SubmitButton } from '@/app/parts/submit-button'
import { TickField } from '@/app/parts/tick-field'
import { WhatHappened } from '@/app/what-happened'
import { historyOf } from '@/lib/server/history'
import { mayDo } from '@/lib/server/rights'
import { requirePerson } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import { variancesOf } from '@/lib/stock/counts/store'
import { carriersOf } from '@/lib/stock/frames/store'
import {
  EVERYDAY,
  exactAmount,
  formatAmount,
  formatSigned,
  KIND_WORDS,
  LOT_KINDS,
  lengthOfRoll,
  UNITS,
} from '@/lib/stock/items'
import type { MovementKind } from '@/lib/stock/movements'
import { reorderPoint, reorderWorking, SERVICE, USE_DAYS, useFrom } from '@/lib/stock/reorder'
import {
  freeWorking,
  keptWords,
  onHandWorking,
  onTheWayWorking,
  promisedWorking,
  rollWorking,
  writtenWorking,
} from '@/lib/stock/standing-working'
import {
  type BookLine,
  bookOf,
  comingOf,
  dailyUse,
  findItem,
  type ItemLine,
  layersOf,
  lotsOf,
  newestLines,
  promisesOf,
  stockRules,
} from '@/lib/stock/store'
import { shelfWorking } from '@/lib/stock/worth'
import { formatDay, formatPast, instantOf } from '@/lib/units/time'
import { countAction, moveAction, receiveAction, takeBackAction } from '../../actions'
import { ShelfRun } from '../../shelf-run'
import { amountOf, itemHref, money } from '../../show'
import { StockNav } from '../../stock-nav'
import styles from '../../stockroom.module.css'
import { Lots } from './lots'

const KIND: Record<MovementKind, string> = {
  received: 'received',
  issued: 'issued',
  spoiled: 'spoiled',
  counted: 'counted',
  returned: 'returned',
}
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
  const prices = mayDo(person.role, 'prices.see')
  const use = useFrom(days, item.leadDays)
  const wanted = Math.ceil(reorderPoint(use, SERVICE))
  const { level, unit } = item
  const show = (n: number) => formatAmount(n, unit)
  const pieces = unit === 'piece' ? 'pieces' : UNITS[EVERYDAY[unit]].word
  const pack = item.pricePer > 1 ? `; a pack is ${show(item.pricePer)}` : ''
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
  const hint = `In ${pieces}, or say the unit${pack}${item.widthMm ? '; 12 m is so long of the roll' : ''}.`
  return (
    <RoomPage
      sideLabel="Promises and reordering"
      side={
        <>
          <Section title="Promised to">
            <DataTable
              caption="Orders that this item is kept for"
              quietCaption
              rows={promises}
              rowKey={p => String(p.orderNumber)}
              empty="Nothing of it is promised."
              columns={[
                {
                  key: 'order',
                  head: 'Order',
                  rowHead: true,
                  cell: p => <Link href={`/counter/orders/${p.orderNumber}`}>{p.orderNumber}</Link>,
                },
                { key: 'quantity', head: 'Kept', numeric: true, cell: p => keptWords(p, show) },
                {
                  key: 'promise',
                  head: 'Promise',
                  cell: p => p.promiseAt && formatDay(p.promiseAt, facts.timeZone),
                },
              ]}
            />
          </Section>
          {variances.length > 0 && (
            <Section title="Used against booked">
              <DataTable
                caption="At each count: + more was used than was booked from what was printed"
                rows={variances}
                rowKey={v => String(v.at)}
                columns={[
                  {
                    key: 'at',
                    head: 'Count',
                    rowHead: true,
                    cell: v => formatDay(v.at, facts.timeZone),
                  },
                  { key: 'quantity', head: 'Used', numeric: true, cell: v => formatSigned(v.quantity, unit) },
                  ...(prices
                    ? [
                        {
                          key: 'value',
                          head: 'Variance',
                          numeric: true,
                          cell: (v: (typeof variances)[number]) => money(v.value, facts.currency),
                        },
                      ]
                    : []),
                ]}
              />
            </Section>
          )}
          <Section title="Reordering">
            <Facts
              across
              items={[
                { name: 'Reorder at', value: show(item.reorderPoint) },
                { name: 'Order up to', value: show(item.reorderTo) },
                { name: 'Lead time', value: `${item.leadDays} days` },
                { name: 'Supplier', value: item.supplier || null },
                ...(prices
                  ? [{ name: 'Price', value: `${money(item.price, facts.currency)}${per(item)}` }]
                  : []),
              ]}
            />
            {use.perDay > 0 && (
              <Figure
                label="Reorder point that its use asks for"
                value={show(wanted)}
                working={reorderWorking(use, SERVICE, unit, USE_DAYS)}
              />
            )}
            {wanted !== item.reorderPoint && use.perDay > 0 && mayDo(person.role, 'stock.buy') && (
              <ButtonLink href={`${itemHref(item.sku)}/edit?point=${wanted}`}>Take it</ButtonLink>
            )}
          </Section>
        </>
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
          mayDo(person.role, 'stock.buy') && (
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
      {lots.length > 0 && (
        <Lots
          item={item}
          lots={lots}
          now={now}
          zone={facts.timeZone}
          moves={mayDo(person.role, 'stock.move')}
        />
      )}
      {mayDo(person.role, 'stock.move') && !below && (
        <div className={styles.forms}>
          <Section title="Count" id="count">
            <ActionForm action={countAction.bind(null, item.sku)} label="Count this shelf" clear>
              <FormKey />
              <Field name="found" label="Really there" hint={hint} size={9} inputMode="decimal" required />
              <Field name="why" label="Note" required={false} maxLength={300} />
              <SubmitButton>Book the count</SubmitButton>
            </ActionForm>
          </Section>
          <Section title="Receive">
            <ActionForm action={receiveAction.bind(null, item.sku)} label="Receive without a purchase" clear>
              <FormKey />
              <Field name="quantity" label="Came in" hint={hint} size={9} inputMode="decimal" required />
              {prices && (
                <MoneyField
                  name="cost"
                  label="Cost of all of it"
                  hint="Empty: at its usual price."
                  currency={facts.currency}
                  required={false}
                />
              )}
              {LOT_KINDS.includes(item.kind) && (
                <>
                  <Field name="lot" label="Lot" size={12} maxLength={40} required={false} />
                  <Field name="goodUntil" label="Good until" type="date" required={false} />
                  <TickField name="anyway" label="Out of date: take it in anyway" />
                </>
              )}
              <Field name="why" label="Note" required={false} maxLength={300} />
              <SubmitButton look="plain">Receive</SubmitButton>
            </ActionForm>
          </Section>
          <Section title="Take out or return">
            <ActionForm action={moveAction.bind(null, item.sku)} label="Take out or return" clear>
              <FormKey />
              <Choices
                name="kind"
                label="What happened"
                value="spoiled"
                options={[
                  { value: 'spoiled', label: 'Spoiled on the shelf' },
                  { value: 'supplier', label: 'Back to the supplier' },
                  { value: 'order', label: 'Back from an order, unused' },
                ]}
              />
              <Field name="quantity" label="How much" hint={hint} size={9} inputMode="decimal" required />
              {lots.length > 1 && (
                <SelectField
                  name="lot"
                  label="Lot"
                  options={[
                    { value: 'any', label: 'in the order of use' },
                    ...lots.map(l => ({ value: l.lot, label: l.lot || 'no lot' })),
                  ]}
                />
              )}
              <Field name="order" label="Order" size={8} inputMode="numeric" required={false} />
              <Field name="why" label="Why" maxLength={300} />
              <SubmitButton look="plain">Book it</SubmitButton>
            </ActionForm>
          </Section>
        </div>
      )}
      <Section title="Stock book" id="book">
        <ShelfRun item={item} lines={lines} zone={facts.timeZone} />
        <DataTable
          caption={
            below ? `Lines before line ${below}, newest first` : 'Newest first; nothing here is ever edited'
          }
          rows={lines}
          rowKey={l => l.id}
          empty="Nothing has moved yet: receive or count it."
          columns={[
            {
              key: 'at',
              head: 'When',
              rowHead: true,
              cell: l => (
                <span className={styles.line}>
                  {formatPast(l.at, facts.timeZone)}
                  <span className="aloud"> line {l.position}</span>
                </span>
              ),
            },
            {
              key: 'kind',
              head: 'What',
              cell: l => (l.counters ? `${KIND[l.kind]}, taken back` : KIND[l.kind]),
            },
            {
              key: 'quantity',
              head: 'Amount',
              numeric: true,
              cell: l => <span title={exactAmount(l.quantity, unit)}>{formatSigned(l.quantity, unit)}</span>,
            },
            { key: 'onHand', head: 'On hand', numeric: true, cell: l => show(l.onHand) },
            ...(prices
              ? [
                  {
                    key: 'value',
                    head: 'Value',
                    numeric: true,
                    cell: (l: BookLine) => money(l.value, facts.currency),
                  },
                ]
              : []),
            { key: 'why', head: 'Why', wrap: true, cell: l => <Why line={l} /> },
            { key: 'by', head: 'Who', cell: l => <span className={styles.line}>{l.byName}</span> },
            {
              key: 'back',
              head: <span className="aloud">Take back</span>,
              cell: l =>
                l.takenBack ? (
                  'taken back'
                ) : l.counters === null && l.quantity !== 0 && mayDo(person.role, 'stock.move') ? (
                  <ActionForm
                    action={takeBackAction.bind(null, item.sku)}
                    label={`Take back line ${l.position}`}
                  >
                    <FormKey />
                    <input type="hidden" name="movement" value={l.id} />
                    <SubmitButton look="quiet" size="small">
                      <span className={styles.line}>Take back</span>
                      <span className="aloud"> line {l.position}</span>
                    </SubmitButton>
                  </ActionForm>
                ) : null,
            },
          ]}
        />
        {lines.length === LINES && (lines.at(-1)?.position ?? 1) > 1 && (
          <ButtonLink href={`${itemHref(item.sku)}?below=${lines.at(-1)?.position}#book`}>
            Earlier lines
          </ButtonLink>
        )}
      </Section>
      <WhatHappened about="this item" lines={past} facts={facts} role={person.role} unit={unit} />
    </RoomPage>
  )
}

const FormKey = () => <input type="hidden" name="formKey" value={randomUUID()} />

const per = (item: ItemLine): string =>
  item.pricePer > 1 ? ` for ${amountOf(item, item.pricePer)}` : item.unit === 'piece' ? ' a piece' : ''

function Why({ line }: { line: BookLine }) {
  return (
    <>
      {line.orderNumber !== null && (
        <Link href={`/counter/orders/${line.orderNumber}`}>Order {line.orderNumber}</Link>
      )}
      {line.purchaseNumber !== null && (
        <Link href={`/stockroom/purchases/${line.purchaseNumber}`}>Purchase {line.purchaseNumber}</Link>
      )}
      {line.why && line.why !== `Purchase ${line.purchaseNumber}` && (
        <>
          {line.orderNumber !== null || line.purchaseNumber !== null ? ': ' : ''}
          {line.why}
        </>
      )}
      {line.lot && <small className={styles.quiet}> lot {line.lot}</small>}
    </>
  )
}
