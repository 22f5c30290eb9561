'use client'
import { createContext, useContext } from 'react'

/**
 * What a form's server action answers. Refusal and Result of lib/units fit as they are: the message of a refusal with a
 * field stands beside that field.
 */
export type FormAnswer =
  | {
      ok: false
      message: string
      /** The one field it is about. */
      field?: string
      /** More than one field: a sentence by name. */
      errors?: Record<string, string>
    }
  | { ok: true; message?: string }

type FormState = { errors: Record<string, string>; pending: boolean }

export const FormContext = createContext<FormState>({ errors: {}, pending: false })

/** The sentence about a field of the form around it, if its last answer had one. */
export const useFieldError = (name: string): string | undefined => useContext(FormContext).errors[name]
/** Whether the form around it is being saved. */
export const useFormPending = (): boolean => useContext(FormContext).pending
