import type { Metadata } from 'next'
import { z } from 'zod'
import { ActionForm } from '@/app/parts/action-form'
import { ButtonLink } from '@/app/parts/button'
import { Choices } from '@/app/parts/choices'
import { DataTable } from '@/app/parts/data-table'
import { Figure } from '@/app/parts/figure'
import { MeasureField } from '@/app/parts/measure-field'
import { MoneyField } from '@/app/parts/money-field'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Row, Stack } from '@/app/parts/row'
import { Section } from '@/app/parts/section'
import { SubmitButton } from '@/app/parts/submit-button'
import { TickField } from '@/app/parts/tick-field'
import { nestingCost } from '@/lib/artwork/nest-cost'
import { findProduction, type Production } from '@/lib/artwork/store'
import { formatShare } from '@/lib/artwork/workings'
import { requirePerson } from '@/lib/server/session'
import { METHOD_WORDS } from '@/lib/shop/methods'
import { PLACEMENT } from '@/lib/shop/placements'
import { ratesAt, type ShopFacts, shop } from '@/lib/shop/store'
import { formatLength, mm } from '@/lib/units/measure'
import { formatMoney, type Minor, micro, microToMinor } from '@/lib/units/money'
import { instantOf } from '@/lib/units/time'
import { methodOf } from '../desk'
import { laySheetsAction } from './actions'
import { DrawnSheet } from './drawn-sheet'
import { openPrints } from './open-prints'
import styles from './sheets.module.css'

export const metadata: Metadata = { title: 'Sheets' }

/** Sheets that are drawn on the page; the PDF holds all. */
const MOST_DRAWN = 12

const planned = z.object({
  plan: z.string().regex(/^[0-9a-f]{64}$/),
  price: z.coerce.number().int().min(0).max(1e9),
  by: z.enum(['sheet', 'metre']),
})

/** Prints of many orders laid on sheets or a roll, to look at, to cost and to download. */
export default async function SheetsPage({
  searchParams,
}: {
  searchParams: Promise<Record<string, string | string[] | undefined>>
}) {
  await requirePerson('artwork.see')
  const [facts, rates, prints] = await Promise.all([shop(), ratesAt(instantOf(new Date())), openPrints()])
  const asked = planned.safeParse(await searchParams)
  const made = asked.success ? await findProduction(asked.data.plan) : null
  const sheet = rates.sheets['transfer-sheet']
  const { price, per } = rates.consumables['transfer-sheet']
  return (
    <RoomPage>
      <PageHead
        title="Sheets"
        back={{ href: '/artdesk', label: 'Art desk' }}
        sense="Prints of many orders on one sheet or roll, each made from its own production file."
      />
      {asked.success && made?.nesting && (
        <Laid made={made} nesting={made.nesting} asked={asked.data} facts={facts} />
      )}
      <Section title="Lay out prints">
        {prints.length === 0 ? (
          <p>No agreed order is printed on film or sublimation paper now.</p>
        ) : (
          <ActionForm action={laySheetsAction} label="Lay out prints">
            <Choices
              name="print"
              label="Prints"
              many
              options={prints.map(({ use, artwork }) => ({
                value: use.printId,
                label: `${use.orderNumber} ${use.customer}: ${artwork.name}, ${use.pieces} × ${PLACEMENT[use.placement as keyof typeof PLACEMENT]?.name ?? use.placement}`,
                note: `${METHOD_WORDS[methodOf(use)].name}, ${formatLength(mm(use.widthMm), facts.measures)} × ${formatLength(mm(use.heightMm), facts.measures)}`,
              }))}
            />
            <Row gap="large" align="top">
              <MeasureField
                name="width"
                label="Width"
                size={9}
                system={facts.measures}
                value={sheet.widthMm}
              />
              <MeasureField
                name="height"
                size={9}
                label="Height of a sheet"
                hint="Empty: a roll, cut where the prints end."
                system={facts.measures}
                value={sheet.heightMm}
                required={false}
              />
              <MeasureField
                name="gap"
                label="Gap and edge"
                size={9}
                system={facts.measures}
                value={sheet.gapMm}
              />
              <MoneyField
                name="price"
                label="Price of a sheet, or of a metre"
                currency={facts.currency}
                value={microToMinor(micro(Math.round(price / per)), facts.currency)}
              />
            </Row>
            <TickField name="turn" label="Prints may lie a quarter turn round" checked />
            <SubmitButton>Lay them out</SubmitButton>
          </ActionForm>
        )}
      </Section>
    </RoomPage>
  )
}

/** A nesting that was made: figures, the PDF, each order's part, the drawn sheets. */
function Laid({
  made,
  nesting,
  asked,
  facts,
}: {
  made: Production
  nesting: NonNullable<Production['nesting']>
  asked: z.infer<typeof planned>
  facts: ShopFacts
}) {
  const price = asked.price as Minor
  const cost = nestingCost(nesting, asked.by === 'sheet' ? { perSheet: price } : { perMetre: price })
  const [file] = made.files
  const length = nesting.lengths.reduce((sum, l) => sum + l, 0)
  return (
    <Section title="Laid out">
      <Stack gap="large">
        <Row gap="large" align="base">
          {asked.by === 'sheet' ? (
            <Figure label="Sheets" value={nesting.sheets} note={`at least ${nesting.bound.sheets}`} />
          ) : (
            <Figure label="Length of the roll" value={formatLength(mm(length), facts.measures)} />
          )}
          <Figure label="Used" value={formatShare(nesting.utilisation)} />
          <Figure label="Cost" value={formatMoney(cost.total, facts.currency)} />
          {file && (
            <ButtonLink
              look="primary"
              href={`/api/artwork/production/${asked.plan}/${file.name}`}
              prefetch={false}
              download={file.name}
            >
              Download the PDF
            </ButtonLink>
          )}
        </Row>
        <DataTable
          caption="What each order bears"
          quietCaption
          rows={cost.orders.toSorted((a, b) => Number(a.order) - Number(b.order))}
          rowKey={o => o.order}
          columns={[
            { key: 'order', head: 'Order', rowHead: true, cell: o => o.order },
            {
              key: 'prints',
              head: 'Prints',
              numeric: true,
              cell: o => nesting.placed.filter(p => p.order === o.order).length,
            },
            { key: 'cost', head: 'Cost', numeric: true, cell: o => formatMoney(o.cost, facts.currency) },
          ]}
        />
        <div className={styles.sheets}>
          {nesting.lengths.slice(0, MOST_DRAWN).map((used, i) => (
            <DrawnSheet
              // biome-ignore lint/suspicious/noArrayIndexKey: sheets are known by their place
              key={i}
              nesting={nesting}
              sheet={i}
              width={file?.widthMm ?? 0}
              height={asked.by === 'sheet' ? (file?.heightMm ?? used) : used}
              system={facts.measures}
            />
          ))}
        </div>
        {nesting.sheets > MOST_DRAWN && <p>The PDF holds all {nesting.sheets} sheets.</p>}
      </Stack>
    </Section>
  )
}
