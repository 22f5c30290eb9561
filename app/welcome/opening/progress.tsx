'use client'
import { useEffect, useState } from 'react'
import { ButtonLink } from '@/app/parts/button'
import { Notice } from '@/app/parts/notice'

type Health = { shop: string | null; opening: { step?: string; failed?: string } | null }

/** Says how far the opening is, and goes on as soon as a server with that shop answers. */
export function Progress({ kind, step }: { kind: 'own' | 'demo'; step: string }) {
  const [now, setNow] = useState<{ step: string; failed?: string }>({ step })
  useEffect(() => {
    const timer = setInterval(async () => {
      // Between the two servers nobody answers: keep asking.
      const health: Health | null = await fetch('/api/health', { cache: 'no-store' })
        .then(answer => answer.json())
        .catch(() => null)
      if (health?.shop === kind) {
        clearInterval(timer)
        location.assign('/sign-in')
      } else if (health?.opening?.failed) {
        clearInterval(timer)
        setNow({ step: '', failed: health.opening.failed })
      } else if (health?.opening?.step) setNow({ step: health.opening.step })
    }, 500)
    return () => clearInterval(timer)
  }, [kind])

  if (now.failed)
    return (
      <Notice kind="stop" action={<ButtonLink href="/welcome">Back</ButtonLink>}>
        {now.failed}
      </Notice>
    )
  return (
    <p role="status">
      {now.step} … <progress aria-label="The shop is being opened" />
    </p>
  )
}
