import type { Metadata } from 'next'
import Link from 'next/link'
import { notFound } from 'next/navigation'
import { z } from 'zod'
import { ActionForm } from '@/app/parts/action-form'
import { Choices } from '@/app/parts/choices'
import { DataTable } from '@/app/parts/data-table'
import { DrawnGarment } from '@/app/parts/drawn-garment'
import { Figure } from '@/app/parts/figure'
import { Notice } from '@/app/parts/notice'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Row, Stack } from '@/app/parts/row'
import { Section } from '@/app/parts/section'
import { StateMark } from '@/app/parts/state-mark'
import { SubmitButton } from '@/app/parts/submit-button'
import { TextArea } from '@/app/parts/text-area'
import { WhatHappened } from '@/app/what-happened'
import { CLEARANCE_BASES, CLEARANCE_WORDS, type ClearanceBasis, RIGHTS_NOTE } from '@/lib/artwork/clearance'
import { placedWarnings } from '@/lib/artwork/print-sizes'
import {
  type ArtworkUse,
  type ArtworkWithUses,
  earlierPrints,
  getArtworkWithUses,
  sameArt,
} from '@/lib/artwork/store'
import { areaWorking, formatPpi, formatShare, patchWorking, resolutionWorking } from '@/lib/artwork/workings'
import { historyOf } from '@/lib/server/history'
import { mayDo } from '@/lib/server/rights'
import { requirePerson } from '@/lib/server/session'
import { type BlankKind, outlineOf, type Size } from '@/lib/shop/blanks'
import { METHOD_WORDS } from '@/lib/shop/methods'
import { PLACEMENT, placementSchema } from '@/lib/shop/placements'
import type { Rates } from '@/lib/shop/rates'
import { ratesAt, type ShopFacts, type StationRow, shop, stations } from '@/lib/shop/store'
import { cm2, formatArea, formatLength, mm } from '@/lib/units/measure'
import { formatMoment, instant, instantOf } from '@/lib/units/time'
import { clearAction } from '../actions'
import { ArtOnCloth } from '../art-on-cloth'
import styles from '../artdesk.module.css'
import { Breathe, KeptVersions } from '../breathe'
import { measuredUse, methodOf } from '../desk'
import { EarlierPrints } from '../earlier'
import { Findings } from '../findings'
import { ProductionFiles } from '../production-files'

type Address = { params: Promise<{ id: string }> }

const find = async (params: Address['params']) => {
  const id = z.uuid().safeParse((await params).id)
  return id.success ? getArtworkWithUses(id.data) : null
}

export async function generateMetadata({ params }: Address): Promise<Metadata> {
  return { title: (await find(params))?.name ?? 'Artwork' }
}

