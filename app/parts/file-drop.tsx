'use client'
import { useRouter } from 'next/navigation'
import { type ReactNode, useId, useRef, useState } from 'react'
import { Button } from './button'
import { classNames } from './class-names'
import { FieldError } from './field'
import styles from './file-drop.module.css'
import { useFieldError } from './form-context'

/**
 * What the address that takes a file answers, as JSON. `id` goes into the form; `href` is where to go on. Lines of
 * { "progress": … } may come before it: see WORK_WORDS.
 */
export type FileAnswer =
  | { ok: true; id?: string; name?: string; href?: string; widthPx?: number; heightPx?: number }
  | { ok: false; message: string }

/** What is done with a file once it is there, by the address's words of progress. */
const WORK_WORDS: Record<string, string> = {
  waiting: 'waiting for other work on pictures to end',
  reading: 'reading the picture',
  measuring: 'measuring the picture',
}

/** The last whole line of an answer that comes line by line; null before the first. */
function lastLine(text: string): Record<string, unknown> | null {
  const line = text
    .slice(0, text.lastIndexOf('\n') + 1 || undefined)
    .trim()
    .split('\n')
    .at(-1)
  return line ? JSON.parse(line) : null
}

/**
 * A place to drop a file on, over the browser's own file input. With `putTo` the file is sent at once, as it is, with its
 * progress shown and a way to stop; without it the file goes with the form.
 * @param accept as of an input: "image/png,image/jpeg"
 * @param maxBytes refused here already when larger; the server refuses too
 * @param putTo PUT with the file as body and its name in X-File-Name (percent-encoded); answers FileAnswer
 * @param then after a good answer: refresh the page (default), go to the answer's href, or stay
 * @param onTaken told of a good answer: to draw the picture in its size
 * @param held the id of a file that was sent before, kept while the form is put right
 */
export function FileDrop({
  name,
  label,
  hint,
  accept,
  maxBytes,
  putTo,
  then = 'refresh',
  onTaken,
  held,
  heldName,
  error,
  words = 'Drop a file here, or choose one',
}: {
  name: string
  label: ReactNode
  hint?: ReactNode
  accept?: string
  maxBytes?: number
  putTo?: string
  then?: 'refresh' | 'go' | 'stay'
  onTaken?: (answer: FileAnswer & { ok: true }) => void
  held?: string
  heldName?: string
  error?: string
  words?: string
}) {
  const id = useId()
  const router = useRouter()
  const input = useRef<HTMLInputElement>(null)
  const request = useRef<XMLHttpRequest | null>(null)
  const [over, setOver] = useState(false)
  const [chosen, setChosen] = useState('')
  const [sent, setSent] = useState<number | null>(null)
  const [work, setWork] = useState('')
  const [kept, setKept] = useState({ id: held ?? '', name: heldName ?? '' })
  const [refused, setRefused] = useState('')
  const answered = useFieldError(name) ?? error
  const stays = refused && kept.name ? ` “${kept.name}” stays.` : ''
  const said = refused ? refused + stays : answered

  const refuse = (message: string) => {
    setSent(null)
    setRefused(message)
    // What is named is what goes with the form; and the same file, mended, can be chosen again.
    setChosen('')
    if (input.current) input.current.value = ''
  }
  const take = (file: File | undefined) => {
    setRefused('')
    if (!file) return putTo ? undefined : setChosen('')
    setChosen(`${file.name}, ${size(file.size)}`)
    if (maxBytes !== undefined && file.size > maxBytes)
      return refuse(
        `“${file.name}” is ${size(file.size)}; the most is ${size(maxBytes)}. Choose a smaller file.`,
      )
    if (putTo) put(file, putTo)
  }
  const put = (file: File, to: string) => {
    if (request.current) {
      request.current.onabort = null
      request.current.abort()
    }
    const xhr = new XMLHttpRequest()
    request.current = xhr
    setSent(0)
    setWork('')
    xhr.upload.onprogress = e => setSent(e.total ? e.loaded / e.total : 0)
    xhr.onprogress = () => {
      if (!xhr.responseText.includes('\n')) return
      const { progress } = lastLine(xhr.responseText) ?? {}
      if (typeof progress === 'string') setWork(WORK_WORDS[progress] ?? '')
    }
    const fail = (message: string) => refuse(`“${file.name}” was not taken. ${message}`)
    xhr.onerror = () => fail('The line to the shop was cut: choose it again.')
    xhr.onabort = () => refuse(`Stopped: “${file.name}” was not taken.`)
    xhr.onload = () => {
      let answer: FileAnswer
      try {
        answer = lastLine(xhr.responseText) as FileAnswer
        if (typeof answer.ok !== 'boolean') throw new SyntaxError('cut short')
      } catch {
        return fail('The shop did not answer as expected: choose it again.')
      }
      if (!answer.ok) return fail(answer.message)
      setSent(null)
      setChosen('')
      setKept({ id: answer.id ?? '', name: answer.name ?? file.name })
      onTaken?.(answer)
      if (then === 'go' && answer.href) router.push(answer.href)
      else if (then !== 'stay') router.refresh()
    }
    xhr.open('PUT', to)
    xhr.setRequestHeader('Content-Type', file.type || 'application/octet-stream')
    xhr.setRequestHeader('Accept', 'application/x-ndjson, application/json')
    xhr.setRequestHeader('X-File-Name', encodeURIComponent(file.name))
    xhr.send(file)
  }
  const described = [hint ? `${id}-hint` : '', said ? `${id}-error` : ''].filter(Boolean).join(' ')
  return (
    <div className={styles.whole}>
      <label
        className={classNames(styles.zone, over && styles.over)}
        onDragOver={e => {
          e.preventDefault()
          setOver(true)
        }}
        onDragLeave={() => setOver(false)}
        onDrop={e => {
          e.preventDefault()
          setOver(false)
          const files = e.dataTransfer.files
          if (input.current && files.length) {
            input.current.files = files
            take(files[0])
          }
        }}
      >
        <span className={styles.label}>{label}</span>
        <input
          ref={input}
          className={styles.input}
          type="file"
          accept={accept}
          // Sent on its own already: only its id goes with the form.
          name={putTo ? undefined : name}
          aria-invalid={said ? true : undefined}
          aria-describedby={described || undefined}
          onChange={e => take(e.currentTarget.files?.[0])}
        />
        <span className={styles.words} aria-hidden="true">
          {chosen || kept.name || words}
        </span>
        {hint && (
          <span id={`${id}-hint`} className={styles.hint}>
            {hint}
          </span>
        )}
      </label>
      {putTo && <input type="hidden" name={name} value={kept.id} />}
      <div role="status" className={styles.status}>
        {sent !== null && (
          <>
            <progress className={styles.progress} max={1} value={sent} aria-label="Sent so far" />
            <span>{sent < 1 ? `${Math.floor(sent * 100)}% sent` : work || 'reading the file'}</span>
            <Button size="small" onClick={() => request.current?.abort()}>
              Stop
            </Button>
          </>
        )}
      </div>
      <FieldError id={`${id}-error`} error={said} />
    </div>
  )
}

const size = (bytes: number): string =>
  bytes < 1_000_000
    ? `${Math.max(1, Math.round(bytes / 1000))} kB`
    : `${(bytes / 1_000_000).toFixed(bytes < 10_000_000 ? 1 : 0)} MB`
