import Link from 'next/link'
import { ActionForm } from '@/app/parts/action-form'
import { ButtonLink } from '@/app/parts/button'
import { DataTable } from '@/app/parts/data-table'
import { Section } from '@/app/parts/section'
import { SubmitButton } from '@/app/parts/submit-button'
import type { ShopFacts } from '@/lib/shop/store'
import { exactAmount, formatAmount, formatSigned } from '@/lib/stock/items'
import type { MovementKind } from '@/lib/stock/movements'
import type { BookLine, ItemLine } from '@/lib/stock/views/store'
import { formatPast } from '@/lib/units/time'
import { takeBackAction } from '../../actions'
import { ShelfRun } from '../../shelf-run'
import { itemHref, money } from '../../show'
import styles from '../../stockroom.module.css'
import { FormKey } from './form-key'

const KIND: Record<MovementKind, string> = {
  received: 'received',
  issued: 'issued',
  spoiled: 'spoiled',
  counted: 'counted',
  returned: 'returned',
}

/** The book of an item, newest first; `below` begins under a line, and `most` says how many have come. */
export function StockBook({
  item,
  lines,
  below,
  most,
  prices,
  moves,
  facts,
}: {
  item: ItemLine
  lines: readonly BookLine[]
  below: number | undefined
  most: number
  prices: boolean
  moves: boolean
  facts: ShopFacts
}) {
  const { unit } = item
  const show = (n: number) => formatAmount(n, unit)
  return (
    <Section title="Stock book" id="book">
      <ShelfRun item={item} lines={lines} zone={facts.timeZone} />
      <DataTable
        caption={
          below ? `Lines before line ${below}, newest first` : 'Newest first; nothing here is ever edited'
        }
        rows={lines}
        rowKey={l => l.id}
        empty="Nothing has moved yet: receive or count it."
        columns={[
          {
            key: 'at',
            head: 'When',
            rowHead: true,
            cell: l => (
              <span className={styles.line}>
                {formatPast(l.at, facts.timeZone)}
                <span className="aloud"> line {l.position}</span>
              </span>
            ),
          },
          {
            key: 'kind',
            head: 'What',
            cell: l => (l.counters ? `${KIND[l.kind]}, taken back` : KIND[l.kind]),
          },
          {
            key: 'quantity',
            head: 'Amount',
            numeric: true,
            cell: l => <span title={exactAmount(l.quantity, unit)}>{formatSigned(l.quantity, unit)}</span>,
          },
          { key: 'onHand', head: 'On hand', numeric: true, cell: l => show(l.onHand) },
          ...(prices
            ? [
                {
                  key: 'value',
                  head: 'Value',
                  numeric: true,
                  cell: (l: BookLine) => money(l.value, facts.currency),
                },
              ]
            : []),
          { key: 'why', head: 'Why', wrap: true, cell: l => <Why line={l} /> },
          { key: 'by', head: 'Who', cell: l => <span className={styles.line}>{l.byName}</span> },
          {
            key: 'back',
            head: <span className="aloud">Take back</span>,
            cell: l =>
              l.takenBack ? (
                'taken back'
              ) : l.counters === null && l.quantity !== 0 && moves ? (
                <ActionForm
                  action={takeBackAction.bind(null, item.sku)}
                  label={`Take back line ${l.position}`}
                >
                  <FormKey />
                  <input type="hidden" name="movement" value={l.id} />
                  <SubmitButton look="quiet" size="small">
                    <span className={styles.line}>Take back</span>
                    <span className="aloud"> line {l.position}</span>
                  </SubmitButton>
                </ActionForm>
              ) : null,
          },
        ]}
      />
      {lines.length === most && (lines.at(-1)?.position ?? 1) > 1 && (
        <ButtonLink href={`${itemHref(item.sku)}?below=${lines.at(-1)?.position}#book`}>
          Earlier lines
        </ButtonLink>
      )}
    </Section>
  )
}

function Why({ line }: { line: BookLine }) {
  return (
    <>
      {line.orderNumber !== null && (
        <Link href={`/counter/orders/${line.orderNumber}`}>Order {line.orderNumber}</Link>
      )}
      {line.purchaseNumber !== null && (
        <Link href={`/stockroom/purchases/${line.purchaseNumber}`}>Purchase {line.purchaseNumber}</Link>
      )}
      {line.why && line.why !== `Purchase ${line.purchaseNumber}` && (
        <>
          {line.orderNumber !== null || line.purchaseNumber !== null ? ': ' : ''}
          {line.why}
        </>
      )}
      {line.lot && <small className={styles.quiet}> lot {line.lot}</small>}
    </>
  )
}
