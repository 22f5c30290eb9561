import type { Metadata } from 'next'
import Link from 'next/link'
import { Suspense } from 'react'
import { ButtonLink } from '@/app/parts/button'
import { DataTable } from '@/app/parts/data-table'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Section } from '@/app/parts/section'
import { StateMark } from '@/app/parts/state-mark'
import { CLEARANCE_WORDS, type ClearanceBasis } from '@/lib/artwork/clearance'
import { FINDING_WORDS } from '@/lib/artwork/finding-words'
import { type ArtworkUse, type ArtworkWithUses, keptMeasurements, listArtworks } from '@/lib/artwork/store'
import { formatPpi } from '@/lib/artwork/workings'
import { worstFirst } from '@/lib/artwork/worst-first'
import { OPEN_STATES } from '@/lib/orders/states'
import { mayDo } from '@/lib/server/rights'
import { requirePerson } from '@/lib/server/session'
import { PLACEMENT } from '@/lib/shop/placements'
import type { Rates } from '@/lib/shop/rates'
import { ratesAt, shop } from '@/lib/shop/store'
import { formatLength, mm } from '@/lib/units/measure'
import { formatDay, instantOf } from '@/lib/units/time'
import { ArtOnCloth } from './art-on-cloth'
import { measuredUse, measureForUse } from './desk'

export const metadata: Metadata = { title: 'Art desk' }

type Waiting = { artwork: ArtworkWithUses; use: ArtworkUse }

/** Art of the orders that are open, worst first. */
export default async function ArtDesk() {
  const person = await requirePerson('artwork.see')
  const [facts, rates, artworks] = await Promise.all([
    shop(),
    ratesAt(instantOf(new Date())),
    listArtworks({ orderStates: [...OPEN_STATES] }),
  ])
  const prints = artworks.flatMap(artwork =>
    artwork.uses
      .filter(use => (OPEN_STATES as readonly string[]).includes(use.orderState))
      .map((use): Waiting => ({ artwork, use })),
  )
  const measured = await keptMeasurements(
    prints.map(({ artwork, use }) => ({ artworkId: artwork.id, measure: measureForUse(use, rates) })),
  )
  const waiting = prints
    .map((w, i) => ({
      ...w,
      cleared: w.artwork.clearance !== null,
      severities: measured[i]?.findings.map(f => f.severity) ?? null,
      promiseAt: w.use.promiseAt?.getTime() ?? null,
    }))
    .sort(worstFirst)
  const uncleared = new Set(waiting.filter(w => !w.artwork.clearance).map(w => w.artwork.id)).size
  const first = waiting.find(w => !w.artwork.clearance)
  return (
    <RoomPage>
      <PageHead
        title="Art desk"
        sense={
          uncleared
            ? `${uncleared === 1 ? 'One artwork has' : `${uncleared} artworks have`} no recorded rights: nothing is printed from ${uncleared === 1 ? 'it' : 'them'} yet.`
            : waiting.length
              ? 'All artwork of the open orders may be sold.'
              : 'No artwork is waiting.'
        }
        more={
          <>
            <ButtonLink href="/artdesk/sheets">Sheets</ButtonLink>
            <ButtonLink href="/artdesk/inks">Inks</ButtonLink>
          </>
        }
        next={
          first &&
          mayDo(person, 'artwork.clear') && (
            <ButtonLink look="primary" href={`/artdesk/${first.artwork.id}`}>
              Record the rights in {first.artwork.name}
            </ButtonLink>
          )
        }
      />
      <Section title="On open orders" aside={`${waiting.length} prints`}>
        <DataTable
          caption="Artwork of the open orders"
          quietCaption
          rows={waiting}
          rowKey={w => w.use.printId}
          mark={w => (w.artwork.clearance ? undefined : 'risk')}
          empty="No open order has artwork: it comes in with an order at the counter."
          columns={[
            {
              key: 'picture',
              head: 'On its cloth',
              cell: w => <ArtOnCloth id={w.artwork.id} name={w.artwork.name} hex={w.use.colourHex} />,
            },
            {
              key: 'art',
              head: 'Artwork',
              rowHead: true,
              wrap: true,
              cell: w => <Link href={`/artdesk/${w.artwork.id}`}>{w.artwork.name}</Link>,
            },
            {
              key: 'order',
              head: 'Order',
              wrap: true,
              cell: w => (
                <>
                  <Link href={`/counter/orders/${w.use.orderNumber}`}>{w.use.orderNumber}</Link>{' '}
                  {w.use.customer}
                </>
              ),
            },
            {
              key: 'print',
              head: 'Print',
              wrap: true,
              cell: w =>
                `${PLACEMENT[w.use.placement as keyof typeof PLACEMENT]?.name ?? w.use.placement}, ${formatLength(mm(w.use.widthMm), facts.measures)} wide on ${w.use.colour} ${w.use.styleName}`,
            },
            {
              key: 'pixels',
              head: 'Pixels',
              wrap: true,
              cell: w => (
                <Suspense fallback="measuring …">
                  <Worst artwork={w.artwork} use={w.use} rates={rates} />
                </Suspense>
              ),
            },
            {
              key: 'rights',
              head: 'Rights',
              wrap: true,
              cell: w =>
                w.artwork.clearance ? (
                  <StateMark state="done">
                    {CLEARANCE_WORDS[w.artwork.clearance.basis as ClearanceBasis]?.name ?? 'cleared'}
                  </StateMark>
                ) : (
                  <StateMark state="risk">not recorded</StateMark>
                ),
            },
            {
              key: 'promise',
              head: 'Promised',
              cell: w =>
                w.use.promiseAt
                  ? formatDay(instantOf(w.use.promiseAt), facts.timeZone).replaceAll(' ', '\u00a0')
                  : '–',
            },
          ]}
        />
      </Section>
    </RoomPage>
  )
}

/** Resolution and the worst finding of one use; measured while the rest of the page is already there. */
async function Worst({ artwork, use, rates }: Waiting & { rates: Rates }) {
  const measured = await measuredUse(artwork.id, use, rates)
  if (!measured.ok) return <StateMark state="late">{measured.message}</StateMark>
  const [worst, ...others] = measured.value.findings.filter(f => f.severity !== 'note')
  const ppi = formatPpi(measured.value.print.ppi)
  if (!worst) return <>{ppi}</>
  const more = others.length ? ` and ${others.length} more` : ''
  return (
    <>
      {ppi}
      <br />
      <StateMark state={worst.severity === 'stop' ? 'late' : 'risk'}>
        {FINDING_WORDS[worst.code]}
        {more}
      </StateMark>
    </>
  )
}
