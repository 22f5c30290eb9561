'use client'
import { useState } from 'react'
import { ActionForm } from '@/app/parts/action-form'
import { Field } from '@/app/parts/field'
import type { FormAnswer } from '@/app/parts/form-context'
import { SubmitButton } from '@/app/parts/submit-button'
import styles from './account.module.css'
import { beginFactorAction, confirmFactorAction, type EnrolmentAnswer } from './actions'

/** Adds an authenticator: the password, then the square code to point it at, then the first code back. */
export function AddSecondFactor() {
  const [enrolment, setEnrolment] = useState<EnrolmentAnswer['enrolment']>()
  const begin = async (before: FormAnswer | null, form: FormData): Promise<FormAnswer> => {
    const answer = await beginFactorAction(before, form)
    if (answer.enrolment) setEnrolment(answer.enrolment)
    return answer
  }
  if (!enrolment)
    return (
      <ActionForm action={begin} label="Second factor">
        <Field
          name="password"
          label="Your password"
          type="password"
          autoComplete="current-password"
          required
        />
        <SubmitButton>Add an authenticator</SubmitButton>
      </ActionForm>
    )
  return (
    <>
      <ol className={styles.steps}>
        <li>
          Point an authenticator app at this square, or type its key.
          {/* biome-ignore lint/performance/noImgElement: a picture within the page, nothing to fetch */}
          <img className={styles.square} src={enrolment.svg} alt="Square code for an authenticator app" />
          <code className={styles.secret}>{enrolment.secret}</code>
        </li>
        <li>
          Write these down. Each signs you in once, on the day the authenticator is lost.
          <ul className={styles.codes}>
            {enrolment.codes.map(code => (
              <li key={code}>
                <code>{code}</code>
              </li>
            ))}
          </ul>
        </li>
        <li>Type the code that it shows now.</li>
      </ol>
      <ActionForm action={confirmFactorAction} label="First code">
        <Field name="code" label="Code" size={8} inputMode="numeric" autoComplete="one-time-code" required />
        <SubmitButton look="primary">Sign in with it from now on</SubmitButton>
      </ActionForm>
    </>
  )
}
