import type { Metadata } from 'next'
import { notFound } from 'next/navigation'
import { ActionForm } from '@/app/parts/action-form'
import { DataTable } from '@/app/parts/data-table'
import { Field } from '@/app/parts/field'
import { Figure } from '@/app/parts/figure'
import { LineChart } from '@/app/parts/line-chart'
import { MoneyField } from '@/app/parts/money-field'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Section } from '@/app/parts/section'
import { SelectField } from '@/app/parts/select-field'
import { SubmitButton } from '@/app/parts/submit-button'
import { TickField } from '@/app/parts/tick-field'
import { WhatHappened } from '@/app/what-happened'
import { standingAt } from '@/lib/books/machines/machine-month'
import { payBackOf } from '@/lib/books/machines/store'
import { instalmentPlan } from '@/lib/costing/loan'
import { purchasePerMonth } from '@/lib/costing/machine-hour'
import { historyOf } from '@/lib/server/history'
import { requirePerson } from '@/lib/server/session'
import { machineCostSchema, newestHours, weekSince } from '@/lib/shop/stations'
import { type StationRow, shop, stations, terms } from '@/lib/shop/store'
import { formatMoney, type Minor, minor, roundToMinor, sumMinor } from '@/lib/units/money'
import {
  dayOf,
  formatLongDay,
  formatMonth,
  type Instant,
  instant,
  instantOf,
  monthOf,
  nextMonth,
} from '@/lib/units/time'
import styles from '../../office.module.css'
import { stationAction } from '../../people/actions'
import { WeekFields } from '../../people/week-fields'
import { money, percent } from '../../show'

export const metadata: Metadata = { title: 'A machine' }

/** Changes a station: its bed, its hours, and what it costs from a day on. */
export default async function Machine({ params }: { params: Promise<{ code: string }> }) {
  const who = await requirePerson('rates.change')
  const code = decodeURIComponent((await params).code)
  const now = instantOf(new Date())
  const [facts, all] = await Promise.all([shop(), stations(now)])
  const { currency, timeZone } = facts
  const station = all.find(s => s.code === code)
  if (!station) notFound()
  const [set, past] = await Promise.all([terms('machine', station.id), historyOf('station', station.id, 50)])
  const [latest] = set
  const cost = latest ? machineCostSchema.nullable().parse(latest.data) : station.cost
  const paid = cost?.purchase
  // What is set already for a later day stands in the form: saved unchanged, it must count from that day.
  const newest = instant(Math.max(now, latest?.from ?? 0, weekSince(station.hours) ?? 0))
  return (
    <RoomPage narrow>
      <PageHead
        back={{ href: '/office/machines', label: 'Machines' }}
        title={station.name}
        sense="Hours that are booked keep the rate of their day."
      />
      <ActionForm key={station.version} action={stationAction.bind(null, code)} className={styles.whole}>
        <input type="hidden" name="version" value={station.version} />
        <Field name="name" label="Name" value={station.name} maxLength={80} required />
        <div className={styles.fields}>
          <Field
            name="bedWidthMm"
            label="Bed, width"
            value={station.bedWidthMm}
            unit="mm"
            size={11}
            required={false}
          />
          <Field
            name="bedHeightMm"
            label="Bed, height"
            value={station.bedHeightMm}
            unit="mm"
            size={11}
            required={false}
          />
          <Field name="heads" label="Heads" value={station.heads} size={3} required={false} />
        </div>
        <Section title="What it costs" small>
          <div className={styles.fields}>
            <SelectField
              name="paidBy"
              label="Paid for by"
              value={paid?.by ?? 'nothing'}
              options={[
                { value: 'nothing', label: 'nothing: it costs nothing to have' },
                { value: 'instalments', label: 'instalments' },
                { value: 'depreciation', label: 'its price, spread over its life' },
              ]}
            />
            <MoneyField
              name="price"
              label="Price, or borrowed"
              value={paid ? (paid.by === 'instalments' ? paid.principal : paid.price) : null}
              currency={currency}
              size={16}
              required={false}
            />
            <Field name="months" label="Over" value={paid?.months} unit="months" size={14} required={false} />
            <Field
              name="yearRate"
              label="Interest a year"
              value={paid?.by === 'instalments' ? paid.yearRateBp / 100 : null}
              unit="%"
              size={9}
              required={false}
            />
            <MoneyField
              name="salvage"
              label="Worth at the end"
              value={paid?.by === 'depreciation' ? paid.salvage : null}
              currency={currency}
              size={16}
              required={false}
            />
            <MoneyField
              name="upkeep"
              label="Upkeep a month"
              value={cost?.upkeepPerMonth ?? null}
              currency={currency}
              size={16}
              required={false}
            />
            <Field
              name="kilowatts"
              label="Draw at work"
              value={cost?.kilowatts}
              unit="kW"
              size={10}
              required={false}
            />
            <Field
              name="hours"
              label="Productive hours"
              value={cost?.productiveHoursPerMonth}
              unit="h a month"
              size={15}
              required={false}
            />
            <Field
              name="since"
              label="First instalment, or first in use"
              value={cost?.since}
              placeholder="2026-03"
              size={9}
              hint="Year and month: instalments left and pay-back are counted from it."
              required={false}
            />
            <Field
              name="from"
              label="New costs and hours count from"
              type="date"
              value={dayOf(newest, timeZone)}
              hint="Today means from now on."
              required
            />
          </div>
        </Section>
        <Section title="Hours it can be used" small>
          <WeekFields hours={newestHours(station.hours)} />
        </Section>
        <TickField
          name="retired"
          label="Out of use"
          note="It leaves the plan and the lists; its hours stay in the books."
        />
        <SubmitButton look="primary">Save</SubmitButton>
      </ActionForm>
      <PayBack station={station} now={now} currency={currency} />
      <Section title="Costs as they were set">
        <DataTable
          caption="The latest first"
          quietCaption
          rows={set.map((t, i) => ({ ...t, i, cost: machineCostSchema.nullable().parse(t.data) }))}
          rowKey={t => String(t.i)}
          empty="They are those it came with; they were never changed."
          columns={[
            { key: 'from', head: 'Count from', rowHead: true, cell: t => formatLongDay(t.from, timeZone) },
            {
              key: 'month',
              head: 'Purchase a month',
              numeric: true,
              cell: t =>
                t.cost ? formatMoney(roundToMinor(purchasePerMonth(t.cost.purchase)), currency) : 'nothing',
            },
            {
              key: 'upkeep',
              head: 'Upkeep a month',
              numeric: true,
              cell: t => (t.cost ? formatMoney(t.cost.upkeepPerMonth, currency) : '–'),
            },
            {
              key: 'hours',
              head: 'Hours a month',
              numeric: true,
              cell: t => t.cost?.productiveHoursPerMonth ?? '–',
            },
            { key: 'by', head: 'Set by', cell: t => t.byName },
          ]}
        />
      </Section>
      <WhatHappened about={station.name} lines={past} facts={facts} who={who} />
    </RoomPage>
  )
}

