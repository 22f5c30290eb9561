import type { Metadata } from 'next'
import Link from 'next/link'
import type { ReactNode } from 'react'
import { ButtonLink } from '@/app/parts/button'
import { DataTable } from '@/app/parts/data-table'
import { Facts } from '@/app/parts/facts'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Section } from '@/app/parts/section'
import { StateMark } from '@/app/parts/state-mark'
import { type Check, healthChecks } from '@/lib/server/health-checks'
import { requirePerson } from '@/lib/server/session'
import { type ShopHealth, shopHealth } from '@/lib/server/shop-health'
import { formatMoment, formatTime, instantOf } from '@/lib/units/time'
import { OfficeNav } from '../office-nav'
import { bytes } from '../show'
import { BrowserClock } from './browser-clock'

export const metadata: Metadata = { title: 'Health' }

const STATE_WORDS: Record<Check['state'], string> = { done: 'well', risk: 'watch it', late: 'see to it' }

/** How the shop's server is: one line for each thing that can go wrong with it, and what went wrong last. */
export default async function HealthPage() {
  await requirePerson('shop.change')
  const now = instantOf(new Date())
  const health = await shopHealth(now)
  const checks = healthChecks(health.facts, now)
  const { zone, faults } = health
  return (
    <RoomPage>
      <OfficeNav current="/office/health" />
      <PageHead
        title="Health"
        sense={senseOf(checks)}
        next={
          checks.some(c => c.about === 'Backup' && c.state === 'late') ? (
            <ButtonLink href="/office/backups">See to the backup</ButtonLink>
          ) : undefined
        }
      />
      <Section title="What was looked at">
        <DataTable
          caption="What was looked at just now"
          quietCaption
          rows={checks}
          rowKey={c => c.about}
          empty="Nothing."
          columns={[
            {
              key: 'about',
              head: 'What',
              rowHead: true,
              cell: c => (c.href ? <Link href={c.href}>{c.about}</Link> : c.about),
            },
            {
              key: 'state',
              head: 'How',
              cell: c => <StateMark state={c.state}>{STATE_WORDS[c.state]}</StateMark>,
            },
            {
              key: 'value',
              head: 'Where it stands',
              wrap: true,
              cell: c => <Value about={c.about} health={health} now={now} />,
            },
            { key: 'say', head: 'What that means', wrap: true, cell: c => c.say },
          ]}
        />
      </Section>
      <Section title="This server">
        <Facts items={serverFacts(health)} />
      </Section>
      <Section title="The last faults">
        <p>
          When something breaks, the page shows a code. It stands here, too, and in the server’s log with
          where in the program it happened. No line holds what people typed.
        </p>
        <DataTable
          caption="Faults, the latest first"
          quietCaption
          rows={faults.map((f, i) => ({ ...f, key: `${f.at} ${i}` }))}
          rowKey={f => f.key}
          empty="None was met."
          columns={[
            { key: 'at', head: 'When', cell: f => formatMoment(instantOf(new Date(f.at)), zone) },
            { key: 'code', head: 'Code', rowHead: true, cell: f => f.code ?? '–' },
            { key: 'doing', head: 'At', wrap: true, cell: f => f.doing },
            { key: 'text', head: 'What it said', wrap: true, cell: f => f.text || '–' },
          ]}
        />
      </Section>
    </RoomPage>
  )
}

function senseOf(checks: readonly Check[]): string {
  const of = (state: Check['state']) => checks.filter(c => c.state === state).map(c => c.about.toLowerCase())
  const [late, risk] = [of('late'), of('risk')]
  if (late.length) return `See to this now: ${late.join(', ')}.`
  return risk.length ? `The shop runs. Keep an eye on: ${risk.join(', ')}.` : 'All is well.'
}

/** The bare facts of one check. */
function Value({
  about,
  health,
  now,
}: {
  about: Check['about']
  health: ShopHealth
  now: number
}): ReactNode {
  const { facts, zone } = health
  const { backup, mail } = facts
  switch (about) {
    case 'Backup':
      if (!backup?.last) return '–'
      return (
        <>
          last {formatMoment(backup.last, zone)}
          {backup.check?.ok && `, checked again ${formatMoment(instantOf(new Date(backup.check.at)), zone)}`}
        </>
      )
    case 'Disk':
      return facts.free === null ? '–' : `${bytes(facts.free)} free`
    case 'Mail':
      return mail.sent === null
        ? (mail.server ?? '–')
        : `${mail.server ?? 'none'}, last ${formatMoment(mail.sent, zone)}`
    case 'Clock':
      return (
        <>
          {formatTime(instantOf(new Date(now)), zone)} in {zone} <BrowserClock />
        </>
      )
    case 'Faults': {
      const [last] = facts.faults
      return last === undefined ? '–' : `last ${formatMoment(last, zone)}`
    }
  }
}

const serverFacts = (h: ShopHealth): { name: string; value: ReactNode }[] => [
  { name: 'Version', value: `Shirtwright ${h.version}` },
  { name: 'Runs since', value: formatMoment(h.since, h.zone) },
  { name: 'Database', value: h.facts.database === null ? '–' : bytes(h.facts.database) },
  { name: 'Memory of the server', value: bytes(h.memory) },
  { name: 'Boards and stations open now', value: h.pages },
]
