import type { Metadata } from 'next'
import Link from 'next/link'
import { ActionForm } from '@/app/parts/action-form'
import { DataTable } from '@/app/parts/data-table'
import { Field } from '@/app/parts/field'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Row } from '@/app/parts/row'
import { Section } from '@/app/parts/section'
import { SelectField } from '@/app/parts/select-field'
import { SubmitButton } from '@/app/parts/submit-button'
import { printedDesigns, screensOnShelf } from '@/lib/methods/store'
import { mayDo } from '@/lib/server/rights'
import { requirePerson } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import { formatLength, type MeasureSystem, mm } from '@/lib/units/measure'
import { formatMoment } from '@/lib/units/time'
import { StockNav } from '../stock-nav'
import { dropScreensAction, keepScreensAction } from './actions'

export const metadata: Metadata = { title: 'Screens on the shelf' }

const sizeWords = (s: { widthMm: number; heightMm: number }, system: MeasureSystem) =>
  `${formatLength(mm(s.widthMm), system)} × ${formatLength(mm(s.heightMm), system)}`

/** Screens that were kept after a job: a repeat order skips making them, in cost and in time. */
export default async function Screens() {
  const person = await requirePerson('stock.see')
  const [rows, designs, facts] = await Promise.all([screensOnShelf(), printedDesigns(), shop()])
  const may = mayDo(person.role, 'stock.move')
  return (
    <RoomPage>
      <StockNav current="/stockroom/screens" />
      <PageHead
        title="Screens on the shelf"
        sense="Kept after a job. A repeat of the same design at the same size costs no new screens, and is ready sooner."
      />
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
      {may && designs.length > 0 && (
        <Section title="Keep the screens of a job">
          <ActionForm action={keepScreensAction} label="Keep the screens of a job" clear>
            <Row align="top">
              <SelectField
                name="design"
                label="Design"
                empty="choose what was printed"
                required
                options={designs.map(d => ({
                  value: `${d.artworkId} ${d.widthMm} ${d.heightMm}`,
                  label: `${d.artwork}, ${sizeWords(d, facts.measures)}`,
                }))}
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
    </RoomPage>
  )
}
