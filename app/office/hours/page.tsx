import type { Metadata } from 'next'
import Link from 'next/link'
import { ActionForm } from '@/app/parts/action-form'
import { DataTable } from '@/app/parts/data-table'
import { Field } from '@/app/parts/field'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Section } from '@/app/parts/section'
import { SelectField } from '@/app/parts/select-field'
import { SubmitButton } from '@/app/parts/submit-button'
import { requirePerson } from '@/lib/server/session'
import type { Closed } from '@/lib/shop/crew'
import { hoursAt, type WeekHours } from '@/lib/shop/stations'
import { crew, shop, stations } from '@/lib/shop/store'
import { weekWords } from '@/lib/shop/week-text'
import { dayOf, formatDay, type Instant, instantOf } from '@/lib/units/time'
import styles from '../office.module.css'
import { OfficeNav } from '../office-nav'
import { closureAction, reopenAction } from '../people/actions'

export const metadata: Metadata = { title: 'Hours' }

/** When who and what works, with holidays and repairs. */
export default async function Hours() {
  await requirePerson('people.change')
  const now = instantOf(new Date())
  const [{ timeZone }, machines, people] = await Promise.all([shop(), stations(), crew()])
  const everything = [
    ...machines.map(m => ({ ...m, href: `/office/machines/${encodeURIComponent(m.code)}` })),
    ...people.map(p => ({ ...p, href: `/office/people/${p.id}` })),
  ]
  const closures = new Map<string, { span: Closed; names: string[] }>()
  for (const one of everything)
    for (const span of one.closed) {
      const key = `${span.from} ${span.to} ${span.why}`
      const known = closures.get(key) ?? { span, names: [] }
      known.names.push(one.name)
      closures.set(key, known)
    }
  const rows = [...closures]
    .map(([key, c]) => ({ key, ...c }))
    .sort((a, b) => b.span.from.localeCompare(a.span.from))
  const day = (iso: string, back = 0) => formatDay((Date.parse(iso) - back) as Instant, timeZone)
  const today = dayOf(now, timeZone)
  const week = (hours: WeekHours) => {
    const next = [...new Set(hours.flatMap(h => [h.since ?? 0, h.until ?? 0]))]
      .filter(at => at > now)
      .sort((a, b) => a - b)
    return [
      weekWords(hoursAt(hours, now)),
      ...next.map(
        at => `from ${formatDay(at as Instant, timeZone)}: ${weekWords(hoursAt(hours, at as Instant))}`,
      ),
    ].join('; ')
  }
  return (
    <RoomPage>
      <OfficeNav current="/office/hours" />
      <PageHead
        title="Hours"
        sense="When everybody and everything works, with holidays and repairs. The plan follows."
      />
      <Section title="Close for some days">
        <ActionForm action={closureAction} label="Close for some days" clear>
          <div className={styles.fields}>
            <SelectField
              name="whom"
              label="Who or what"
              value="all"
              options={[
                { value: 'all', label: 'the whole shop' },
                ...people.map(p => ({ value: `crew:${p.id}`, label: p.name, group: 'People' })),
                ...machines.map(m => ({ value: `station:${m.id}`, label: m.name, group: 'Stations' })),
              ]}
            />
            <Field name="from" label="First day" type="date" value={today} required />
            <Field name="to" label="Last day" type="date" value={today} required />
            <Field name="why" label="Why" maxLength={200} hint="Holiday, repair, a fair." required />
          </div>
          <SubmitButton look="primary">Close</SubmitButton>
        </ActionForm>
      </Section>
      <Section title="Closures and holidays">
        <DataTable
          caption="The latest first"
          quietCaption
          rows={rows}
          rowKey={r => r.key}
          empty="Nothing is closed."
          columns={[
            {
              key: 'when',
              head: 'When',
              rowHead: true,
              cell: r => `${day(r.span.from)} to ${day(r.span.to, 1)}`,
            },
            { key: 'why', head: 'Why', wrap: true, cell: r => r.span.why },
            {
              key: 'who',
              head: 'Who or what',
              wrap: true,
              cell: r => (r.names.length === everything.length ? 'the whole shop' : r.names.join(', ')),
            },
            {
              key: 'back',
              head: '',
              cell: r =>
                Date.parse(r.span.to) <= now ? (
                  'over'
                ) : (
                  <ActionForm action={reopenAction.bind(null, r.span)} label={`Take back: ${r.span.why}`}>
                    <SubmitButton size="small">Take back</SubmitButton>
                  </ActionForm>
                ),
            },
          ]}
        />
      </Section>
      <Section title="The week">
        <DataTable
          caption="Stations, then people"
          quietCaption
          rows={everything}
          rowKey={r => r.id}
          columns={[
            {
              key: 'name',
              head: 'Name',
              rowHead: true,
              wrap: true,
              cell: r => <Link href={r.href}>{r.name}</Link>,
            },
            { key: 'hours', head: 'Hours', wrap: true, cell: r => week(r.hours) },
          ]}
        />
      </Section>
    </RoomPage>
  )
}
