import Link from 'next/link'
import type { ReactNode } from 'react'
import { classNames } from './class-names'
import styles from './data-table.module.css'
import { SortableTable } from './sortable-table'

/** A value to sort by; empty ones go last. */
export type SortValue = string | number | null | undefined

/** One column. */
export type Column<Row> = {
  key: string
  head: ReactNode
  /** What stands in the cell. */
  cell: (row: Row) => ReactNode
  /** Numbers stand right, digit under digit. */
  numeric?: boolean
  /** Value to sort by, in the browser. Without it the column cannot be sorted there. */
  sort?: (row: Row) => SortValue
  /** Stands in the foot: a total that the core has summed. */
  foot?: ReactNode
  /** The cell that names its row: read as the row's heading. One column. */
  rowHead?: boolean
  /** May break over lines; other cells with numbers do not. */
  wrap?: boolean
  /** Left out on a phone, where the row is a card. */
  spare?: boolean
}

/**
 * A table of real rows: caption, headings, figures right-aligned, an empty state in a sentence.
 * Sorting in the browser comes with a column's `sort`; for long lists sort on the server with `order` and `orderHref`.
 * @param caption says what the table holds; read aloud and shown unless quietCaption
 * @param rowKey a name for each row, unique
 * @param empty what to say when there are no rows, and what to do about it
 * @param phone cards: each row becomes a card on a phone (from four columns on, unless told); scroll: the table scrolls inside its
 *   own box; narrow: it fits as it is
 * @param order how the server sorted it; orderHref gives the address that sorts by a column
 * @param mark a row that wants a look: late, risk, done or now; a StateMark in the row says it in words
 */
export function DataTable<Row>({
  caption,
  quietCaption,
  columns,
  rows,
  rowKey,
  empty = 'Nothing here yet.',
  phone = columns.length > 3 ? 'cards' : 'narrow',
  order,
  orderHref,
  mark,
}: {
  caption: ReactNode
  quietCaption?: boolean
  columns: readonly Column<Row>[]
  rows: readonly Row[]
  rowKey: (row: Row) => string
  empty?: ReactNode
  phone?: 'cards' | 'scroll' | 'narrow'
  order?: { key: string; descending?: boolean }
  orderHref?: (key: string, descending: boolean) => string | undefined
  mark?: (row: Row) => 'late' | 'risk' | 'done' | 'now' | undefined
}) {
  const label = <span className={quietCaption ? 'aloud' : undefined}>{caption}</span>
  if (rows.length === 0)
    return (
      <div className={classNames(styles.empty, !quietCaption && styles.emptyHeaded)}>
        {!quietCaption && <p className={styles.emptyHead}>{caption}</p>}
        <div>{empty}</div>
      </div>
    )
  const sortable = columns.some(c => c.sort) && !orderHref
  const heads = columns.map(c => {
    const sorted = order?.key === c.key
    return {
      key: c.key,
      label: c.head,
      className: classNames(c.numeric && styles.numeric, c.spare && styles.spare),
      sorted: sorted ? (order.descending ? ('descending' as const) : ('ascending' as const)) : undefined,
      href: orderHref?.(c.key, sorted ? !order.descending : false),
      sortable: sortable && c.sort !== undefined,
    }
  })
  const body = rows.map(row => ({
    key: rowKey(row),
    values: sortable ? columns.map(c => c.sort?.(row) ?? null) : [],
    tr: (
      <tr key={rowKey(row)} data-mark={mark?.(row)} className={styles.row}>
        {columns.map(c => {
          const Cell = c.rowHead ? 'th' : 'td'
          return (
            <Cell
              key={c.key}
              {...(c.rowHead ? { scope: 'row' as const } : {})}
              data-label={typeof c.head === 'string' ? c.head : undefined}
              className={classNames(
                c.numeric && styles.numeric,
                c.wrap && styles.wrap,
                c.spare && styles.spare,
              )}
            >
              {c.cell(row)}
            </Cell>
          )
        })}
      </tr>
    ),
  }))
  const foot = columns.some(c => c.foot !== undefined) && (
    <tfoot>
      <tr className={styles.row}>
        {columns.map((c, i) => (
          <td
            key={c.key}
            data-label={typeof c.head === 'string' && i > 0 ? c.head : undefined}
            data-bare={c.foot === undefined || undefined}
            className={classNames(c.numeric && styles.numeric, c.spare && styles.spare)}
          >
            {c.foot}
          </td>
        ))}
      </tr>
    </tfoot>
  )
  return (
    <section
      className={styles.box}
      aria-label={typeof caption === 'string' ? caption : undefined}
      // A table wider than its box is scrolled by keyboard too.
      {...(phone === 'scroll' ? { tabIndex: 0 } : {})}
    >
      <table className={classNames(styles.table, phone === 'cards' && styles.cards, mark && styles.marked)}>
        <caption className={styles.caption}>{label}</caption>
        {sortable ? (
          <SortableTable heads={heads} rows={body} />
        ) : (
          <>
            <thead>
              <tr>
                {heads.map(h => (
                  <th key={h.key} scope="col" aria-sort={h.sorted} className={h.className}>
                    {h.href ? (
                      <Link href={h.href} className={styles.sort} scroll={false}>
                        {h.label}
                      </Link>
                    ) : (
                      h.label
                    )}
                  </th>
                ))}
              </tr>
            </thead>
            <tbody>{body.map(r => r.tr)}</tbody>
          </>
        )}
        {foot}
      </table>
    </section>
  )
}
