import type { Metadata } from 'next'
import { notFound } from 'next/navigation'
import { ActionForm } from '@/app/parts/action-form'
import { ButtonLink } from '@/app/parts/button'
import { Field } from '@/app/parts/field'
import { Notice } from '@/app/parts/notice'
import { Row } from '@/app/parts/row'
import { SubmitButton } from '@/app/parts/submit-button'
import { TextArea } from '@/app/parts/text-area'
import { TickField } from '@/app/parts/tick-field'
import { refuseAnswer } from '@/lib/orders/agree'
import { isReadable, offerName, standingOf, unclearedOf } from '@/lib/orders/offer'
import type { OfferRecord, OrderView } from '@/lib/orders/order'
import { findOffer, noteOpened } from '@/lib/orders/store'
import { hasDatabase } from '@/lib/server/health'
import { currentPerson } from '@/lib/server/session'
import { formatMoney } from '@/lib/units/money'
import { formatMoment, type Instant, instantOf } from '@/lib/units/time'
import styles from '../offer.module.css'
import { OfferSheet } from '../offer-sheet'
import { PrintButton } from '../print-button'
import { agreeAction, askAction, declineAction } from './actions'

type Address = { params: Promise<{ token: string }> }

/** The offer of an address, while that still shows one. */
async function find(params: Address['params']) {
  const found = hasDatabase() ? await findOffer((await params).token) : null
  return found && isReadable(found.offer, instantOf(new Date())) ? found : null
}

export async function generateMetadata({ params }: Address): Promise<Metadata> {
  const found = await find(params)
  const name = found && offerName(found.order.number, found.offer.version)
  return {
    title: { absolute: found ? `Offer ${name}, ${found.offer.snapshot.page.shop.name}` : 'No offer here' },
    // The address is the key: it is not handed on to any site that the page might lead to.
    referrer: 'no-referrer',
  }
}

/** The customer's page: what is offered, in plain words, and the answer. It shows nothing else of the shop. */
export default async function OfferForCustomer({ params }: Address) {
  const { token } = await params
  const found = await find(params)
  if (!found) notFound()
  const { order, offer } = found
  const now = instantOf(new Date())
  // People of the shop look too; only the customer's first look is noted.
  if (!(await currentPerson())) await noteOpened(offer.id, now)
  return (
    <main className={styles.page}>
      <Standing order={order} offer={offer} now={now} />
      <OfferSheet
        page={offer.snapshot.page}
        picture={id => `/offer/${encodeURIComponent(token)}/picture/${id}?size=480`}
      />
      {standingOf(offer, now) === 'open' && order.state === 'offered' ? (
        <Answer token={token} order={order} offer={offer} />
      ) : (
        // Whoever has just answered stands down here.
        <div role="status">
          <Standing order={order} offer={offer} now={now} />
        </div>
      )}
      <div className={styles.print} data-screen-only>
        <Row align="middle">
          <ButtonLink href={`/offer/${encodeURIComponent(token)}/pdf`} prefetch={false} target="_blank">
            Open as PDF
          </ButtonLink>
          <PrintButton />
        </Row>
      </div>
    </main>
  )
}

/** What has become of it, where it can no longer be answered. */
function Standing({ order, offer, now }: { order: OrderView; offer: OfferRecord; now: Instant }) {
  const { shop, deposit } = offer.snapshot.page
  if (offer.agreedAt)
    return (
      <Notice kind="done" title="Agreed">
        by {offer.agreedName}, {formatMoment(offer.agreedAt, shop.timeZone)}. What you read here is what was
        agreed, and {shop.name} has it on its plan.
        {deposit > 0 &&
          order.state === 'agreed' &&
          ` A deposit of ${formatMoney(deposit, shop.currency)} is asked for before the work begins.`}
      </Notice>
    )
  if (offer.endedAt && order.asked && order.offers[0]?.id === offer.id)
    return (
      <Notice title="You asked for a change:">
        “{order.asked}” {shop.name} has read it and will answer with a new offer.
      </Notice>
    )
  const no = refuseAnswer(order, offer, now)
  return no && <Notice kind="stop">{no.message}</Notice>
}

function Answer({ token, order, offer }: { token: string; order: OrderView; offer: OfferRecord }) {
  const { page } = offer.snapshot
  const uncleared = unclearedOf(order)
  const takenBack = uncleared.some(a => a.rights.takenBack)
  const names = uncleared.map(a => `“${a.name}”`).join(', ')
  return (
    <section className={styles.answer} data-screen-only aria-labelledby="answer">
      <h2 id="answer">Your answer</h2>
      <ActionForm action={agreeAction.bind(null, token)} label="Agree to the offer">
        {takenBack && (
          <Notice kind="stop">
            {page.shop.name} may not print {names} as things stand, so this offer cannot be agreed yet: ask
            the shop about the rights in it.
          </Notice>
        )}
        <Field
          name="name"
          label="Your name"
          hint="Typing it here signs the offer."
          autoComplete="name"
          maxLength={200}
        />
        {uncleared.length > 0 && !takenBack && (
          <TickField
            name="declares"
            label={`I declare that ${names} is mine to print, or that its owner has allowed it.`}
            note="A famous face, a team, a film or somebody’s sign is not yours to give. The declaration is kept with your name and today’s date."
          />
        )}
        <SubmitButton>Agree to {formatMoney(page.gross, page.shop.currency)}</SubmitButton>
      </ActionForm>
      <details className={styles.other}>
        <summary>Ask for a change</summary>
        <ActionForm action={askAction.bind(null, token)} label="Ask for a change">
          <Field name="name" label="Your name" autoComplete="name" maxLength={200} />
          <TextArea
            name="text"
            label="What should be different"
            hint="Sizes, colour, picture, day, price: in your own words. This offer ends and a new one follows."
          />
          <SubmitButton look="plain">Ask for the change</SubmitButton>
        </ActionForm>
      </details>
      <details className={styles.other}>
        <summary>Decline</summary>
        <ActionForm action={declineAction.bind(null, token)} label="Decline the offer">
          <Field name="name" label="Your name" autoComplete="name" maxLength={200} />
          <Field
            name="why"
            label="Why"
            required={false}
            hint="It helps the shop; you need not say."
            maxLength={600}
          />
          <SubmitButton look="danger">Decline this offer</SubmitButton>
        </ActionForm>
      </details>
    </section>
  )
}
