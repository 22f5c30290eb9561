import type { Metadata } from 'next'
import { Button } from '@/app/parts/button'
import { Choices } from '@/app/parts/choices'
import { DataTable } from '@/app/parts/data-table'
import { Field } from '@/app/parts/field'
import { Figure } from '@/app/parts/figure'
import { LineChart } from '@/app/parts/line-chart'
import { MoneyField } from '@/app/parts/money-field'
import { Notice } from '@/app/parts/notice'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Row, Stack } from '@/app/parts/row'
import { Section } from '@/app/parts/section'
import { SelectField } from '@/app/parts/select-field'
import { hadItBeenHere } from '@/lib/books/machines/store'
import { type Purchase, shouldWeBuy } from '@/lib/costing/equipment'
import { instalmentPlan } from '@/lib/costing/loan'
import { monthEitherWay, purchaseInput } from '@/lib/costing/purchase-input'
import { requirePerson } from '@/lib/server/session'
import { isMethod, METHOD_WORDS, METHODS, type MethodId } from '@/lib/shop/methods'
import type { Rates } from '@/lib/shop/rates'
import { ratesAt, shop } from '@/lib/shop/store'
import { formatMoney, microPerMinor, minor, roundToMinor, sumMinor } from '@/lib/units/money'
import { formatMonth, instantOf } from '@/lib/units/time'
import styles from '../office.module.css'
import { OfficeNav } from '../office-nav'

export const metadata: Metadata = { title: 'Should we buy it?' }

/** What stands in the form at first: a press that many shops begin with. */
const EXAMPLE = {
  name: 'Heat press',
  by: 'instalments',
  price: '1800',
  interest: '6.9',
  months: '24',
  salvage: '0',
  upkeep: '10',
  kilowatts: '1.8',
  seconds: '45',
  here: '2.10',
  away: '4.50',
  pieces: '60',
  method: '',
}

/** A press or printer weighed before it is bought: against sending the work out. Nothing is written; the address holds what was typed. */
export default async function Buying({
  searchParams,
}: {
  searchParams: Promise<Record<string, string | string[] | undefined>>
}) {
  await requirePerson('books.see')
  const query = await searchParams
  const [{ currency }, rates] = await Promise.all([shop(), ratesAt(instantOf(new Date()))])
  const asked = 'price' in query
  const typed = Object.fromEntries(
    Object.entries(EXAMPLE).map(([k, v]) => [k, asked ? String(query[k] ?? '').slice(0, 60) : v]),
  ) as typeof EXAMPLE
  const read = purchaseInput(currency).safeParse(typed)
  const errors: Record<string, string> = {}
  if (!read.success) for (const i of read.error.issues) errors[String(i.path[0] ?? 'price')] ??= i.message
  const field = (name: keyof typeof EXAMPLE) => ({
    name,
    value: typed[name],
    ...(errors[name] ? { error: errors[name] } : {}),
  })
  const money = (name: keyof typeof EXAMPLE, label: string, hint?: string) => (
    <MoneyField {...field(name)} label={label} currency={currency} size={12} {...(hint ? { hint } : {})} />
  )
  return (
    <RoomPage>
      <OfficeNav current="/office/buying" />
      <PageHead
        title="Should we buy it?"
        sense="A press or printer, weighed against sending the work out: what it costs a month, from how many pieces it pays, and when it has paid itself back."
      />
      <form method="get" action="/office/buying" aria-label="The machine and its work" noValidate>
        <Stack gap="large">
          <Row align="top">
            <Field {...field('name')} label="The machine" maxLength={60} />
            {money('price', 'Its price')}
            <Field
              {...field('months')}
              label="Paid or used over"
              unit="months"
              size={9}
              inputMode="numeric"
            />
          </Row>
          <Row align="top">
            <Choices
              name="by"
              label="How it is paid"
              value={typed.by}
              across
              options={[
                { value: 'instalments', label: 'by instalments' },
                { value: 'depreciation', label: 'at once, worn off' },
              ]}
            />
            <Field
              {...field('interest')}
              label="Interest a year"
              unit="%"
              size={7}
              inputMode="decimal"
              hint="Where it is paid by instalments."
            />
            {money('salvage', 'Still brings at the end', 'Where it is worn off.')}
          </Row>
          <Row align="top">
            {money('upkeep', 'Upkeep a month')}
            <Field {...field('kilowatts')} label="Draws" unit="kW" size={7} inputMode="decimal" />
            <Field
              {...field('seconds')}
              label="On the machine, one piece"
              unit="s"
              size={8}
              inputMode="decimal"
            />
          </Row>
          <Row align="top">
            {money(
              'here',
              'One piece made here',
              'Material and labour, without the machine: a comparison shows it.',
            )}
            {money('away', 'One piece sent out', 'Or what it earns, where you now turn it away.')}
            <Field {...field('pieces')} label="Pieces a month" size={9} inputMode="numeric" />
            <SelectField
              name="method"
              label="Against real months of"
              value={typed.method}
              empty="none"
              required={false}
              options={METHODS.map(m => ({ value: m, label: METHOD_WORDS[m].name }))}
              hint="What it would have saved on what you really made."
            />
          </Row>
          <div>
            <Button type="submit" look="primary">
              Weigh it
            </Button>
          </div>
          {!asked && <Notice>An example stands in the form: type your own figures over it.</Notice>}
          {!read.success && (
            <Notice kind="stop">
              {Object.keys(errors).length === 1
                ? Object.values(errors)[0]
                : `${Object.keys(errors).length} fields need another look.`}
            </Notice>
          )}
        </Stack>
      </form>
      {read.success && <Answer asked={read.data} rates={rates} currency={currency} />}
      {read.success && isMethod(typed.method) && (
        <RealMonths asked={read.data} method={typed.method} rates={rates} currency={currency} />
      )}
    </RoomPage>
  )
}

