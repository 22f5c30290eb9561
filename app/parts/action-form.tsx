'use client'
import { unstable_rethrow } from 'next/navigation'
import {
  type FormEvent,
  type ReactNode,
  useActionState,
  useEffect,
  useRef,
  useState,
  useTransition,
} from 'react'
import styles from './action-form.module.css'
import { type FormAnswer, FormContext } from './form-context'
import { Notice } from './notice'

/**
 * A form whose server action answers in plain sentences. What was typed stays whatever the answer, files too; the
 * sentence about a field stands beside it until it is changed, and gets the focus; one about the whole form stands on top. Works without
 * JavaScript as far as the action does.
 * @param action server action (before, data) → FormAnswer; it may redirect instead
 * @param children fields and a SubmitButton
 * @param clear empties the form after a good answer: for adding one line after another
 * @param label name of the form for screen readers, where there is more than one
 */
export function ActionForm({
  action,
  children,
  clear,
  label,
  className,
}: {
  action: (before: FormAnswer | null, data: FormData) => Promise<FormAnswer>
  children: ReactNode
  clear?: boolean
  label?: string
  className?: string
}) {
  // Without JavaScript the form is sent and drawn anew with its answer.
  const [drawn, send] = useActionState(action, null)
  const [said, setSaid] = useState<FormAnswer | null>(null)
  const [pending, start] = useTransition()
  const answer = said ?? drawn
  const form = useRef<HTMLFormElement>(null)
  const top = useRef<HTMLDivElement>(null)
  /** What the answer is about. */
  const sent = useRef<FormData>(null)

  // Fields changed since the answer: what it said about them may be true no more.
  const [changed, setChanged] = useState<{ since: FormAnswer | null; names: readonly string[] }>({
    since: null,
    names: [],
  })

  const errors: Record<string, string> = {}
  if (answer && !answer.ok) {
    Object.assign(errors, answer.errors)
    if (answer.field) errors[answer.field] ??= answer.message
    if (changed.since === answer) for (const name of changed.names) delete errors[name]
  }
  const general = answer?.message && !(!answer.ok && answer.field) ? answer.message : undefined

  useEffect(() => {
    if (!answer) return
    if (answer.ok) {
      if (clear) form.current?.reset()
      return
    }
    const wrong = form.current?.querySelector<HTMLElement>('[aria-invalid="true"]')
    ;(wrong ?? top.current)?.focus()
  }, [answer, clear])

  // React empties a form after its action; sent this way it keeps what was typed.
  const submit = (e: FormEvent<HTMLFormElement>) => {
    e.preventDefault()
    if (pending) return
    const data = new FormData(e.currentTarget, (e.nativeEvent as SubmitEvent).submitter)
    sent.current = data
    start(async () => {
      const now = await action(answer, data).catch(faultOf)
      start(() => setSaid(now))
    })
  }

  // One field may fill another by itself (a blank its colour): whatever says something else than was sent is no longer complained of.
  const heed = () => {
    if (Object.keys(errors).length === 0) return
    setTimeout(() => {
      if (!form.current || !sent.current) return
      const now = new FormData(form.current)
      const was = sent.current
      const names = Object.keys(errors).filter(n => String(now.getAll(n)) !== String(was.getAll(n)))
      if (names.length)
        setChanged(c => ({ since: answer, names: [...(c.since === answer ? c.names : []), ...names] }))
    })
  }

  return (
    <FormContext value={{ errors, pending }}>
      <form
        ref={form}
        action={send}
        onSubmit={submit}
        onChange={heed}
        aria-label={label}
        className={className ?? styles.form}
        noValidate
      >
        <div ref={top} tabIndex={-1} role="status" className={styles.top}>
          {general && <Notice kind={answer?.ok ? 'done' : 'stop'}>{general}</Notice>}
        </div>
        {children}
      </form>
    </FormContext>
  )
}

/** A fault on the way or in the server is an answer, too: what was typed stays. A redirect goes on. */
function faultOf(error: unknown): FormAnswer {
  unstable_rethrow(error)
  const code = error instanceof Error && 'digest' in error ? ` (code ${error.digest})` : undefined
  return {
    ok: false,
    message: code
      ? `The shop’s computer could not save this${code}. What you typed is still here: try again, and if it stays, tell whoever looks after the computer.`
      : 'The shop’s computer did not answer. What you typed is still here: look whether it was saved, then try again.',
  }
}
