import type { Metadata } from 'next'
import Link from 'next/link'
import { notFound } from 'next/navigation'
import { ActionForm } from '@/app/parts/action-form'
import { DataTable } from '@/app/parts/data-table'
import { Field } from '@/app/parts/field'
import { Figure } from '@/app/parts/figure'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Stack } from '@/app/parts/row'
import { Section } from '@/app/parts/section'
import { StateMark } from '@/app/parts/state-mark'
import { SubmitButton } from '@/app/parts/submit-button'
import { WhatHappened } from '@/app/what-happened'
import { historyOf } from '@/lib/server/history'
import { mayDo } from '@/lib/server/rights'
import { requirePerson } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import { type FrameUseLine, findFrame } from '@/lib/stock/frames/store'
import { formatDay, formatPast } from '@/lib/units/time'
import { itemHref } from '../../show'
import { StockNav } from '../../stock-nav'
import styles from '../../stockroom.module.css'
import { frameGoneAction, moveFrameAction, reclaimFrameAction } from '../actions'
import { sizeWords } from '../size-words'

type Props = { params: Promise<{ number: string }> }

export async function generateMetadata({ params }: Props): Promise<Metadata> {
  return { title: `Frame ${decodeURIComponent((await params).number).slice(0, 10)}` }
}

const OUTCOME: Record<FrameUseLine['outcome'], string> = {
  reclaimed: 'reclaimed',
  broken: 'gone with the frame',
  undone: 'taken back: it was not this frame, or not burnt',
  '': 'on it now',
}

/** One frame: what is on it, how often it was burnt, and what was on it before. */
export default async function Frame({ params }: Props) {
  const person = await requirePerson('stock.see')
  const { number } = await params
  const found = /^[1-9]\d{0,3}$/.test(number) ? await findFrame(Number(number)) : null
  if (!found) notFound()
  const { frame, uses } = found
  const [facts, past] = await Promise.all([shop(), historyOf('screens', frame.id, 30)])
  const may = mayDo(person, 'stock.move') && frame.goneAt === null
  const { now } = frame
  const day = (at: typeof frame.addedAt) => formatDay(at, facts.timeZone)
  return (
    <RoomPage>
      <StockNav current="/stockroom/screens" />
      <PageHead
        back={{ href: '/stockroom/screens', label: 'Screens' }}
        title={`Frame ${frame.number}`}
        sense={
          now
            ? `${now.artwork}, ${sizeWords(now, facts.measures)}, screen ${now.part}${now.orderNumber ? `, for order ${now.orderNumber}` : ''}.`
            : 'Nothing is on it.'
        }
        mark={
          frame.goneAt ? (
            <StateMark state="late">gone since {day(frame.goneAt)}</StateMark>
          ) : now === null ? (
            <StateMark state="done">free</StateMark>
          ) : now.kept ? (
            <StateMark state="ready">kept for a repeat</StateMark>
          ) : now.burntAt === null ? (
            <StateMark state="risk">taken, not burnt yet</StateMark>
          ) : (
            <StateMark state="making">burnt</StateMark>
          )
        }
      />
      <Stack>
        <p>
          One of <Link href={itemHref(frame.sku)}>{frame.itemName}</Link>
          {now && (
            <>
              ; on it is <Link href={`/artdesk/${now.artworkId}`}>{now.artwork}</Link>
            </>
          )}
          {now?.orderNumber && (
            <>
              {' '}
              for <Link href={`/counter/orders/${now.orderNumber}`}>order {now.orderNumber}</Link>
            </>
          )}
          .
        </p>
        <div className={styles.figures}>
          <Figure label="Burnt" value={`${frame.burnt} ×`} />
          <Figure label="Reclaimed" value={`${frame.reclaimed} ×`} />
          <Figure label="Number since" value={day(frame.addedAt)} />
        </div>
      </Stack>
      {may && (
        <div className={styles.forms}>
          {now && !now.kept && (
            <Section title="Free again">
              <ActionForm action={reclaimFrameAction.bind(null, frame.number)} label="Free again">
                <SubmitButton look="plain">
                  {now.burntAt === null ? 'It was not burnt' : 'Reclaimed'}
                </SubmitButton>
              </ActionForm>
            </Section>
          )}
          {now?.kept && (
            <Section title="Free again">
              <p>
                It is one of a set that is kept:{' '}
                <Link href="/stockroom/screens">take the set off the shelf</Link>.
              </p>
            </Section>
          )}
          {now && (
            <Section title="It was another frame">
              <ActionForm action={moveFrameAction.bind(null, frame.number)} label="It was another frame">
                <Field name="to" label="It is on frame" size={5} inputMode="numeric" required />
                <SubmitButton look="plain">Put it right</SubmitButton>
              </ActionForm>
            </Section>
          )}
          <Section title="Torn, broken, given away">
            <ActionForm action={frameGoneAction.bind(null, frame.number)} label="Torn, broken, given away">
              <Field
                name="why"
                label="What happened"
                maxLength={200}
                required
                hint="It is taken off the stock book, too."
              />
              <SubmitButton look="plain">It is gone</SubmitButton>
            </ActionForm>
          </Section>
        </div>
      )}
      <Section title="What was on it">
        <DataTable
          caption="Every screen that was on this frame, newest first"
          quietCaption
          rows={uses}
          rowKey={u => u.id}
          empty="Nothing yet."
          columns={[
            {
              key: 'art',
              head: 'Design',
              rowHead: true,
              wrap: true,
              cell: u => (
                <>
                  <Link href={`/artdesk/${u.artworkId}`}>{u.artwork}</Link>, {sizeWords(u, facts.measures)},
                  screen {u.part}
                </>
              ),
            },
            {
              key: 'order',
              head: 'Order',
              cell: u =>
                u.orderNumber ? (
                  <Link href={`/counter/orders/${u.orderNumber}`}>{u.orderNumber}</Link>
                ) : (
                  'by hand'
                ),
            },
            {
              key: 'burnt',
              head: 'Burnt',
              wrap: true,
              cell: u =>
                u.burntAt === null ? 'not burnt' : `${formatPast(u.burntAt, facts.timeZone)}, ${u.takenBy}`,
            },
            {
              key: 'off',
              head: 'Off again',
              wrap: true,
              cell: u =>
                u.endedAt === null
                  ? OUTCOME['']
                  : `${OUTCOME[u.outcome]}, ${formatPast(u.endedAt, facts.timeZone)}, ${u.endedBy}`,
            },
          ]}
        />
      </Section>
      {past.length > 0 && <WhatHappened about="this frame" lines={past} facts={facts} who={person} />}
    </RoomPage>
  )
}
