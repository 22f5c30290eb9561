import type { Metadata } from 'next'
import Link from 'next/link'
import { notFound } from 'next/navigation'
import { CopyMail } from '@/app/counter/send-offer'
import { readNumber } from '@/app/number-in-address'
import { ActionForm } from '@/app/parts/action-form'
import { ButtonLink } from '@/app/parts/button'
import { type Column, DataTable } from '@/app/parts/data-table'
import { Facts } from '@/app/parts/facts'
import { Field } from '@/app/parts/field'
import { MoneyField } from '@/app/parts/money-field'
import { Notice } from '@/app/parts/notice'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Stack } from '@/app/parts/row'
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
import { LOT_KINDS, typedAmount } from '@/lib/stock/items'
import { inMinor, PURCHASE_WORDS, toCome } from '@/lib/stock/purchase'
import {
  OUTCOME_WORDS,
  OUTCOMES,
  purchaseMessage,
  TROUBLE_WORDS,
  TROUBLES,
  troubleMessage,
} from '@/lib/stock/purchase-words'
import { type Charged, chargedOn, findPurchase, type PurchaseLineView } from '@/lib/stock/purchases/store'
import { formatMoney, type Minor, sumMinor, withSign } from '@/lib/units/money'
import { formatDay, formatMoment } from '@/lib/units/time'
import { endPurchaseAction, receivePurchaseAction, sentPurchaseAction } from '../../actions'
import { amountOf, itemHref, money } from '../../show'
import styles from '../../stockroom.module.css'
import { paperOf } from '../purchase-paper'

type Props = {
  params: Promise<{ number: string }>
  searchParams: Promise<Record<string, string | string[] | undefined>>
}

export async function generateMetadata({ params }: Props): Promise<Metadata> {
  return { title: `Purchase ${(await params).number.slice(0, 12)}` }
}