function Answer({ asked, rates, currency }: { asked: Purchase; rates: Rates; currency: string }) {
  const verdict = shouldWeBuy(asked, rates, { currency, locale: 'en' })
  const money = (n: number) => formatMoney(roundToMinor(n), currency)
  const { purchase } = asked.cost
  const perMinor = microPerMinor(currency)
  const most = Math.max(20, 2 * asked.piecesPerMonth, Math.ceil(1.6 * (verdict.breakEven ?? 0)))
  const step = Math.max(1, Math.round(most / 60))
  const { breakEven } = verdict
  const places = [
    ...new Set([
      ...Array.from({ length: Math.floor(most / step) + 1 }, (_, i) => i * step),
      asked.piecesPerMonth,
      ...(breakEven ? [breakEven] : []),
    ]),
  ].sort((a, b) => a - b)
  const table = [
    0,
    ...[0.25, 0.5, 0.75, 1].map(s => Math.round((most * s) / step) * step),
    asked.piecesPerMonth,
    ...(breakEven ? [breakEven] : []),
  ]
  const at = (pieces: number) => monthEitherWay(verdict, asked, pieces, perMinor)
  return (
    <>
      <Section title={verdict.pays ? 'At these pieces it pays.' : 'At these pieces it does not pay.'}>
        <div className={styles.figures}>
          <Figure
            label="Left over a month"
            value={money(verdict.resultPerMonth)}
            working={verdict.working}
            {...(verdict.resultPerMonth < 0 ? { tone: 'late' as const } : {})}
          />
          <Figure
            label="Pays from"
            value={breakEven === null ? 'never' : breakEven}
            {...(breakEven === null ? {} : { unit: breakEven === 1 ? 'piece a month' : 'pieces a month' })}
            working={{
              formula: '(purchase + upkeep a month) ÷ saved on one piece, rounded up',
              inputs: [
                { name: 'Purchase and upkeep', value: money(verdict.fixedPerMonth), from: 'worked' },
                { name: 'Saved on one piece', value: money(verdict.savedEach / perMinor), from: 'worked' },
              ],
              result: breakEven === null ? 'never: nothing is saved' : `${breakEven} pieces a month`,
            }}
          />
          <Figure
            label="Paid back after"
            value={verdict.payBackMonths === null ? 'never' : verdict.payBackMonths}
            {...(verdict.payBackMonths === null
              ? {}
              : { unit: verdict.payBackMonths === 1 ? 'month' : 'months' })}
            working={{
              formula: 'price and interest ÷ (saved a month − upkeep), rounded up',
              inputs: [
                {
                  name: 'Price',
                  value: money(purchase.by === 'instalments' ? purchase.principal : purchase.price),
                  from: 'agreed',
                },
                { name: 'Interest', value: money(verdict.interest), from: 'worked' },
                {
                  name: 'Saved a month',
                  value: money((verdict.savedEach * asked.piecesPerMonth) / perMinor),
                  from: 'worked',
                },
                { name: 'Upkeep a month', value: money(asked.cost.upkeepPerMonth), from: 'agreed' },
              ],
              result: verdict.payBackMonths === null ? 'never' : `${verdict.payBackMonths} months`,
            }}
          />
          <Figure
            label="It costs a month"
            size="line"
            value={money(verdict.fixedPerMonth)}
            note="with upkeep"
          />
          <Figure label="Saved on one piece" size="line" value={money(verdict.savedEach / perMinor)} />
        </div>
      </Section>
      <Section title="A month either way">
        <LineChart
          title="Cost of a month by pieces"
          xLabel="pieces a month"
          yLabel={`${currency} a month`}
          formatY={n => formatMoney(minor(Math.round(n)), currency)}
          at={{ x: asked.piecesPerMonth, text: `as typed, ${asked.piecesPerMonth}` }}
          tableAt={[...new Set(table)].sort((a, b) => a - b)}
          lines={[
            {
              key: 'bought',
              name: 'Bought',
              points: places.map(x => ({ x, y: at(x).bought })),
            },
            { key: 'away', name: 'Sent out', points: places.map(x => ({ x, y: at(x).away })) },
          ]}
          crossings={
            breakEven
              ? [
                  {
                    x: breakEven,
                    y: at(breakEven).bought,
                    text: `Buying is cheaper from ${breakEven} pieces a month.`,
                  },
                ]
              : []
          }
        />
      </Section>
      {purchase.by === 'instalments' && (
        <Section title="The instalments">
          <DataTable
            caption="Every twelfth instalment, and the last"
            quietCaption
            rows={instalmentPlan(purchase.principal, purchase.yearRateBp, purchase.months).filter(
              (p, i, all) => i === 0 || p.period % 12 === 0 || i === all.length - 1,
            )}
            rowKey={p => String(p.period)}
            phone="scroll"
            columns={[
              { key: 'month', head: 'Month', rowHead: true, cell: p => p.period },
              { key: 'pay', head: 'To pay', numeric: true, cell: p => formatMoney(p.payment, currency) },
              {
                key: 'interest',
                head: 'Of it interest',
                numeric: true,
                cell: p => formatMoney(p.interest, currency),
              },
              { key: 'owed', head: 'Still owed', numeric: true, cell: p => formatMoney(p.owed, currency) },
            ]}
          />
        </Section>
      )}
    </>
  )
}

