'use client'
import { useEffect, useRef, useState } from 'react'
import { Button } from '@/app/parts/button'
import { Notice } from '@/app/parts/notice'
import { Stack } from '@/app/parts/row'

/** How large a print is on the drawn garment, mm. */
export type DrawnAs = { widthMm: number; heightMm: number }
type Seen = { warnings: string[]; rules: string; drawn: DrawnAs }

const WAIT_MS = 350

/**
 * What stands in the way of a print where it is placed, looked up while it is typed, and widths by garment size where one size does
 * not do for all.
 * @param line path of the line's fields: "lines.0"
 * @param print path of the print's: "lines.0.prints.1"
 * @param drawn the size of garment that is drawn
 * @param onDrawn told how large the print is on it
 * @param onRules takes what is proposed
 */
export function Placing({
  line,
  print,
  style,
  drawn,
  onDrawn,
  onRules,
}: {
  line: string
  print: string
  style: string
  drawn: string
  onDrawn: (size: DrawnAs) => void
  onRules: (rules: string) => void
}) {
  const box = useRef<HTMLDivElement>(null)
  const [seen, setSeen] = useState<Seen | null>(null)
  const told = useRef(onDrawn)
  told.current = onDrawn

  useEffect(() => {
    const form = box.current?.closest('form')
    const around = box.current?.closest('section') ?? form
    if (!form || !around) return
    let timer: ReturnType<typeof setTimeout> | undefined
    let leave = new AbortController()
    const look = async (): Promise<void> => {
      leave.abort()
      leave = new AbortController()
      const query = new URLSearchParams({ style, drawn })
      for (const [name, value] of new FormData(form)) {
        if (typeof value !== 'string') continue
        if (name.startsWith(`${print}.`)) query.set(name.slice(print.length + 1), value)
        const size = name.startsWith(`${line}.quantity.`) ? name.slice(line.length + 10) : ''
        if (size && Number(value) > 0) query.append('size', size)
      }
      try {
        const answer = await (await fetch(`/api/artwork/placing?${query}`, { signal: leave.signal })).json()
        // While a length is half typed, what was seen before stays.
        if (!answer.ok) return
        setSeen(answer)
        told.current(answer.drawn)
      } catch {
        // The next change asks again; the order can be saved without.
      }
    }
    const ask = (): void => {
      clearTimeout(timer)
      timer = setTimeout(look, WAIT_MS)
    }
    ask()
    around.addEventListener('input', ask)
    around.addEventListener('change', ask)
    return () => {
      clearTimeout(timer)
      leave.abort()
      around.removeEventListener('input', ask)
      around.removeEventListener('change', ask)
    }
  }, [line, print, style, drawn])

  return (
    <div ref={box} role="status">
      <Stack gap="small">
        {seen && seen.warnings.length > 0 && (
          <Notice kind="caution" title="Where it is placed">
            {seen.warnings.join(' ')}
          </Notice>
        )}
        {seen?.rules && (
          <div>
            <Button size="small" onClick={() => onRules(seen.rules)}>
              Print {seen.rules} wide
            </Button>
          </div>
        )}
      </Stack>
    </div>
  )
}
