'use client'
import { useRouter } from 'next/navigation'
import { type FormEvent, useId, useState } from 'react'
import { Button } from '@/app/parts/button'
import { Choices } from '@/app/parts/choices'
import { Notice } from '@/app/parts/notice'
import styles from '../../stockroom.module.css'

type Answer =
  | { ok: true; taken: number; faults: { line: number; message: string }[] }
  | { ok: false; message: string }

/** Bad rows that are shown one by one. */
const SHOWN = 100

/** A file of counts: what was taken of it, and every bad row with its line and why. */
export function CsvIn({ count }: { count: number }) {
  const id = useId()
  const router = useRouter()
  const [answer, setAnswer] = useState<Answer | null>(null)
  const [busy, setBusy] = useState(false)
  const send = async (e: FormEvent<HTMLFormElement>) => {
    e.preventDefault()
    const form = new FormData(e.currentTarget)
    const file = form.get('file')
    if (!(file instanceof File) || file.size === 0)
      return setAnswer({ ok: false, message: 'Choose a CSV file first.' })
    setBusy(true)
    const said = await fetch(`/api/counts/${count}?bad=${form.get('bad')}`, {
      method: 'POST',
      headers: { 'Content-Type': 'text/csv' },
      body: file,
    })
      .then(r => r.json() as Promise<Answer>)
      .catch(() => ({ ok: false as const, message: 'The shop’s computer did not answer: try again.' }))
    setBusy(false)
    setAnswer(said)
    if (said.ok && said.taken > 0) router.refresh()
  }
  return (
    <form className={styles.fileForm} onSubmit={send} aria-label="Read counts from a file">
      <div className={styles.file}>
        <label htmlFor={id}>Counts from a file</label>
        <input id={id} type="file" name="file" accept=".csv,text/csv" />
      </div>
      <Choices
        name="bad"
        label="If rows are bad"
        value="skip"
        options={[
          { value: 'skip', label: 'Take the good ones' },
          { value: 'nothing', label: 'Take nothing' },
        ]}
      />
      <Button type="submit" pending={busy}>
        Read it in
      </Button>
      <div role="status">
        {answer && !answer.ok && <Notice kind="stop">{answer.message}</Notice>}
        {answer?.ok && (
          <Notice kind={answer.faults.length ? 'info' : 'done'}>
            {answer.taken.toLocaleString('en')} {answer.taken === 1 ? 'row' : 'rows'} taken
            {answer.faults.length > 0 && `, ${answer.faults.length.toLocaleString('en')} bad`}.
          </Notice>
        )}
        {answer?.ok && answer.faults.length > 0 && (
          <ul>
            {answer.faults.slice(0, SHOWN).map(f => (
              <li key={`${f.line} ${f.message}`}>
                Line {f.line}: {f.message}
              </li>
            ))}
            {answer.faults.length > SHOWN && <li>and {answer.faults.length - SHOWN} more.</li>}
          </ul>
        )}
      </div>
    </form>
  )
}
