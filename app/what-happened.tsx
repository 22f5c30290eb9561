import { DataTable } from '@/app/parts/data-table'
import { Section } from '@/app/parts/section'
import { changeWords, type Reader, readable } from '@/lib/books/change-words'
import type { Difference } from '@/lib/books/difference'
import type { HistoryLine } from '@/lib/server/history'
import { type Holder, mayDo } from '@/lib/server/rights'
import type { BaseUnit } from '@/lib/units/base-unit'
import { formatPast, instantOf } from '@/lib/units/time'
import styles from './what-happened.module.css'

/**
 * What happened to one thing, on the thing itself: when, what, before and after, who. Money stands there for those who may see it.
 * @param about the thing, as in "this purchase"
 * @param lines newest first, from lib/server/history
 * @param unit of an item's amounts
 */
export function WhatHappened({
  about,
  lines,
  facts,
  who,
  unit,
}: {
  about: string
  lines: readonly HistoryLine[]
  facts: { currency: string; timeZone: string }
  who: Holder
  unit?: BaseUnit
}) {
  const sees = mayDo(who, 'books.see') ? 'all' : mayDo(who, 'prices.see') ? 'prices' : 'no money'
  const reader: Reader = { currency: facts.currency, zone: facts.timeZone, unit, sees }
  const rows = readable(lines, sees).map(line => ({ line, changed: changeWords(line, reader) }))
  return (
    <Section title="What happened" id="happened">
      <DataTable
        caption={`What happened to ${about}, newest first`}
        quietCaption
        rows={rows}
        rowKey={r => r.line.id}
        empty="Nothing is recorded yet."
        columns={[
          { key: 'at', head: 'When', cell: r => formatPast(instantOf(r.line.at), facts.timeZone) },
          { key: 'what', head: 'What', wrap: true, rowHead: true, cell: r => r.line.what },
          ...(rows.some(r => r.changed.length > 0)
            ? [
                {
                  key: 'changed',
                  head: 'Before and after',
                  wrap: true,
                  cell: (r: (typeof rows)[number]) => <Changed list={r.changed} />,
                },
              ]
            : []),
          { key: 'by', head: 'Who', wrap: true, cell: r => r.line.byName },
        ]}
      />
    </Section>
  )
}

/** Two values fit on a line; more open on demand. */
export function Changed({ list }: { list: Difference[] }) {
  if (list.length === 0) return null
  if (list.length <= 2) return list.map(inWords).join('; ')
  return (
    <details>
      <summary>{list.length} values</summary>
      <ul className={styles.list}>
        {list.map(d => (
          <li key={d.name}>{inWords(d)}</li>
        ))}
      </ul>
    </details>
  )
}

const inWords = (d: Difference): string =>
  `${d.name}: ${d.before === null ? '' : `${d.before} → `}${d.after ?? 'gone'}`
