'use client'
import { useState } from 'react'
import { ActionForm } from '@/app/parts/action-form'
import { Choices } from '@/app/parts/choices'
import { CopyButton } from '@/app/parts/copy-button'
import { Field } from '@/app/parts/field'
import type { FormAnswer } from '@/app/parts/form-context'
import { Notice } from '@/app/parts/notice'
import { Stack } from '@/app/parts/row'
import { SubmitButton } from '@/app/parts/submit-button'
import type { KeyAnswer } from './actions'

/** Makes a key, and shows it the one time that it can be seen. */
export function KeyForm({
  action,
  scopes,
}: {
  action: (before: FormAnswer | null, form: FormData) => Promise<KeyAnswer>
  scopes: readonly { value: string; label: string }[]
}) {
  const [key, setKey] = useState<string | null>(null)
  const send = async (before: FormAnswer | null, form: FormData): Promise<FormAnswer> => {
    const answer = await action(before, form)
    setKey(answer.key ?? null)
    return answer
  }
  return (
    <Stack>
      <ActionForm action={send} label="Make a key" clear>
        <Field name="name" label="Which program it is for" placeholder="Our web shop" maxLength={60} />
        <Choices
          name="scopes"
          label="With it the program may"
          many
          values={['orders.add']}
          options={[...scopes]}
        />
        <SubmitButton>Make a key</SubmitButton>
      </ActionForm>
      {key && (
        <Stack gap="small">
          <Notice kind="caution" title="Copy it now:">
            it is shown this once and kept nowhere. Whoever holds it can send orders in your name.
          </Notice>
          <CopyButton text={key} label="The new key" words="Copy the key" />
        </Stack>
      )}
    </Stack>
  )
}
