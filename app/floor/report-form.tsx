'use client'
import { createContext, type ReactNode, useContext, useRef, useState } from 'react'
import { ActionForm } from '@/app/parts/action-form'
import type { FormAnswer } from '@/app/parts/form-context'
import { Notice } from '@/app/parts/notice'

const Told = createContext<(message: string | null) => void>(() => {})

/** Keeps what the last report was answered in view, since the form it came from is gone when the work has moved on. */
export function Desk({ children }: { children: ReactNode }) {
  const [told, tell] = useState<string | null>(null)
  return (
    <Told value={tell}>
      <div role="status">{told && <Notice kind="done">{told}</Notice>}</div>
      {children}
    </Told>
  )
}

/** A form that reports something from a station; its answer stands on the Desk around it. */
export function ReportForm({
  action,
  children,
  label,
}: {
  action: (before: FormAnswer | null, data: FormData) => Promise<FormAnswer>
  children: ReactNode
  label: string
}) {
  const tell = useContext(Told)
  const place = useRef<HTMLDivElement>(null)
  const send = async (before: FormAnswer | null, data: FormData): Promise<FormAnswer> => {
    tell(null)
    const answer = await action(before, data)
    if (!answer.ok) return answer
    tell(answer.message ?? null)
    // A drawer that has done its work is shut.
    place.current?.closest('details')?.removeAttribute('open')
    return { ok: true }
  }
  return (
    <div ref={place}>
      <ActionForm action={send} label={label} clear>
        {children}
      </ActionForm>
    </div>
  )
}
