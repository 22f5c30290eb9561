'use client'
import {
  createSortedRowModel,
  rowSortingFeature,
  type SortingState,
  tableFeatures,
  useTable,
} from '@tanstack/react-table'
import { type ReactNode, useMemo, useState } from 'react'
import styles from './data-table.module.css'

type Head = { key: string; label: ReactNode; className: string; sortable: boolean }
type Row = { key: string; values: (string | number | null)[]; tr: ReactNode }

const byValue = (a: string | number | null, b: string | number | null): number =>
  typeof a === 'number' && typeof b === 'number'
    ? a - b
    : String(a).localeCompare(String(b), undefined, { numeric: true, sensitivity: 'base' })

const features = tableFeatures({ rowSortingFeature, sortedRowModel: createSortedRowModel() })

/**
 * Head and body of a DataTable that sorts in the browser. The rows come drawn from the server; only their order changes
 * here, so cells may hold anything.
 */
export function SortableTable({ heads, rows }: { heads: Head[]; rows: Row[] }) {
  const [sorting, setSorting] = useState<SortingState>([])
  const columns = useMemo(
    () =>
      heads.map((h, i) => ({
        id: h.key,
        // undefined, not null: empty values then go last in both directions.
        accessorFn: (row: Row) => row.values[i] ?? undefined,
        enableSorting: h.sortable,
        sortUndefined: 'last' as const,
        sortDescFirst: false,
        sortFn: (
          a: { getValue: <T>(id: string) => T },
          b: { getValue: <T>(id: string) => T },
          id: string,
        ): number => byValue(a.getValue(id), b.getValue(id)),
      })),
    [heads],
  )
  const table = useTable({
    features,
    columns,
    data: rows,
    state: { sorting },
    onSortingChange: setSorting,
    getRowId: (row: Row) => row.key,
  })
  return (
    <>
      <thead>
        <tr>
          {heads.map(h => {
            const column = table.getColumn(h.key)
            const sorted = column?.getIsSorted()
            return (
              <th
                key={h.key}
                scope="col"
                className={h.className}
                aria-sort={sorted === 'asc' ? 'ascending' : sorted === 'desc' ? 'descending' : undefined}
              >
                {h.sortable ? (
                  <button type="button" className={styles.sort} onClick={() => column?.toggleSorting()}>
                    {h.label}
                  </button>
                ) : (
                  h.label
                )}
              </th>
            )
          })}
        </tr>
      </thead>
      <tbody>{table.getRowModel().rows.map(r => r.original.tr)}</tbody>
    </>
  )
}