/** One purchase: what was ordered, what came, and receiving it. */
export default async function Purchase({ params, searchParams }: Props) {
  const person = await requirePerson('stock.see')
  const number = readNumber((await params).number)
  const purchase = number !== null ? await findPurchase(number) : null
  if (!purchase) notFound()
  const [facts, past, charged] = await Promise.all([
    shop(),
    historyOf('purchase', purchase.id, 50),
    chargedOn(purchase.id),
  ])
  const { currency, timeZone } = facts
  const done = (await searchParams).done
  const prices = mayDo(person, 'prices.see')
  const open = purchase.lines.filter(l => toCome(l) > 0)
  const unsent = purchase.state === 'draft'
  const waits = unsent || purchase.state === 'sent'
  const buys = mayDo(person, 'stock.buy')
  const paper = await paperOf(purchase)
  const told = purchaseMessage(paper)
  const wrong = troubleMessage(paper, purchase.troubles)
  return (
    <RoomPage
      narrow={!prices}
      sideLabel="About this purchase"
      side={
        <>
          <Facts
            across
            items={[
              { name: 'From', value: purchase.supplier },
              { name: 'Written', value: formatMoment(purchase.createdAt, timeZone) },
              { name: 'By', value: purchase.byName },
              ...(purchase.sentAt === null
                ? []
                : [{ name: 'Sent', value: formatMoment(purchase.sentAt, timeZone) }]),
              { name: 'Due', value: purchase.dueAt && formatDay(purchase.dueAt, timeZone) },
              ...(prices ? [{ name: 'Value', value: money(purchase.value, currency) }] : []),
              ...(purchase.note ? [{ name: 'Note', value: purchase.note }] : []),
            ]}
          />
          {buys && purchase.state !== 'cancelled' && (
            <Section title={unsent ? 'Send it' : 'The order'} small>
              <Stack>
                <p>
                  <ButtonLink href={`/stockroom/purchases/${purchase.number}/pdf`}>PDF</ButtonLink>
                </p>
                <CopyMail
                  fields={{ to: paper.email, subject: told.subject, text: told.body }}
                  what="the order"
                />
              </Stack>
            </Section>
          )}
          {waits && buys && (
            <Section title="Nothing more comes" small>
              <ActionForm action={endPurchaseAction.bind(null, purchase.number)} label="End this purchase">
                <input type="hidden" name="version" value={purchase.version} />
                <Field name="why" label="Why" maxLength={300} required />
                <SubmitButton look="quiet">End it</SubmitButton>
              </ActionForm>
            </Section>
          )}
        </>
      }
    >
      <PageHead
        back={{ href: '/stockroom/purchases', label: 'Purchases' }}
        title={`Purchase ${purchase.number}`}
        sense={`${purchase.lines.length} ${purchase.lines.length === 1 ? 'line' : 'lines'} from ${purchase.supplier || 'a supplier'}.`}
        mark={
          purchase.state === 'received' ? (
            <StateMark state="done">received</StateMark>
          ) : purchase.state === 'cancelled' ? (
            <StateMark state="withdrawn">cancelled</StateMark>
          ) : (
            <StateMark state={unsent ? 'risk' : 'agreed'}>{PURCHASE_WORDS[purchase.state]}</StateMark>
          )
        }
      />
      {done === 'sent' && (
        <Notice kind="done">What came is on the shelves; the rest is still on the way.</Notice>
      )}
      {done === 'received' && <Notice kind="done">Everything came and is on the shelves.</Notice>}
      {unsent && buys && (
        <Section title="Send it to the supplier">
          <ActionForm
            action={sentPurchaseAction.bind(null, purchase.number, purchase.version)}
            label="It is sent"
          >
            <p>
              Take the PDF or the message beside it. Then say here that it went out: until then its goods are
              not on the way, and the plan does not wait for their day.
            </p>
            <SubmitButton look="plain">It is sent</SubmitButton>
          </ActionForm>
        </Section>
      )}
      {waits && open.length > 0 && mayDo(person, 'stock.move') && (
        <Section title="Receive">
          <ActionForm
            key={purchase.version}
            action={receivePurchaseAction.bind(null, purchase.number)}
            label={`Receive purchase ${purchase.number}`}
          >
            <input type="hidden" name="version" value={purchase.version} />
            <ul className={styles.lines}>
              {open.map(l => (
                <li key={l.id}>
                  <div className={styles.what}>
                    <Link href={itemHref(l.sku)}>{l.name}</Link>
                    <small className={styles.quiet}>
                      {amountOf(l, toCome(l))} to come of {amountOf(l, l.quantity)}
                    </small>
                  </div>
                  <Field
                    name={`came.${l.id}`}
                    label={
                      <>
                        Came, and is good<span className="aloud"> of {l.name}</span>
                      </>
                    }
                    value={typedAmount(toCome(l), l.unit)}
                    size={9}
                    required
                  />
                  {prices ? (
                    <MoneyField
                      name={`cost.${l.id}`}
                      label={
                        <>
                          Charged, if different<span className="aloud"> for {l.name}</span>
                        </>
                      }
                      currency={currency}
                    />
                  ) : (
                    <span />
                  )}
                  <details className={styles.more}>
                    <summary>
                      Wrong, damaged{LOT_KINDS.includes(l.kind) ? ', lot' : ''}
                      <span className="aloud"> of {l.name}</span>
                    </summary>
                    <div className={styles.fields}>
                      {LOT_KINDS.includes(l.kind) && (
                        <>
                          <Field name={`lot.${l.id}`} label="Lot" size={12} maxLength={40} required={false} />
                          <Field name={`goodUntil.${l.id}`} label="Good until" type="date" required={false} />
                          <TickField name={`anyway.${l.id}`} label="Out of date: take it in anyway" />
                        </>
                      )}
                      <Field name={`bad.${l.id}`} label="How many are not good" size={9} required={false} />
                      <SelectField
                        name={`badKind.${l.id}`}
                        label="What is wrong"
                        value="damaged"
                        options={TROUBLES.map(t => ({ value: t, label: TROUBLE_WORDS[t] }))}
                      />
                      <SelectField
                        name={`outcome.${l.id}`}
                        label="What becomes of them"
                        value="replace"
                        options={OUTCOMES.map(o => ({ value: o, label: OUTCOME_WORDS[o] }))}
                      />
                      <Field name={`badNote.${l.id}`} label="Note" maxLength={300} required={false} />
                    </div>
                  </details>
                </li>
              ))}
            </ul>
            <TickField
              name="keepMore"
              label="Keep what is more than ordered"
              note="It comes in at the price of its line."
            />
            <SubmitButton look="primary">Put it on the shelves</SubmitButton>
          </ActionForm>
        </Section>
      )}
      {purchase.troubles.length > 0 && (
        <Section title="Wrong, damaged, missing">
          <DataTable
            caption="What was not as ordered"
            quietCaption
            rows={purchase.troubles}
            rowKey={t => t.id}
            columns={[
              {
                key: 'item',
                head: 'Item',
                rowHead: true,
                wrap: true,
                cell: t => <Link href={itemHref(t.sku)}>{t.name}</Link>,
              },
              { key: 'n', head: 'How many', numeric: true, cell: t => amountOf(t, t.quantity) },
              {
                key: 'what',
                head: 'What',
                wrap: true,
                cell: t => `${TROUBLE_WORDS[t.kind]}${t.note ? `: ${t.note}` : ''}`,
              },
              { key: 'then', head: 'Then', wrap: true, cell: t => OUTCOME_WORDS[t.outcome] },
              { key: 'by', head: 'Noted', cell: t => `${t.byName}, ${formatMoment(t.at, timeZone)}` },
            ]}
          />
          {buys && (
            <details>
              <summary>A message to the supplier about it</summary>
              <CopyMail
                fields={{ to: paper.email, subject: wrong.subject, text: wrong.body }}
                what="what was wrong"
              />
            </details>
          )}
        </Section>
      )}
      <Section title="Lines">
        <DataTable
          caption="What was ordered and what came"
          quietCaption
          rows={purchase.lines}
          rowKey={l => l.id}
          columns={[
            {
              key: 'item',
              head: 'Item',
              rowHead: true,
              wrap: true,
              cell: l => <Link href={itemHref(l.sku)}>{l.name}</Link>,
            },
            { key: 'ordered', head: 'Ordered', numeric: true, cell: l => amountOf(l, l.quantity) },
            { key: 'received', head: 'Received', numeric: true, cell: l => amountOf(l, l.received) },
            {
              key: 'open',
              head: 'To come',
              numeric: true,
              cell: l => (waits ? amountOf(l, toCome(l)) : '0'),
            },
            ...(prices ? [valueColumn(currency, money(purchase.value, currency))] : []),
          ]}
        />
      </Section>
      {prices && charged.some(c => c.difference !== 0) && <ChargedTable rows={charged} currency={currency} />}
      <WhatHappened about="this purchase" lines={past} facts={facts} who={person} />
    </RoomPage>
  )
}

