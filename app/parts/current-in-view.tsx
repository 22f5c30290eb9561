'use client'
import { useEffect, useRef } from 'react'

/** Stands last in a row that scrolls sideways: brings the link to the open page into view. @param current changes when another one is open */
export function CurrentInView({ current }: { current: string }) {
  const mark = useRef<HTMLSpanElement>(null)
  // biome-ignore lint/correctness/useExhaustiveDependencies: the link is another one when the address is.
  useEffect(() => {
    const row = mark.current?.parentElement
    const link = row?.querySelector<HTMLElement>('[aria-current]')
    if (!row || !link) return
    const { left, width } = link.getBoundingClientRect()
    row.scrollLeft += left + width / 2 - row.getBoundingClientRect().left - row.clientWidth / 2
  }, [current])
  return <span ref={mark} hidden />
}
