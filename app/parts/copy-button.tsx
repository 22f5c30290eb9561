'use client'
import { useRef, useState } from 'react'
import { Button } from './button'
import styles from './copy-button.module.css'

/**
 * A text to take away: an address for the customer, a message ready to send. Over plain http the browser gives no clipboard;
 * the text is then marked, ready for Ctrl+C.
 * @param label what it is, for screen readers: "Address of the offer"
 * @param words on the button
 * @param rows of a longer text
 */
export function CopyButton({
  text,
  label,
  words = 'Copy',
  rows,
}: {
  text: string
  label: string
  words?: string
  rows?: number
}) {
  const field = useRef<HTMLInputElement & HTMLTextAreaElement>(null)
  const [said, setSaid] = useState('')
  const copy = async () => {
    field.current?.focus()
    field.current?.select()
    try {
      // Missing over plain http, where the older way still works.
      if (navigator.clipboard) await navigator.clipboard.writeText(text)
      else if (!document.execCommand('copy')) throw new Error('no clipboard')
      setSaid('Copied')
    } catch {
      setSaid('Marked: press Ctrl+C')
    }
  }
  return (
    <div className={styles.copy}>
      {rows ? (
        <textarea ref={field} readOnly rows={rows} value={text} aria-label={label} />
      ) : (
        <input ref={field} readOnly value={text} aria-label={label} onFocus={e => e.currentTarget.select()} />
      )}
      <Button onClick={copy}>{words}</Button>
      <span role="status" className={styles.said}>
        {said}
      </span>
    </div>
  )
}
