import type { Metadata } from 'next'
import Link from 'next/link'
import { ButtonLink } from '@/app/parts/button'
import { EmptyState } from '@/app/parts/empty-state'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Section } from '@/app/parts/section'
import { mayDo } from '@/lib/server/rights'
import { requirePerson } from '@/lib/server/session'
import { SIZES } from '@/lib/shop/blanks'
import { sizeGrids } from '@/lib/stock/size-grid'
import { type ItemLine, listItems } from '@/lib/stock/views/store'
import { itemHref } from '../show'
import { StockNav } from '../stock-nav'
import styles from '../stockroom.module.css'

export const metadata: Metadata = { title: 'Blanks by size' }

/** Every blank: style by style, colours down, sizes across. */
export default async function Blanks() {
  const person = await requirePerson('stock.see')
  const grids = sizeGrids(await listItems({ kind: 'blank' }), SIZES)
  const short = grids.flatMap(g => g.colours.flatMap(c => c.cells)).filter(c => c && c.level.short > 0).length
  return (
    <RoomPage>
      <StockNav current="/stockroom/blanks" />
      <PageHead
        title="Blanks by size"
        more={
          mayDo(person, 'stock.buy') && (
            <>
              <ButtonLink href="/stockroom/blanks/new">New style</ButtonLink>
              <ButtonLink href="/stockroom/blanks/import">From a file</ButtonLink>
            </>
          )
        }
        sense={`Free pieces: on hand less promised. ${short ? `${short} ${short === 1 ? 'size is' : 'sizes are'} short.` : 'No size is short.'}`}
      />
      {grids.length === 0 && (
        <EmptyState title="No blanks yet">
          Blanks stand here once their style has colours and sizes.
        </EmptyState>
      )}
      <div className={styles.grids}>
        {grids.map(g => (
          <Section key={g.styleId} title={g.styleName}>
            <section className={styles.gridBox} aria-label={g.styleName}>
              <table className={styles.grid}>
                <caption className="aloud">{g.styleName}: free pieces by colour and size</caption>
                <thead>
                  <tr>
                    <th scope="col">
                      <span className="aloud">Colour</span>
                    </th>
                    {g.sizes.map(s => (
                      <th key={s} scope="col">
                        {s}
                      </th>
                    ))}
                  </tr>
                </thead>
                <tbody>
                  {g.colours.map(c => (
                    <tr key={c.name}>
                      <th scope="row">
                        <span className={styles.swatch} style={{ background: c.hex ?? undefined }} />
                        {c.name}
                      </th>
                      {c.cells.map((item, i) => (
                        <td key={g.sizes[i]}>{item ? <Cell item={item} /> : null}</td>
                      ))}
                    </tr>
                  ))}
                </tbody>
              </table>
            </section>
          </Section>
        ))}
      </div>
    </RoomPage>
  )
}

function Cell({ item }: { item: ItemLine }) {
  const { free, short, toBuy, toSend, onTheWay } = item.level
  const mark = toBuy > 0 || toSend > 0 ? 'late' : short > 0 || item.toOrder > 0 ? 'risk' : undefined
  const note =
    toBuy > 0
      ? `▲ buy ${toBuy}`
      : toSend > 0
        ? `▲ send ${toSend}`
        : short > 0
          ? `◔ wait for ${short}`
          : onTheWay > 0
            ? `+${onTheWay} coming`
            : mark
              ? '◔ low'
              : null
  return (
    <Link href={itemHref(item.sku)} className={styles.cell} data-mark={mark}>
      <b>
        {free < 0 ? `−${-free}` : free}
        <span className="aloud">
          {' '}
          free, {item.colour} {item.size}
        </span>
      </b>
      {note && <small>{note}</small>}
    </Link>
  )
}
