import type { Metadata } from 'next'
import Link from 'next/link'
import { ActionForm } from '@/app/parts/action-form'
import { Choices } from '@/app/parts/choices'
import { DataTable } from '@/app/parts/data-table'
import { Live } from '@/app/parts/live'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Section } from '@/app/parts/section'
import { SubmitButton } from '@/app/parts/submit-button'
import { FIRST_CHECK_WORDS, FIRST_CHECKS } from '@/lib/floor/reports'
import { stateWords } from '@/lib/floor/state-words'
import { sharedBoard } from '@/lib/floor/views/store'
import { mayDo } from '@/lib/server/rights'
import { requirePerson } from '@/lib/server/session'
import { STATION_WORDS } from '@/lib/shop/stations'
import { shop } from '@/lib/shop/store'
import { dayOf, formatTime, instantOf } from '@/lib/units/time'
import { firstPieceAction } from '../actions'
import { FloorNav } from '../floor-nav'
import styles from './stations.module.css'

export const metadata: Metadata = { title: 'Stations' }

/** Where do I stand? Each station with what runs and what comes. */
export default async function Stations() {
  const person = await requirePerson('floor.see')
  const facts = await shop()
  const now = instantOf(new Date())
  const board = await sharedBoard(dayOf(now, facts.timeZone), false, now)
  return (
    <RoomPage>
      <Live topics={['floor', 'plan', 'orders', 'shop']} />
      <FloorNav current="/floor/stations" />
      <PageHead title="Stations" sense="Choose the one you stand at." />
      <DataTable
        caption="Stations with what runs and what comes next"
        quietCaption
        rows={board.stations}
        rowKey={s => s.station.id}
        mark={s => (s.runs.some(r => r.state === 'running') ? 'now' : undefined)}
        empty="No stations yet: they are put up in the office."
        columns={[
          {
            key: 'station',
            head: 'Station',
            rowHead: true,
            cell: s => (
              <Link className={styles.station} href={`/floor/stations/${s.station.code}`}>
                {s.station.name}
              </Link>
            ),
          },
          {
            key: 'kind',
            head: 'Kind',
            spare: true,
            cell: s => STATION_WORDS[s.station.kind].name,
          },
          { key: 'state', head: 'Stands at', cell: s => stateWords(s.station.state, facts.measures) ?? '–' },
          {
            key: 'now',
            head: 'Now',
            wrap: true,
            cell: s => {
              const run = s.runs.find(r => r.state === 'running')
              return run ? `${run.number}: ${run.title}` : 'free'
            },
          },
          {
            key: 'next',
            head: 'Next today',
            wrap: true,
            cell: s => {
              const run = s.runs.find(r => r.state === 'waiting')
              return run ? `${formatTime(run.workAt, board.zone)}, ${run.number}: ${run.title}` : '–'
            },
          },
        ]}
      />
      {mayDo(person, 'shop.change') && (
        <Section title="Before the first piece">
          <ActionForm action={firstPieceAction} label="Before the first piece">
            <Choices
              name="wanted"
              label="Before a run is started, somebody looks and ticks"
              value={facts.firstPiece ? 'yes' : 'no'}
              options={[
                {
                  value: 'yes',
                  label: 'A short check',
                  note: `${FIRST_CHECKS.map(c => FIRST_CHECK_WORDS[c]).join('; ')}: what fits the step.`,
                },
                { value: 'no', label: 'Nothing: Start is one touch' },
              ]}
            />
            <SubmitButton look="plain">Change it</SubmitButton>
          </ActionForm>
        </Section>
      )}
    </RoomPage>
  )
}
