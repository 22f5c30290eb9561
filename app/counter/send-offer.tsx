import { ActionForm } from '@/app/parts/action-form'
import { CopyButton } from '@/app/parts/copy-button'
import { Field } from '@/app/parts/field'
import type { FormAnswer } from '@/app/parts/form-context'
import { Stack } from '@/app/parts/row'
import { SubmitButton } from '@/app/parts/submit-button'
import { TextArea } from '@/app/parts/text-area'

/** What a mail with an offer is filled with. */
export type MailFields = { to: string; subject: string; text: string }

/**
 * A mail with an offer, sent by the shop's own server with the PDF beside it.
 * @param offer its version
 * @param formKey of this showing of the form: sent twice, it sends one mail
 */
export function SendOffer({
  action,
  fields,
  offer,
  formKey,
}: {
  action: (before: FormAnswer | null, form: FormData) => Promise<FormAnswer>
  fields: MailFields
  offer: number
  formKey: string
}) {
  return (
    <ActionForm action={action} label="Send the offer by mail">
      <input type="hidden" name="offer" value={offer} />
      <input type="hidden" name="formKey" value={formKey} />
      <Field name="to" label="To" value={fields.to} inputMode="email" autoComplete="off" maxLength={200} />
      <Field name="subject" label="Subject" value={fields.subject} maxLength={200} />
      <TextArea name="text" label="Text" value={fields.text} rows={9} maxLength={5000} />
      <SubmitButton>Send it, with the PDF</SubmitButton>
    </ActionForm>
  )
}

/** A mail ready to copy, for a shop that sends from its own mail program. @param what stands in it: "the offer" */
export function CopyMail({
  fields: { to, subject, text },
  what = 'the offer',
}: {
  fields: MailFields
  what?: string
}) {
  const mail = `mailto:${encodeURIComponent(to)}?${new URLSearchParams({ subject, body: text })
    .toString()
    .replaceAll('+', '%20')}`
  return (
    <Stack gap="small">
      <CopyButton text={text} label={`A mail with ${what}`} words="Copy the mail" rows={9} />
      <p>
        <a href={mail}>{to ? `Write the mail to ${to}` : 'Open it in your mail program'}</a>
      </p>
    </Stack>
  )
}
