'use client'
import { useState } from 'react'
import { PALETTE_COOKIE, type Palette } from './palette'
import styles from './palette-switch.module.css'

/** Day, night, or as the device says. Takes effect at once; kept on this device. */
export function PaletteSwitch({ chosen }: { chosen?: Palette }) {
  const [now, setNow] = useState<Palette | 'device'>(chosen ?? 'device')
  const choose = (next: Palette | 'device') => {
    setNow(next)
    const root = document.documentElement
    if (next === 'device') delete root.dataset.palette
    else root.dataset.palette = next
    // biome-ignore lint/suspicious/noDocumentCookie: the Cookie Store API is missing over plain http
    document.cookie = `${PALETTE_COOKIE}=${next === 'device' ? '' : next}; path=/; max-age=${next === 'device' ? 0 : 31536000}; samesite=lax`
  }
  return (
    <fieldset className={styles.switch}>
      <legend>Colours</legend>
      <div className={styles.row}>
        {(['day', 'night', 'device'] as const).map(p => (
          <button key={p} type="button" aria-pressed={now === p} onClick={() => choose(p)}>
            {p === 'device' ? 'as the device' : p}
          </button>
        ))}
      </div>
    </fieldset>
  )
}
