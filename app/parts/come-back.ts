'use client'
import { useEffect, useState } from 'react'

const LAST = 'came-back-at'
/** A page that breaks again so soon breaks by itself, not by the line: then somebody should read what it says. */
const SOON = 30_000
const PAUSE = 1000

function mayReload(): boolean {
  try {
    const last = Number(sessionStorage.getItem(LAST))
    const now = Date.now()
    if (last && Math.abs(now - last) < SOON) return false
    sessionStorage.setItem(LAST, String(now))
    return true
  } catch {
    return false
  }
}

/**
 * Loads the page anew as soon as the server answers, where it broke because an answer was cut off half-way: the server stopped or the
 * line fell. Faults of the server itself carry a code, and stay to be read.
 * @returns whether it is waiting for the server
 */
export function useComeBack(error: { digest?: string }): boolean {
  const [waiting, setWaiting] = useState(false)
  const isOwn = error.digest !== undefined
  useEffect(() => {
    if (isOwn || !mayReload()) return
    setWaiting(true)
    let over = false
    const look = async () => {
      while (!over) {
        const answer = await fetch('/api/health', { cache: 'no-store' }).catch(() => null)
        if (over) return
        if (answer?.ok) {
          location.reload()
          return
        }
        await new Promise(done => setTimeout(done, PAUSE))
      }
    }
    void look()
    return () => {
      over = true
    }
  }, [isOwn])
  return waiting
}
