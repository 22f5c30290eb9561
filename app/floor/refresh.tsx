'use client'
import { useRouter } from 'next/navigation'
import { useEffect } from 'react'

/**
 * Asks for the page anew every so often while it is looked at, and as soon as somebody comes back to it. What is typed stays.
 * @param seconds between two looks
 */
export function Refresh({ seconds }: { seconds: number }) {
  const router = useRouter()
  useEffect(() => {
    const look = () => {
      if (document.visibilityState === 'visible') router.refresh()
    }
    const timer = setInterval(look, seconds * 1000)
    document.addEventListener('visibilitychange', look)
    return () => {
      clearInterval(timer)
      document.removeEventListener('visibilitychange', look)
    }
  }, [router, seconds])
  return null
}