/** Months that are over which the machine is held against. */
const MONTHS = 12

/** What the machine would have saved in the months that are over, had it been here. */
async function RealMonths({
  asked,
  method,
  rates,
  currency,
}: {
  asked: Purchase
  method: MethodId
  rates: Rates
  currency: string
}) {
  const rows = await hadItBeenHere(asked, method, rates, currency, instantOf(new Date()), MONTHS)
  const show = (n: number) => formatMoney(minor(n), currency).replace('-', '−')
  const sum = (of: (r: (typeof rows)[number]) => number) => show(sumMinor(rows.map(r => minor(of(r)))))
  return (
    <Section title="Had it been here">
      <DataTable
        caption={`${METHOD_WORDS[method].name}: months that are over, the latest first`}
        rows={rows}
        rowKey={r => r.month}
        empty="No month is over yet."
        mark={r => (r.saved < 0 ? 'late' : undefined)}
        columns={[
          { key: 'month', head: 'Month', rowHead: true, cell: r => formatMonth(r.month), foot: 'All' },
          {
            key: 'pieces',
            head: 'Pieces really made',
            numeric: true,
            cell: r => r.pieces.toLocaleString('en'),
            foot: rows.reduce((a, r) => a + r.pieces, 0).toLocaleString('en'),
          },
          { key: 'here', head: 'Bought', numeric: true, cell: r => show(r.here), foot: sum(r => r.here) },
          { key: 'out', head: 'Sent out', numeric: true, cell: r => show(r.out), foot: sum(r => r.out) },
          { key: 'saved', head: 'Saved', numeric: true, cell: r => show(r.saved), foot: sum(r => r.saved) },
        ]}
      />
      <p>
        With the instalment or depreciation and the upkeep of each month, at the costs of one piece as typed
        above.
      </p>
    </Section>
  )
}
