import type { Metadata } from 'next'
import Link from 'next/link'
import { ActionForm } from '@/app/parts/action-form'
import { ButtonLink } from '@/app/parts/button'
import { DataTable } from '@/app/parts/data-table'
import { EmptyState } from '@/app/parts/empty-state'
import { Field } from '@/app/parts/field'
import { PageHead } from '@/app/parts/page-head'
import { Pager } from '@/app/parts/pager'
import { RoomPage } from '@/app/parts/room-page'
import { Row } from '@/app/parts/row'
import { Section } from '@/app/parts/section'
import { SelectField } from '@/app/parts/select-field'
import { StateMark } from '@/app/parts/state-mark'
import { SubmitButton } from '@/app/parts/submit-button'
import { WhatHappened } from '@/app/what-happened'
import { printedDesigns, screensOnShelf } from '@/lib/methods/store'
import { historyOf } from '@/lib/server/history'
import { mayDo } from '@/lib/server/rights'
import { requirePerson } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import { FRAMES_SHOWN, type FrameKind, frameKinds, listFrames } from '@/lib/stock/frames/store'
import { listFilter } from '@/lib/stock/input'
import { formatDay, formatMoment } from '@/lib/units/time'
import { itemHref } from '../show'
import { StockNav } from '../stock-nav'
import { burnByHandAction, dropScreensAction, keepScreensAction, numberFramesAction } from './actions'
import { sizeWords } from './size-words'

export const metadata: Metadata = { title: 'Screens' }

