'use client'
import { useRouter } from 'next/navigation'
import { useEffect, useState } from 'react'
import { liveLine } from '@/app/parts/live-line'
import { Notice } from '@/app/parts/notice'
import { addKey, type Burst, closeBurst, NO_BURST, scanCode } from '@/lib/floor/scan'
import styles from './desk.module.css'

/**
 * Hears a scanner that types, anywhere in the room: the first scan of a ticket opens its step at its station, the second starts it.
 * What it types into a field by the way is taken out again.
 */
export function Scanner() {
  const router = useRouter()
  const [told, tell] = useState<string | null>(null)
  useEffect(() => {
    let burst: Burst = NO_BURST
    let field: { on: HTMLInputElement | HTMLTextAreaElement; was: string } | null = null
    const key = (e: KeyboardEvent) => {
      if (e.ctrlKey || e.metaKey || e.altKey) return
      if (e.key !== 'Enter') {
        const before = burst
        burst = addKey(burst, e.key, e.timeStamp)
        if (burst.text.length === 1 && burst !== before) {
          const on = e.target
          field =
            on instanceof HTMLInputElement || on instanceof HTMLTextAreaElement ? { on, was: on.value } : null
        }
        return
      }
      const scanned = closeBurst(burst, e.timeStamp)
      burst = NO_BURST
      // A bare number in a field is what somebody wants there.
      if (!scanned || (field && !scanned.address)) return
      e.preventDefault()
      e.stopPropagation()
      if (field) putBack(field)
      const { number, job } = scanned
      const start = document.querySelector<HTMLFormElement>(`[data-ticket="${number}"] form`)
      tell(null)
      if (start) start.requestSubmit()
      else if (liveLine().line.state === 'cut')
        tell(`There is no line to the server: ${number} can be opened when it is back.`)
      else router.push(`/floor/scan/${job ? scanCode(number, job) : number}`)
    }
    window.addEventListener('keydown', key, true)
    return () => window.removeEventListener('keydown', key, true)
  }, [router])
  return (
    // On paper it would stand before the first sheet, on a page of its own.
    <div role="status" className={styles.told} data-screen-only>
      {told && <Notice>{told}</Notice>}
    </div>
  )
}

/** Writes a field's earlier text into it, as if somebody had typed it. */
function putBack({ on, was }: { on: HTMLInputElement | HTMLTextAreaElement; was: string }) {
  const kind = on instanceof HTMLInputElement ? HTMLInputElement : HTMLTextAreaElement
  Object.getOwnPropertyDescriptor(kind.prototype, 'value')?.set?.call(on, was)
  on.dispatchEvent(new Event('input', { bubbles: true }))
}