const valueColumn = (currency: string, total: string): Column<PurchaseLineView> => ({
  key: 'value',
  head: 'Cost',
  numeric: true,
  cell: l => money(l.value, currency),
  foot: total,
})

/** What the supplier charged for what came, where it is not what was ordered. */
function ChargedTable({ rows: exact, currency }: { rows: readonly Charged[]; currency: string }) {
  const rows = exact.map(c => inMinor(c, currency))
  const show = (n: Minor) => formatMoney(n, currency)
  const signed = (n: Minor) => withSign(n, show(n))
  const sum = (of: (c: (typeof rows)[number]) => Minor) => sumMinor(rows.map(of))
  return (
    <Section title="Charged otherwise than ordered">
      <DataTable
        caption="What came so far, at the price ordered and as it was charged; + is dearer"
        rows={rows}
        rowKey={c => c.sku}
        columns={[
          {
            key: 'item',
            head: 'Item',
            rowHead: true,
            wrap: true,
            cell: c => <Link href={itemHref(c.sku)}>{c.name}</Link>,
          },
          { key: 'came', head: 'Received', numeric: true, cell: c => amountOf(c, c.quantity) },
          {
            key: 'ordered',
            head: 'As ordered',
            numeric: true,
            cell: c => show(c.ordered),
            foot: show(sum(c => c.ordered)),
          },
          {
            key: 'charged',
            head: 'Charged',
            numeric: true,
            cell: c => show(c.charged),
            foot: show(sum(c => c.charged)),
          },
          {
            key: 'difference',
            head: 'Difference',
            numeric: true,
            cell: c => signed(c.difference),
            foot: signed(sum(c => c.difference)),
          },
        ]}
      />
    </Section>
  )
}