/** Screens that were kept after a job, which a repeat order need not make again; and every frame with what is burnt on it. */
export default async function Screens({
  searchParams,
}: {
  searchParams: Promise<Record<string, string | string[] | undefined>>
}) {
  const person = await requirePerson('stock.see')
  const page = listFilter.parse(await searchParams).page ?? 1
  const [rows, designs, facts, { frames, total }, kinds, past] = await Promise.all([
    screensOnShelf(),
    printedDesigns(),
    shop(),
    listFrames(page),
    frameKinds(),
    historyOf('screens', null, 30),
  ])
  const may = mayDo(person, 'stock.move')
  const chosen = (d: { artworkId: string; artwork: string; widthMm: number; heightMm: number }) => ({
    value: `${d.artworkId} ${d.widthMm} ${d.heightMm}`,
    label: `${d.artwork}, ${sizeWords(d, facts.measures)}`,
  })
  const unnumbered = kinds.filter(k => k.onHand > k.numbered)
  return (
    <RoomPage>
      <StockNav current="/stockroom/screens" />
      <PageHead title="Screens" sense="What is kept for a repeat, and what is burnt on every frame." />
      <Section title="On the shelf">
        <p>A repeat of the same design at the same size costs no new screens, and is ready sooner.</p>
        <DataTable
          caption="Designs whose screens are kept"
          quietCaption
          rows={rows}
          rowKey={r => r.id}
          empty="No screens are kept: below, put those on the shelf that will be wanted again."
          columns={[
            {
              key: 'art',
              head: 'Design',
              rowHead: true,
              wrap: true,
              cell: r => <Link href={`/artdesk/${r.artworkId}`}>{r.artwork}</Link>,
            },
            { key: 'size', head: 'Size', cell: r => sizeWords(r, facts.measures) },
            { key: 'screens', head: 'Screens', numeric: true, cell: r => r.screens },
            {
              key: 'used',
              head: 'Used since',
              wrap: true,
              cell: r =>
                r.lastOrder === null ? (
                  'not yet'
                ) : (
                  <>
                    {r.orders} {r.orders === 1 ? 'order' : 'orders'}, {r.pieces.toLocaleString('en')} pieces;
                    last <Link href={`/counter/orders/${r.lastOrder}`}>{r.lastOrder}</Link>
                  </>
                ),
            },
            {
              key: 'frames',
              head: 'On frames',
              wrap: true,
              cell: r =>
                r.frames.length === 0
                  ? '–'
                  : r.frames.map((n, i) => (
                      <span key={n}>
                        {i > 0 && ', '}
                        <Link href={`/stockroom/screens/${n}`}>{n}</Link>
                      </span>
                    )),
            },
            { key: 'place', head: 'Where', wrap: true, cell: r => r.place || '–' },
            {
              key: 'since',
              head: 'Since',
              cell: r => `${r.byName}, ${formatMoment(r.keptAt, facts.timeZone)}`,
              spare: true,
            },
            ...(may
              ? [
                  {
                    key: 'drop',
                    head: 'Off the shelf',
                    cell: (r: (typeof rows)[number]) => (
                      <ActionForm
                        action={dropScreensAction.bind(null, r.id)}
                        label={`Screens of ${r.artwork}, ${sizeWords(r, facts.measures)}`}
                      >
                        <SubmitButton look="plain" size="small">
                          Reclaimed
                        </SubmitButton>
                      </ActionForm>
                    ),
                  },
                ]
              : []),
          ]}
        />
      </Section>
      {may && designs.length > 0 && (
        <Section title="Keep the screens of a job">
          <ActionForm action={keepScreensAction} label="Keep the screens of a job" clear>
            <Row align="top">
              <SelectField
                name="design"
                label="Design"
                empty="choose what was printed"
                required
                options={designs.map(chosen)}
              />
              <Field
                name="screens"
                label="Screens"
                size={5}
                inputMode="numeric"
                required
                hint="The underbase too."
              />
              <Field name="place" label="Where they stand" required={false} maxLength={60} />
            </Row>
            <SubmitButton look="plain">Put them on the shelf</SubmitButton>
          </ActionForm>
        </Section>
      )}
      <Section title="Frames">
        {kinds.length === 0 ? (
          <EmptyState
            title="No frames yet"
            action={
              mayDo(person, 'stock.buy') && <ButtonLink href="/stockroom/items/new">New item</ButtonLink>
            }
          >
            Add the frames as an item of kind “screens”, counted in pieces, and count them: then each gets its
            number here.
          </EmptyState>
        ) : (
          <DataTable
            caption="What the stock book has of each kind"
            quietCaption
            rows={kinds}
            rowKey={k => k.sku}
            columns={[
              {
                key: 'kind',
                head: 'Frame',
                rowHead: true,
                wrap: true,
                cell: k => <Link href={itemHref(k.sku)}>{k.name}</Link>,
              },
              { key: 'onHand', head: 'On hand', numeric: true, cell: k => k.onHand },
              { key: 'carrying', head: 'Carry a screen', numeric: true, cell: k => k.carrying },
              { key: 'free', head: 'Free', numeric: true, cell: k => k.onHand - k.carrying },
              { key: 'numbered', head: 'With a number', cell: k => <Numbered kind={k} /> },
            ]}
          />
        )}
        {may &&
          unnumbered.map(k => (
            <ActionForm
              key={k.sku}
              action={numberFramesAction.bind(null, k.sku)}
              label={`Number frames: ${k.name}`}
              clear
            >
              <Row align="foot">
                <Field
                  name="many"
                  label={`How many of ${k.name} to number`}
                  value={String(k.onHand - k.numbered)}
                  size={4}
                  inputMode="numeric"
                  required
                />
                <SubmitButton look="plain">Give them numbers</SubmitButton>
              </Row>
            </ActionForm>
          ))}
        {total > 0 && (
          <Section title="Frame by frame" level={3}>
            <DataTable
              caption="Frame by frame"
              quietCaption
              rows={frames}
              rowKey={f => f.id}
              columns={[
                {
                  key: 'number',
                  head: 'Frame',
                  rowHead: true,
                  cell: f => <Link href={`/stockroom/screens/${f.number}`}>{f.number}</Link>,
                },
                {
                  key: 'now',
                  head: 'On it now',
                  wrap: true,
                  cell: f =>
                    f.now === null ? (
                      <StateMark state="done">free</StateMark>
                    ) : (
                      <>
                        <Link href={`/artdesk/${f.now.artworkId}`}>{f.now.artwork}</Link>,{' '}
                        {sizeWords(f.now, facts.measures)}, screen {f.now.part}
                        {f.now.burntAt === null && ' (not burnt yet)'}
                        {f.now.kept && ' (kept)'}
                      </>
                    ),
                },
                {
                  key: 'since',
                  head: 'Since',
                  cell: f => (f.now ? formatDay(f.now.burntAt ?? f.now.takenAt, facts.timeZone) : '–'),
                  spare: true,
                },
                { key: 'burnt', head: 'Burnt', numeric: true, cell: f => `${f.burnt} ×` },
                { key: 'reclaimed', head: 'Reclaimed', numeric: true, cell: f => `${f.reclaimed} ×` },
                { key: 'kind', head: 'Kind', wrap: true, cell: f => f.itemName, spare: true },
              ]}
            />
          </Section>
        )}
        <Pager
          page={page}
          size={FRAMES_SHOWN}
          total={total}
          href={to => `/stockroom/screens?page=${to}`}
          what="frames"
        />
      </Section>
      {may && total > 0 && designs.length + rows.length > 0 && (
        <Section title="Burnt by hand">
          <p>Work that is reported at the bench notes its frames by itself. This is for all other.</p>
          <ActionForm action={burnByHandAction} label="Burnt by hand" clear>
            <Row align="top">
              <SelectField
                name="design"
                label="What is burnt"
                empty="choose what was printed"
                required
                options={[...rows, ...designs].map(chosen)}
              />
              <Field
                name="frames"
                label="On frames"
                size={12}
                maxLength={200}
                required
                hint="Their numbers: 3, 4, 7."
              />
            </Row>
            <SubmitButton look="plain">Note it</SubmitButton>
          </ActionForm>
        </Section>
      )}
      {past.length > 0 && <WhatHappened about="kept screens" lines={past} facts={facts} who={person} />}
    </RoomPage>
  )
}

function Numbered({ kind: { onHand, numbered } }: { kind: FrameKind }) {
  if (numbered > onHand)
    return (
      <StateMark state="risk">
        {numbered}: {numbered - onHand} more than the book has. Say which are gone, or count them.
      </StateMark>
    )
  return numbered === onHand ? 'all' : `${numbered} of ${onHand}`
}
