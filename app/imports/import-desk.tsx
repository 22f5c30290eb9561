'use client'
import { useId, useState, useTransition } from 'react'
import { Button } from '@/app/parts/button'
import { DataTable } from '@/app/parts/data-table'
import type { FormAnswer } from '@/app/parts/form-context'
import { Notice } from '@/app/parts/notice'
import { Stack } from '@/app/parts/row'
import { Section } from '@/app/parts/section'
import type { Column, ImportInput, Matching } from '@/lib/orders/imports/table'
import styles from './imports.module.css'
import type { Look } from './look'

const AWAY =
  'The shop’s computer did not answer. Nothing was taken in as far as this page knows: look at the list, then try again.'

/** The bytes of a file as text: UTF-8 or UTF-16 where it says so, else what spreadsheets on older machines write. */
function textOf(bytes: ArrayBuffer): string {
  const [a, b] = new Uint8Array(bytes.slice(0, 2))
  if (a === 0xff && b === 0xfe) return new TextDecoder('utf-16le').decode(bytes)
  if (a === 0xfe && b === 0xff) return new TextDecoder('utf-16be').decode(bytes)
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(bytes)
  } catch {
    return new TextDecoder('windows-1252').decode(bytes)
  }
}

/**
 * Takes a table in from a file: choose it, say which column holds what, see what it would do, then do it. Nothing is written before the
 * last step; the file stays in this page.
 */
