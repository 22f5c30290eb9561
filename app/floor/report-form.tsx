'use client'
import { createContext, type ReactNode, useContext, useState } from 'react'
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
  const send = async (before: FormAnswer | null, data: FormData): Promise<FormAnswer> => {
    tell(null)
    const answer = await action(before, data)
    if (!answer.ok) return answer
    tell(answer.message ?? null)
    return { ok: true }
  }
  return (
    <ActionForm action={send} label={label} clear>
      {children}
    </ActionForm>
  )
}
