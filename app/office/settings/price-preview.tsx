'use client'
import { useEffect, useRef, useState } from 'react'
import { DataTable } from '@/app/parts/data-table'
import { Notice } from '@/app/parts/notice'
import { StateMark } from '@/app/parts/state-mark'
import type { PreviewAnswer, PreviewRow } from '../actions'
import styles from '../office.module.css'

/** How long typing rests before the preview is worked out anew. */
const REST_MS = 250

/**
 * What the rates in the form around it would do to prices and margins, beside what counts now, while they are typed.
 * @param first what counts now
 */
export function PricePreview({
  look,
  first,
  cost,
}: {
  look: (form: FormData) => Promise<PreviewAnswer>
  first: PreviewRow[]
  /** Of one piece, as typed. */
  cost: string
}) {
  const place = useRef<HTMLDivElement>(null)
  const [rows, setRows] = useState(first)
  const [no, setNo] = useState('')
  useEffect(() => {
    const form = place.current?.closest('form')
    if (!form) return
    let timer: ReturnType<typeof setTimeout> | undefined
    let last = 0
    const typed = () => {
      clearTimeout(timer)
      timer = setTimeout(async () => {
        const mine = ++last
        const answer = await look(new FormData(form)).catch(() => null)
        // A later one may have been answered before.
        if (mine !== last || !answer) return
        setNo(answer.ok ? '' : answer.message)
        if (answer.ok) setRows(answer.rows)
      }, REST_MS)
    }
    form.addEventListener('input', typed)
    return () => {
      clearTimeout(timer)
      form.removeEventListener('input', typed)
    }
  }, [look])
  return (
    <div ref={place} className={styles.preview}>
      <label htmlFor="previewCost">
        A piece that costs{' '}
        <input
          id="previewCost"
          name="previewCost"
          defaultValue={cost}
          inputMode="decimal"
          size={8}
          maxLength={20}
        />{' '}
        to make would be sold so:
      </label>
      <div role="status">{no && <Notice kind="caution">{no}</Notice>}</div>
      <DataTable
        caption="What the rates above do to price and margin"
        quietCaption
        rows={rows}
        rowKey={r => String(r.pieces)}
        columns={[
          { key: 'pieces', head: 'Pieces', numeric: true, rowHead: true, cell: r => r.pieces },
          { key: 'was', head: 'One piece now', numeric: true, cell: r => r.before.each },
          {
            key: 'each',
            head: 'as typed',
            numeric: true,
            cell: r => (r.after.each === r.before.each ? r.after.each : <strong>{r.after.each}</strong>),
          },
          { key: 'net', head: 'Order before tax', numeric: true, cell: r => r.after.net },
          { key: 'marginWas', head: 'Margin now', numeric: true, cell: r => r.before.margin },
          {
            key: 'margin',
            head: 'Margin as typed',
            numeric: true,
            cell: r => (
              <>
                {r.after.below && <StateMark state="late">below cost</StateMark>}{' '}
                {r.after.margin === r.before.margin ? r.after.margin : <strong>{r.after.margin}</strong>}
              </>
            ),
          },
        ]}
      />
    </div>
  )
}