/** One artwork: what its pixels say where it is used, and on what basis it may be sold. */
export default async function ArtworkPage({ params }: Address) {
  const person = await requirePerson('artwork.see')
  const artwork = await find(params)
  if (!artwork) notFound()
  const [facts, rates, machines, history, earlier, alike] = await Promise.all([
    shop(),
    ratesAt(instantOf(new Date())),
    stations(),
    historyOf('artwork', artwork.id, 30),
    earlierPrints(artwork),
    sameArt(artwork),
  ])
  const uses = distinct(artwork.uses)
  return (
    <RoomPage
      side={<Rights artwork={artwork} mayClear={mayDo(person, 'artwork.clear')} zone={facts.timeZone} />}
      sideLabel="Rights in this artwork"
    >
      <PageHead
        title={artwork.name}
        back={{ href: '/artdesk', label: 'Art desk' }}
        mark={
          artwork.clearance ? (
            <StateMark state="done">may be sold</StateMark>
          ) : (
            <StateMark state="risk">rights not recorded</StateMark>
          )
        }
        sense={`${artwork.widthPx} × ${artwork.heightPx} pixels, ${(artwork.bytes / 1e6).toFixed(1)} MB, ${artwork.alpha ? 'with transparency' : 'no transparency'}, came in ${formatMoment(instantOf(artwork.createdAt), facts.timeZone)} by ${artwork.byName}`}
      />
      {alike.others.length > 0 && (
        <Notice kind="info" title="The same art is here in another file">
          {alike.others.slice(0, 3).map((o, i) => (
            <span key={o.id}>
              {i > 0 && ', '}
              <Link href={`/artdesk/${o.id}`}>{o.name}</Link>
            </span>
          ))}
          . How it was printed stands under <a href="#earlier">Printed before</a>; rights recorded there do
          not count for this file.
        </Notice>
      )}
      {uses.length === 0 && (
        <Stack>
          <ArtOnCloth id={artwork.id} name={artwork.name} hex="#d8d2c6" large />
          <Notice>It is on no order yet, so there is no printed size to measure it for.</Notice>
        </Stack>
      )}
      {uses.map(use => (
        <Use
          key={use.printId}
          artwork={artwork}
          use={use}
          facts={facts}
          rates={rates}
          machines={machines}
          mayChange={mayDo(person, 'artwork.change')}
        />
      ))}
      {artwork.versions.length > 0 && (
        <Section title="Kept versions">
          <KeptVersions artwork={artwork} zone={facts.timeZone} />
        </Section>
      )}
      {artwork.uses.length > 0 && (
        <Section title="Production files" id="files">
          <ProductionFiles
            artwork={artwork}
            rates={rates}
            measures={facts.measures}
            mayChange={mayDo(person, 'artwork.change')}
          />
        </Section>
      )}
      {artwork.uses.length > 0 && (
        <Section title="Where it was used">
          <DataTable
            caption="Orders with this artwork"
            quietCaption
            rows={artwork.uses}
            rowKey={u => u.printId}
            columns={[
              {
                key: 'order',
                head: 'Order',
                rowHead: true,
                cell: u => <Link href={`/counter/orders/${u.orderNumber}`}>{u.orderNumber}</Link>,
              },
              { key: 'customer', head: 'Customer', wrap: true, cell: u => u.customer },
              {
                key: 'method',
                head: 'Method',
                cell: u => (u.method ? METHOD_WORDS[methodOf(u)].name : 'not chosen'),
              },
              {
                key: 'size',
                head: 'Size',
                numeric: true,
                cell: u => formatLength(mm(u.widthMm), facts.measures),
              },
              { key: 'pieces', head: 'Pieces', numeric: true, cell: u => u.pieces },
              { key: 'state', head: 'State', cell: u => <StateMark state={u.orderState as never} /> },
            ]}
          />
        </Section>
      )}
      {earlier.length > 0 && (
        <Section title="Printed before" id="earlier">
          <EarlierPrints prints={earlier} measures={facts.measures} zone={facts.timeZone} />
        </Section>
      )}
      <WhatHappened about="this artwork" lines={history} facts={facts} who={person} />
    </RoomPage>
  )
}

/** Uses that differ in size, cloth or method: measuring the same twice tells nothing new. At most six. */
function distinct(uses: readonly ArtworkUse[]): ArtworkUse[] {
  const seen = new Map<string, ArtworkUse>()
  for (const use of uses) {
    const key = [use.widthMm, use.heightMm, use.colourHex, methodOf(use), use.kind, use.placement].join('|')
    if (!seen.has(key)) seen.set(key, use)
  }
  return [...seen.values()].slice(0, 6)
}

