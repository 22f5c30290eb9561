import Link from 'next/link'
import { ButtonLink } from '@/app/parts/button'
import { DataTable } from '@/app/parts/data-table'
import { Facts } from '@/app/parts/facts'
import { Figure } from '@/app/parts/figure'
import { Section } from '@/app/parts/section'
import type { ShopFacts } from '@/lib/shop/store'
import type { variancesOf } from '@/lib/stock/counts/store'
import { formatAmount, formatSigned } from '@/lib/stock/items'
import { reorderPoint, reorderWorking, SERVICE, USE_DAYS, type Use } from '@/lib/stock/reorder'
import { keptWords } from '@/lib/stock/standing-working'
import type { ItemLine, promisesOf } from '@/lib/stock/views/store'
import { formatDay } from '@/lib/units/time'
import { amountOf, itemHref, money } from '../../show'

/** Beside an item: for which orders it is kept, what counts found, and when it is bought again. */
export function BesideItem({
  item,
  promises,
  variances,
  use,
  prices,
  buys,
  facts,
}: {
  item: ItemLine
  promises: Awaited<ReturnType<typeof promisesOf>>
  variances: Awaited<ReturnType<typeof variancesOf>>
  /** What it is used up by, from the last days. */
  use: Use
  prices: boolean
  buys: boolean
  facts: ShopFacts
}) {
  const { unit } = item
  const show = (n: number) => formatAmount(n, unit)
  const wanted = Math.ceil(reorderPoint(use, SERVICE))
  return (
    <>
      <Section title="Promised to">
        <DataTable
          caption="Orders that this item is kept for"
          quietCaption
          rows={promises}
          rowKey={p => String(p.orderNumber)}
          empty="Nothing of it is promised."
          columns={[
            {
              key: 'order',
              head: 'Order',
              rowHead: true,
              cell: p => <Link href={`/counter/orders/${p.orderNumber}`}>{p.orderNumber}</Link>,
            },
            { key: 'quantity', head: 'Kept', numeric: true, cell: p => keptWords(p, show) },
            {
              key: 'promise',
              head: 'Promise',
              cell: p => p.promiseAt && formatDay(p.promiseAt, facts.timeZone),
            },
          ]}
        />
      </Section>
      {variances.length > 0 && (
        <Section title="Used against booked">
          <DataTable
            caption="At each count: + more was used than was booked from what was printed"
            rows={variances}
            rowKey={v => String(v.at)}
            columns={[
              {
                key: 'at',
                head: 'Count',
                rowHead: true,
                cell: v => formatDay(v.at, facts.timeZone),
              },
              { key: 'quantity', head: 'Used', numeric: true, cell: v => formatSigned(v.quantity, unit) },
              ...(prices
                ? [
                    {
                      key: 'value',
                      head: 'Variance',
                      numeric: true,
                      cell: (v: (typeof variances)[number]) => money(v.value, facts.currency),
                    },
                  ]
                : []),
            ]}
          />
        </Section>
      )}
      <Section title="Reordering">
        <Facts
          across
          items={[
            { name: 'Reorder at', value: show(item.reorderPoint) },
            { name: 'Order up to', value: show(item.reorderTo) },
            { name: 'Lead time', value: `${item.leadDays} days` },
            { name: 'Supplier', value: item.supplier || null },
            ...(prices ? [{ name: 'Price', value: `${money(item.price, facts.currency)}${per(item)}` }] : []),
          ]}
        />
        {use.perDay > 0 && (
          <Figure
            label="Reorder point that its use asks for"
            value={show(wanted)}
            working={reorderWorking(use, SERVICE, unit, USE_DAYS)}
          />
        )}
        {wanted !== item.reorderPoint && use.perDay > 0 && buys && (
          <ButtonLink href={`${itemHref(item.sku)}/edit?point=${wanted}`}>Take it</ButtonLink>
        )}
      </Section>
    </>
  )
}

const per = (item: ItemLine): string =>
  item.pricePer > 1 ? ` for ${amountOf(item, item.pricePer)}` : item.unit === 'piece' ? ' a piece' : ''