/** Instalments to the last, and what the machine has paid back of its price. */
async function PayBack({ station, now, currency }: { station: StationRow; now: Instant; currency: string }) {
  const found = await payBackOf(station, now)
  if (!found) return null
  const { purchase } = found.cost
  const show = (n: Minor) => money(n, currency)
  const { timeZone } = await shop()
  const standing = standingAt(purchase, found.first, monthOf(now, timeZone))
  const plan =
    purchase.by === 'instalments'
      ? instalmentPlan(purchase.principal, purchase.yearRateBp, purchase.months)
      : []
  const months = (
    <DataTable
      caption="Month by month, the latest first"
      quietCaption
      rows={[...found.months].reverse()}
      rowKey={m => m.month}
      columns={[
        { key: 'month', head: 'Month', rowHead: true, cell: m => formatMonth(m.month) },
        { key: 'carried', head: 'Margin it carried', numeric: true, cell: m => show(m.carried) },
        { key: 'running', head: 'Upkeep and power', numeric: true, cell: m => show(m.running) },
        { key: 'back', head: 'Paid back by then', numeric: true, cell: m => show(m.back) },
      ]}
    />
  )
  return (
    <>
      <Section title="Paid back so far">
        <div className={styles.figures}>
          <Figure
            label="Of its price"
            value={found.share === null ? '–' : percent(found.share)}
            tone={found.share !== null && found.share >= 1 ? 'done' : undefined}
            working={{
              formula: 'sum over the months: margin it carried − upkeep − power; ÷ its whole price',
              inputs: [
                {
                  name: 'Margin it carried',
                  value: show(sumMinor(found.months.map(m => m.carried))),
                  from: 'measured',
                  source:
                    'month end: the margin of its orders before machine cost, by its share of their machine time',
                },
                {
                  name: 'Upkeep and power',
                  value: show(sumMinor(found.months.map(m => m.running))),
                  from: 'worked',
                },
                {
                  name: purchase.by === 'instalments' ? 'Price with interest' : 'Price',
                  value: show(found.price),
                  from: 'setting',
                },
              ],
              result: found.share === null ? '–' : percent(found.share),
              note: 'A pay-back from margin leaves nothing yet for rent and the owner’s own pay beyond the wage.',
            }}
          />
          <Figure label="Paid back" value={show(found.back)} />
          <Figure label="Still to come" value={show(found.left)} />
          <Figure
            label={purchase.by === 'instalments' ? 'Instalments left' : 'Months of its life left'}
            value={`${standing.left} of ${standing.months}`}
            note={`${purchase.by === 'instalments' ? 'Still owed' : 'Still worth'} ${show(standing.rest)}; the last in ${formatMonth(standing.last)}.`}
          />
        </div>
        {found.months.length > 1 ? (
          <LineChart
            title="Paid back, month by month"
            xLabel={`months since ${formatMonth(found.first)}`}
            yLabel={currency}
            formatY={n => show(minor(Math.round(n))).replace(/[.,]00$/, '')}
            lines={[
              {
                key: 'back',
                name: 'Paid back',
                points: found.months.map((m, i) => ({ x: i + 1, y: m.back })),
              },
              {
                key: 'price',
                name: 'Its price',
                points: found.months.map((_, i) => ({ x: i + 1, y: found.price })),
              },
            ]}
            table={months}
          />
        ) : (
          months
        )}
      </Section>
      {plan.length > 0 && (
        <Section title="Its instalments">
          <details>
            <summary>
              All {plan.length}, to the last in {formatMonth(standing.last)}
            </summary>
            <DataTable
              caption="Instalments"
              quietCaption
              rows={plan}
              rowKey={p => String(p.period)}
              mark={p => (p.period === standing.done + 1 ? 'now' : undefined)}
              columns={[
                {
                  key: 'month',
                  head: 'Month',
                  rowHead: true,
                  cell: p => formatMonth(nextMonth(found.first, p.period - 1)),
                },
                { key: 'pay', head: 'To pay', numeric: true, cell: p => show(p.payment) },
                { key: 'interest', head: 'Of it interest', numeric: true, cell: p => show(p.interest) },
                { key: 'owed', head: 'Still owed', numeric: true, cell: p => show(p.owed) },
              ]}
            />
          </details>
        </Section>
      )}
    </>
  )
}