/** One use: the garment to scale, the figures, what the pixels say. */
async function Use({
  artwork,
  use,
  facts,
  rates,
  machines,
  mayChange,
}: {
  artwork: ArtworkWithUses
  use: ArtworkUse
  facts: ShopFacts
  rates: Rates
  machines: readonly StationRow[]
  mayChange: boolean
}) {
  const measured = await measuredUse(artwork.id, use, rates)
  const placement = PLACEMENT[use.placement as keyof typeof PLACEMENT]
  const place = placementSchema.safeParse(use.placement)
  const warnings = place.success
    ? placedWarnings(
        { ...use, placement: place.data },
        use.rules,
        use.kind as BlankKind,
        use.sizes as Size[],
        methodOf(use),
        machines,
        use.styleName,
      )
    : []
  return (
    <Section
      title={`${placement?.name ?? use.placement} on ${use.colour} ${use.styleName}`}
      aside={use.method ? METHOD_WORDS[methodOf(use)].name : 'measured as film, no method chosen yet'}
    >
      {warnings.length > 0 && (
        <Notice kind="caution" title="Where it is placed">
          {warnings.join(' ')}
        </Notice>
      )}
      <div className={styles.use}>
        <DrawnGarment
          kind={use.kind as BlankKind}
          outline={outlineOf(use.kind as BlankKind, use.size as Size)}
          cloth={use.colourHex}
          side={placement?.side === 'back' ? 'back' : 'front'}
          system={facts.measures}
          about={`${use.colour} ${use.styleName}, ${use.size}`}
          prints={[
            {
              src: `/api/artwork/${artwork.id}/picture?size=480`,
              name: artwork.name,
              widthMm: use.widthMm,
              heightMm: use.heightMm,
              dropMm: use.dropMm,
              offsetMm: use.offsetMm,
              onSleeve: placement?.side === 'sleeve',
            },
          ]}
        />
        {measured.ok ? (
          <Stack gap="large">
            <Row gap="large" align="base">
              <Figure
                label="Resolution at size"
                value={formatPpi(measured.value.print.ppi)}
                tone={
                  measured.value.print.ppi < rates.artPpi.floor
                    ? 'late'
                    : measured.value.print.ppi < rates.artPpi.warn
                      ? 'risk'
                      : undefined
                }
                working={resolutionWorking(measured.value, facts.measures, rates.artPpi.house)}
              />
              <Figure
                label="Covered area"
                value={formatArea(cm2(measured.value.ink.areaCm2), facts.measures)}
                working={areaWorking(measured.value, facts.measures)}
              />
              <Figure label="Partly transparent" value={formatShare(measured.value.ink.partlyTransparent)} />
              <Figure
                label="Largest solid patch"
                value={formatArea(cm2(measured.value.knockout.largestSolidAfterCm2), facts.measures)}
                working={patchWorking(measured.value, use.colourHex, facts.measures)}
              />
            </Row>
            <Findings
              findings={measured.value.findings}
              picture={{
                src: `/api/artwork/${artwork.id}/picture?size=1200`,
                name: artwork.name,
                cloth: use.colourHex,
                widthPx: measured.value.file.widthPx,
                heightPx: measured.value.file.heightPx,
              }}
            />
            <ul className={styles.colours} aria-label="Colours of the art">
              {measured.value.colours.slice(0, 8).map(colour => (
                <li key={colour.hex} className={styles.colour}>
                  <span className={styles.swatch} style={{ background: colour.hex }} />
                  <span>
                    {colour.hex} {formatShare(colour.share)}
                  </span>
                </li>
              ))}
            </ul>
          </Stack>
        ) : (
          <Notice kind="stop">{measured.message}</Notice>
        )}
      </div>
      {measured.ok && methodOf(use) !== 'sublimation' && (
        <Breathe
          artwork={artwork}
          use={use}
          mayKeep={mayChange}
          about={`${placement?.name ?? use.placement} on ${use.colour}, ${METHOD_WORDS[methodOf(use)].name}`}
        />
      )}
    </Section>
  )
}

/** On what basis the artwork may be sold, and the form that records it. */
function Rights({ artwork, mayClear, zone }: { artwork: ArtworkWithUses; mayClear: boolean; zone: string }) {
  const standing = artwork.clearance
  return (
    <Stack>
      <h2>Rights</h2>
      {standing ? (
        <p>
          <strong>{CLEARANCE_WORDS[standing.basis as ClearanceBasis]?.name ?? standing.basis}</strong>,
          recorded by {standing.byName} on {formatMoment(instant(standing.at), zone)}: {standing.evidence}
        </p>
      ) : (
        <Notice kind="stop" title="Nobody has recorded whose it is.">
          It can be quoted and planned; no offer is agreed and no run starts until somebody does.
        </Notice>
      )}
      <p>{RIGHTS_NOTE}</p>
      {mayClear && (
        <ActionForm action={clearAction} label="Record the rights" clear>
          <input type="hidden" name="artwork" value={artwork.id} />
          <Choices
            name="basis"
            label="It may be sold because it is"
            options={[
              ...CLEARANCE_BASES.map(basis => ({
                value: basis,
                label: CLEARANCE_WORDS[basis].name,
                note: CLEARANCE_WORDS[basis].evidence,
              })),
              ...(standing
                ? [{ value: 'withdrawn', label: 'None of these: take the clearance back', note: 'Say why.' }]
                : []),
            ]}
          />
          <TextArea
            name="evidence"
            label="What that rests on"
            hint="So that it can be found again."
            rows={3}
          />
          <SubmitButton look="primary">Record it</SubmitButton>
        </ActionForm>
      )}
    </Stack>
  )
}
