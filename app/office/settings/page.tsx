import type { Metadata } from 'next'
import { Fragment } from 'react'
import { ActionForm } from '@/app/parts/action-form'
import { Choices } from '@/app/parts/choices'
import { DataTable } from '@/app/parts/data-table'
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
import { WhatHappened } from '@/app/what-happened'
import { pricedFor, RATE_GROUPS, type RateField, rateDifferences, shownRate } from '@/lib/books/rates-form'
import { costOfNewestOffer } from '@/lib/orders/store'
import { historyOf } from '@/lib/server/history'
import { mayDo } from '@/lib/server/rights'
import { requirePerson } from '@/lib/server/session'
import type { Rates } from '@/lib/shop/rates'
import { rateCards, shop } from '@/lib/shop/store'
import { stockRules } from '@/lib/stock/store'
import { VALUATION_WORDS, VALUATIONS } from '@/lib/stock/valuation'
import { currencyDigits, type Minor, minor } from '@/lib/units/money'
import { dayOf, formatLongDay, formatMoment, instantOf } from '@/lib/units/time'
import { changeRatesAction, previewPricesAction, valuationAction } from '../actions'
import styles from '../office.module.css'
import { OfficeNav } from '../office-nav'
import { previewRows } from './preview-rows'
import { PricePreview } from './price-preview'

export const metadata: Metadata = { title: 'Rates' }

/** The shop's rates, each change with the day from which it counts. */
export default async function Settings() {
  const person = await requirePerson('books.see')
  const now = instantOf(new Date())
  const [facts, cards, rules, valued] = await Promise.all([
    shop(),
    rateCards(),
    stockRules(),
    historyOf('shop', 'valuation', 20),
  ])
  const { currency, timeZone } = facts
  const [newest] = cards
  if (!newest)
    return (
      <RoomPage narrow>
        <OfficeNav current="/office/settings" />
        <PageHead title="Rates" />
        <Notice kind="stop">The shop has no rates yet: set it up first.</Notice>
      </RoomPage>
    )
  const counts = cards.find(c => c.validFrom <= now) ?? newest
  const may = mayDo(person, 'rates.change')
  // A piece of the newest offer, so that the figures are of this shop's own size.
  const usual = (await costOfNewestOffer()) ?? minor(10 ** currencyDigits(currency) * 6)
  return (
    <RoomPage>
      <OfficeNav current="/office/settings" />
      <PageHead
        title="Rates"
        sense="What new offers and estimates reckon with. What was agreed keeps its own."
        mark={
          newest.validFrom > now ? (
            <StateMark state="risk">a change waits for {formatLongDay(newest.validFrom, timeZone)}</StateMark>
          ) : undefined
        }
      />
      <ActionForm key={newest.id} action={changeRatesAction} label="Rates" className={styles.form}>
        <input type="hidden" name="basedOn" value={newest.id} />
        {RATE_GROUPS.map(group => (
          <Fragment key={group.title}>
            <Section title={group.title}>
              <p className={styles.about}>{group.about}</p>
              <div className={group.pairs ? styles.pairs : styles.fields}>
                {group.fields.map(f => (
                  <RateInput key={f.name} field={f} rates={newest.rates} currency={currency} />
                ))}
              </div>
            </Section>
            {/* Below the last of the groups that make a price. */}
            {may && group.title === 'Tax' && (
              <Section title="What it does to prices">
                <PricePreview
                  look={previewPricesAction}
                  first={previewRows(newest.rates, newest.rates, usual, currency)}
                  cost={decimalOf(usual, currency)}
                />
              </Section>
            )}
          </Fragment>
        ))}
        {may && (
          <Section title="Save">
            <Stack>
              <Field
                name="from"
                label="They count from"
                type="date"
                value={dayOf(now, timeZone)}
                hint="Today means from now on."
                required
              />
              <div>
                <SubmitButton look="primary">Save the rates</SubmitButton>
              </div>
            </Stack>
          </Section>
        )}
      </ActionForm>
      <Section title="How stock is valued">
        <ActionForm action={valuationAction} label="How stock is valued">
          <Choices
            name="valuation"
            label="Stock leaves the shelf at"
            value={rules.valuation}
            options={VALUATIONS.map(v => ({
              value: v,
              label: VALUATION_WORDS[v],
              note:
                v === 'fifo'
                  ? 'The oldest goods go first, at what they cost.'
                  : 'Every unit costs the mean of what is there.',
            }))}
          />
          {may && <SubmitButton look="plain">Change it</SubmitButton>}
        </ActionForm>
      </Section>
      <Section title="Earlier rates">
        <DataTable
          caption="Every change, newest first"
          quietCaption
          rows={cards.map((c, i) => ({ card: c, before: cards[i + 1] }))}
          rowKey={r => r.card.id}
          columns={[
            {
              key: 'from',
              head: 'Counts from',
              rowHead: true,
              cell: r => (
                <>
                  {formatLongDay(r.card.validFrom, timeZone)}{' '}
                  {r.card === counts && <StateMark state="done">now</StateMark>}
                </>
              ),
            },
            { key: 'set', head: 'Set', cell: r => formatMoment(r.card.setAt, timeZone) },
            { key: 'by', head: 'Who', cell: r => r.card.byName },
            {
              key: 'what',
              head: 'What changed',
              wrap: true,
              cell: r =>
                r.before ? (
                  <Changed before={r.before.rates} after={r.card.rates} currency={currency} />
                ) : (
                  'the first rates'
                ),
            },
          ]}
        />
      </Section>
      {valued.length > 0 && (
        <WhatHappened about="how stock is valued" lines={valued} facts={facts} who={person} />
      )}
    </RoomPage>
  )
}

const decimalOf = (amount: Minor, currency: string) => {
  const digits = currencyDigits(currency)
  return (amount / 10 ** digits).toFixed(digits)
}

function RateInput({ field, rates, currency }: { field: RateField; rates: Rates; currency: string }) {
  const value = shownRate(field, rates, currency)
  const hint = pricedFor(rates, field.name) ?? field.hint
  if (field.kind === 'money')
    return (
      <MoneyField
        name={field.name}
        label={field.label}
        value={value}
        hint={hint}
        currency={currency}
        required
      />
    )
  if (field.kind === 'choice')
    return (
      <SelectField
        name={field.name}
        label={field.label}
        value={value}
        options={field.options ?? []}
        {...(hint ? { hint } : {})}
      />
    )
  return (
    <Field
      name={field.name}
      label={field.label}
      value={value}
      hint={hint}
      unit={field.kind === 'micro' ? currency : field.unit}
      size={field.kind === 'text' ? 14 : 12}
      {...(field.kind === 'text' ? {} : { inputMode: 'decimal' })}
    />
  )
}

function Changed({ before, after, currency }: { before: Rates; after: Rates; currency: string }) {
  const list = rateDifferences(before, after, currency)
  if (list.length === 0) return 'nothing'
  return (
    <details>
      <summary>
        {list.length} {list.length === 1 ? 'value' : 'values'}
      </summary>
      <ul className={styles.list}>
        {list.map(d => (
          <li key={d.name}>
            {d.name}: {d.before ?? '–'} → {d.after ?? '–'}
          </li>
        ))}
      </ul>
    </details>
  )
}