export function ImportDesk({
  columns,
  look,
  take,
  what,
}: {
  columns: readonly Column[]
  look: (sent: ImportInput) => Promise<Look>
  take: (sent: ImportInput) => Promise<FormAnswer>
  /** What rows are, in the plural: customers. */
  what: string
}) {
  const id = useId()
  const [file, setFile] = useState<{ name: string; text: string } | null>(null)
  const [seen, setSeen] = useState<Look | null>(null)
  const [said, setSaid] = useState<FormAnswer | null>(null)
  const [pending, start] = useTransition()

  const see = (text: string, matching: Matching | null) =>
    start(async () => {
      const found = await look({ text, matching }).catch(
        (): Look => ({ ok: false, code: 'away', message: AWAY }),
      )
      start(() => setSeen(found))
    })
  const choose = async (chosen: File | undefined) => {
    setSaid(null)
    setSeen(null)
    if (!chosen) return setFile(null)
    if (chosen.size > 3_000_000)
      return setSaid({ ok: false, message: 'The file is over 900 kB: take it in in parts.' })
    const text = textOf(await chosen.arrayBuffer())
    setFile({ name: chosen.name, text })
    see(text, null)
  }
  const match = (key: string, at: string) => {
    if (!file || !seen?.ok) return
    setSaid(null)
    see(file.text, { ...seen.matching, [key]: at === '' ? null : Number(at) })
  }
  const go = () => {
    if (!file || !seen?.ok) return
    const { matching, seen: mark } = seen
    start(async () => {
      const done = await take({ text: file.text, matching, seen: mark }).catch(
        (): FormAnswer => ({ ok: false, message: AWAY }),
      )
      const after = await look({ text: file.text, matching }).catch(() => null)
      start(() => {
        setSaid(done)
        if (after) setSeen(after)
      })
    })
  }
  const counts = seen?.ok ? seen.counts : null
  const takes = counts ? counts.fresh + counts.changed : 0
  return (
    <div className={styles.desk} aria-busy={pending}>
      <div className={styles.choose}>
        <label htmlFor={id}>A CSV file; its first row names the columns</label>
        <input
          id={id}
          type="file"
          accept=".csv,.txt,.tsv,text/csv"
          onChange={e => choose(e.target.files?.[0])}
        />
      </div>
      <div role="status">
        {said?.message && <Notice kind={said.ok ? 'done' : 'stop'}>{said.message}</Notice>}
        {seen && !seen.ok && <Notice kind="stop">{seen.message}</Notice>}
      </div>
      {seen?.ok && file && (
        <>
          <Section title="Which column holds what">
            <ul className={styles.columns}>
              {columns.map(c => (
                <li key={c.key}>
                  <label htmlFor={`${id}-${c.key}`}>
                    {c.label}
                    {c.needed && <span className={styles.needed}> needed</span>}
                  </label>
                  <select
                    id={`${id}-${c.key}`}
                    value={seen.matching[c.key] ?? ''}
                    disabled={pending}
                    onChange={e => match(c.key, e.target.value)}
                    aria-invalid={seen.no?.field === `column.${c.key}` || undefined}
                  >
                    <option value="">not in the file</option>
                    {seen.head.map((h, i) => (
                      // biome-ignore lint/suspicious/noArrayIndexKey: two columns may have one head
                      <option key={i} value={i}>
                        {h || `column ${i + 1}`}
                      </option>
                    ))}
                  </select>
                  <span className={styles.example}>
                    {exampleOf(seen.first, seen.matching[c.key] ?? null)}
                  </span>
                </li>
              ))}
            </ul>
            {seen.no && <Notice kind="caution">{seen.no.message}</Notice>}
          </Section>
          {!seen.no && counts && (
            <Section title="What it would do">
              <Stack>
                <ul className={styles.counts} aria-label="Rows">
                  <Count n={counts.fresh} words="new" />
                  <Count n={counts.changed} words="changed" />
                  <Count n={counts.same} words="as they are" />
                  <Count n={counts.wrong} words="with an error, left out" />
                </ul>
                {seen.errors.length > 0 && (
                  <DataTable
                    caption={`Rows with an error${more(seen.errors.length, counts.wrong)}`}
                    rows={seen.errors}
                    rowKey={e => String(e.line)}
                    columns={[
                      { key: 'line', head: 'Line', numeric: true, rowHead: true, cell: e => e.line },
                      { key: 'what', head: 'What is wrong', wrap: true, cell: e => e.message },
                    ]}
                  />
                )}
                {seen.changed.length > 0 && (
                  <DataTable
                    caption={`Changed${more(seen.changed.length, counts.changed)}`}
                    rows={seen.changed}
                    rowKey={c => String(c.line)}
                    columns={[
                      { key: 'line', head: 'Line', numeric: true, cell: c => c.line },
                      { key: 'name', head: 'Which', rowHead: true, wrap: true, cell: c => c.name },
                      { key: 'what', head: 'What changes', wrap: true, cell: c => c.words.join('; ') },
                    ]}
                  />
                )}
                {seen.fresh.length > 0 && (
                  <details>
                    <summary>
                      {counts.fresh} new{more(seen.fresh.length, counts.fresh)}
                    </summary>
                    <ul className={styles.fresh}>
                      {seen.fresh.map(f => (
                        <li key={f.line}>{f.name}</li>
                      ))}
                    </ul>
                  </details>
                )}
                {takes > 0 ? (
                  <div>
                    <Button look="primary" onClick={go} pending={pending}>
                      Take {takes} {takes === 1 ? 'row' : 'rows'} of {what} in
                      {counts.wrong ? `, leave ${counts.wrong} out` : ''}
                    </Button>
                  </div>
                ) : (
                  !said?.ok && <Notice>The file would change nothing.</Notice>
                )}
              </Stack>
            </Section>
          )}
        </>
      )}
    </div>
  )
}

const more = (shown: number, all: number) => (all > shown ? `, the first ${shown}` : '')

function exampleOf(first: string[][], at: number | null): string {
  if (at === null) return ''
  const found = first.map(r => r[at] ?? '').find(v => v !== '')
  return found ? `like ${found.slice(0, 40)}` : ''
}

const Count = ({ n, words }: { n: number; words: string }) => (
  <li>
    <b>{n.toLocaleString('en')}</b> {words}
  </li>
)
