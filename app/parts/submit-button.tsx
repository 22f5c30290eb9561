'use client'
import type { ComponentProps } from 'react'
import { useFormStatus } from 'react-dom'
import { Button } from './button'
import { useFormPending } from './form-context'

/** The button that sends its form; works while the form is being saved. Takes Button's props; primary unless told. */
export function SubmitButton({ look = 'primary', ...rest }: ComponentProps<typeof Button>) {
  const { pending } = useFormStatus()
  const saving = useFormPending()
  const busy = pending || saving
  return (
    <Button
      type="submit"
      look={look}
      pending={busy}
      // Not disabled while it works, or the focus would be lost: a second press is swallowed instead.
      onClick={busy ? e => e.preventDefault() : undefined}
      {...rest}
    />
  )
}
