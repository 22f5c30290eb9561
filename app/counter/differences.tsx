import { DataTable } from '@/app/parts/data-table'
import type { Difference } from '@/lib/orders/difference'

/** What stands in the books beside what was typed, where the two differ. */
export function Differences({ rows }: { rows: readonly Difference[] }) {
  return (
    <DataTable
      caption="In what the two differ"
      rows={rows}
      rowKey={d => d.what}
      empty="What was saved and what you typed say the same: nothing is lost either way."
      columns={[
        { key: 'what', head: 'What', rowHead: true, wrap: true, cell: d => d.what },
        { key: 'saved', head: 'Saved meanwhile', wrap: true, cell: d => d.saved || '–' },
        { key: 'typed', head: 'Typed by you', wrap: true, cell: d => d.typed || '–' },
      ]}
    />
  )
}
