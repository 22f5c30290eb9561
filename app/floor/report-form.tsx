'use client'
import { useRouter } from 'next/navigation'
import { type ReactNode, useRef } from 'react'
import { uuidv7 } from 'uuidv7'
import { ActionForm } from '@/app/parts/action-form'
import type { FormAnswer } from '@/app/parts/form-context'
import { liveLine } from '@/app/parts/live-line'
import type { ReportKind } from '@/lib/floor/kept'
import { useDesk } from './desk'
import { keptReports } from './kept-reports'
import { smallPhoto } from './small-photo'

/**
 * A form that reports something from a station; its answer stands on the Desk around it. Without a line the report is kept in this
 * browser and sent later.
 * @param stepId what it is about
 * @param words what the report is called while it is kept: "1044, Press: start"; gets the fields that were sent
 * @param check looks at the fields before anything is kept; a refusal stands on the form
 */
export function ReportForm({
  kind,
  stepId,
  words,
  check,
  children,
  label,
  ticket,
}: {
  kind: ReportKind
  stepId: string
  words: string | ((fields: Record<string, string>) => string)
  check?: (fields: Record<string, string>) => FormAnswer | null
  children: ReactNode
  label: string
  /** The ticket that starts it when it is scanned a second time. */
  ticket?: string
}) {
  const { tell, person } = useDesk()
  const router = useRouter()
  const place = useRef<HTMLDivElement>(null)
  const sendIt = async (_before: FormAnswer | null, data: FormData): Promise<FormAnswer> => {
    tell(null)
    const fields: Record<string, string> = {}
    // Several ticks of one name are one list.
    for (const [name, value] of data.entries())
      if (typeof value === 'string') fields[name] = fields[name] ? `${fields[name]},${value}` : value
    const wrong = check?.(fields)
    if (wrong) return wrong
    const file = data.get('photo')
    let photo: Blob | undefined
    if (file instanceof Blob && file.size > 0) {
      const small = await smallPhoto(file)
      if (!small.ok) return small
      photo = small.value
    }
    const name = typeof words === 'string' ? words : words(fields)
    const answer = await keptReports().report({
      formKey: uuidv7(),
      kind,
      stepId,
      at: liveLine().now(),
      by: person,
      words: name,
      fields,
      ...(photo ? { photo } : {}),
    })
    if (answer && !answer.ok) {
      // Somebody else was faster, or the plan has moved it: the page is looked at anew beneath the sentence.
      if (liveLine().line.state === 'open') router.refresh()
      return answer
    }
    tell(answer)
    // The line tells this page too what has changed; without one, it has just been there.
    if (answer && liveLine().line.state !== 'open') router.refresh()
    // A drawer that has done its work is shut.
    place.current?.closest('details')?.removeAttribute('open')
    return { ok: true }
  }
  return (
    <div ref={place} data-ticket={ticket}>
      <ActionForm action={sendIt} label={label} clear>
        {children}
      </ActionForm>
    </div>
  )
}
