import { formatLongDay } from '@/lib/units/time'
import type { OfferPage } from '../offer'
import { offerName } from '../offer'

/** What became of a mail. Long "sending": the server was cut off, and nobody knows whether the mail went. */
export const MAIL_STATES = ['sending', 'sent', 'failed'] as const
export type MailState = (typeof MAIL_STATES)[number]

/** How long a mail may be on its way, before it counts as cut off. */
export const LONGEST_SENDING_MS = 3 * 60_000

/** What a mail with an offer says, ready to be changed, sent or copied. @param address of the customer's page, whole */
export function offerMail(
  page: OfferPage,
  byName: string,
  address: string,
): { subject: string; text: string } {
  const { shop, customer, number, version, title } = page
  const hello = customer.contact || customer.name
  return {
    subject: `Offer ${offerName(number, version)} from ${shop.name}${title ? `: ${title}` : ''}`,
    text: [
      `Hello${hello ? ` ${hello}` : ''},`,
      `here is our offer${title ? ` for ${title}` : ''}. At this address you can read it, agree, ask for a change, or decline:`,
      address,
      `It holds until ${formatLongDay(page.validUntil, shop.timeZone)}.`,
      `${byName}, ${shop.name}`,
    ].join('\n\n'),
  }
}
