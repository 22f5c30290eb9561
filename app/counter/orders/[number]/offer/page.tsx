import { randomUUID } from 'node:crypto'
import type { Metadata } from 'next'
import Link from 'next/link'
import { notFound } from 'next/navigation'
import { readNumber } from '@/app/number-in-address'
import { OfferSheet } from '@/app/offer/offer-sheet'
import { PrintButton } from '@/app/offer/print-button'
import { ActionForm } from '@/app/parts/action-form'
import { ButtonLink } from '@/app/parts/button'
import { CopyButton } from '@/app/parts/copy-button'
import { DataTable } from '@/app/parts/data-table'
import { Field } from '@/app/parts/field'
import { Notice } from '@/app/parts/notice'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Row, Stack } from '@/app/parts/row'
import { Section } from '@/app/parts/section'
import { StateMark } from '@/app/parts/state-mark'
import { SubmitButton } from '@/app/parts/submit-button'
import { LONGEST_SENDING_MS, offerMail } from '@/lib/orders/mail/offer-mail'
import { type OfferMailRow, offerMails } from '@/lib/orders/mail/store'
import { offerName, standingOf, unclearedOf } from '@/lib/orders/offer'
import { offerChanges } from '@/lib/orders/offer-versions'
import type { OfferRecord, OrderView } from '@/lib/orders/order'
import { mailServer } from '@/lib/server/mail'
import { mayDo } from '@/lib/server/rights'
import { requirePerson } from '@/lib/server/session'
import { PAPER_WORDS, PAPERS } from '@/lib/shop/paper'
import { ratesAt, shop } from '@/lib/shop/store'
import { formatMoney } from '@/lib/units/money'
import {
  addDays,
  dayOf,
  formatDay,
  formatMoment,
  type Instant,
  instantOf,
  type ShopDay,
} from '@/lib/units/time'
import { renewOfferAction, sendOfferAction, takeBackAction } from '../../../actions'
import styles from '../../../counter.module.css'
import { loadOrder, type OrderAddress, orderName } from '../../../load-order'
import { isOwnMachineOnly, offerAddress } from '../../../offer-address'
import { CopyMail, SendOffer } from '../../../send-offer'

export const generateMetadata = async ({ params }: OrderAddress): Promise<Metadata> => ({
  title: `Offer ${await orderName(params)}`,
})

/** An offer as the customer sees it, with its address ready to send. */
export default async function OfferPage({
  params,
  searchParams,
}: OrderAddress & { searchParams: Promise<Record<string, string | string[]>> }) {
  const person = await requirePerson('prices.see')
  const order = await loadOrder(params)
  const asked = readNumber(String((await searchParams).version ?? ''))
  const offer = asked === null ? order.offers[0] : order.offers.find(o => o.version === asked)
  const back = { href: `/counter/orders/${order.number}`, label: `Order ${order.number}` }
  if (!offer && asked !== null) notFound()
  if (!offer)
    return (
      <RoomPage narrow>
        <PageHead title={`No offer for ${order.number} yet`} back={back} />
        <Notice action={<ButtonLink href={`${back.href}/methods`}>Compare the methods</ButtonLink>}>
          Choose a method first: its price becomes the offer.
        </Notice>
      </RoomPage>
    )
  const now = instantOf(new Date())
  const [facts, mails] = await Promise.all([shop(), offerMails(order.id)])
  const open = standingOf(offer, now) === 'open' && order.state === 'offered'
  const [first, second] = facts.paper === 'letter' ? (['letter', 'a4'] as const) : PAPERS
  return (
    <RoomPage
      sideLabel="What becomes of it"
      side={
        <div data-screen-only>
          <Became
            order={order}
            offer={offer}
            open={open}
            changes={mayDo(person, 'orders.change')}
            renewal={addDays(dayOf(now, facts.timeZone), (await ratesAt(now)).offerDays)}
          />
        </div>
      }
    >
      {/* On paper the sheet stands alone. */}
      <div data-screen-only>
        <PageHead
          title={`Offer ${offerName(order.number, offer.version)}`}
          back={back}
          sense={`${order.customer.name}, ${formatMoney(offer.gross, offer.snapshot.page.shop.currency)}, made by ${offer.byName}`}
          mark={open ? <StateMark state="offered" /> : undefined}
          more={
            <>
              {[first, second].map(paper => (
                <ButtonLink
                  key={paper}
                  href={`/offer/${offer.token}/pdf?paper=${paper}`}
                  prefetch={false}
                  target="_blank"
                >
                  PDF on {PAPER_WORDS[paper]}
                </ButtonLink>
              ))}
              <PrintButton />
            </>
          }
        />
      </div>
      {open && <Send order={order} offer={offer} mails={mails} by={person.name} />}
      <div className={styles.sheet}>
        <OfferSheet
          page={offer.snapshot.page}
          picture={id => `/api/artwork/${id}/picture?size=480`}
          level={2}
        />
      </div>
      <Mails mails={mails} order={order} zone={offer.snapshot.page.shop.timeZone} now={now} />
      <Versions order={order} shown={offer} />
    </RoomPage>
  )
}

/** The address, ready to hand to the customer, and the mail that takes it there. */
async function Send({
  order,
  offer,
  mails,
  by,
}: {
  order: OrderView
  offer: OfferRecord
  mails: OfferMailRow[]
  by: string
}) {
  const [address, server] = await Promise.all([offerAddress(offer.token), mailServer()])
  const fields = { to: order.customer.email, ...offerMail(offer.snapshot.page, by, address) }
  const sent = mails.some(m => m.offer === offer.version && m.state === 'sent')
  return (
    <div className={styles.sendOffer} data-screen-only>
      <p>Send the customer this address. Whoever holds it can read the offer and answer it.</p>
      <CopyButton text={address} label="Address of the offer" words="Copy the address" />
      {isOwnMachineOnly(address) && (
        <Notice kind="caution" title="It opens on this computer alone.">
          The owner sets the address that customers reach, in the office under Shop.
        </Notice>
      )}
      <Row gap="large" align="middle">
        <Link href={`/offer/${offer.token}`} target="_blank">
          Open the customer’s page
        </Link>
      </Row>
      <details open={server !== null}>
        <summary>
          {server ? (sent ? 'Send it by mail again' : 'Send it by mail') : 'A mail, ready to copy'}
        </summary>
        {server ? (
          <SendOffer
            action={sendOfferAction.bind(null, order.number)}
            fields={fields}
            offer={offer.version}
            formKey={randomUUID()}
          />
        ) : (
          <CopyMail fields={fields} />
        )}
      </details>
    </div>
  )
}

/** The mails that took an offer to its customer, and what became of them. */
function Mails({
  mails,
  order,
  zone,
  now,
}: {
  mails: OfferMailRow[]
  order: OrderView
  zone: string
  now: Instant
}) {
  if (mails.length === 0) return null
  return (
    <div data-screen-only>
      <Section title="Mails">
        <DataTable
          caption="Every mail with this offer, newest first"
          quietCaption
          rows={mails}
          rowKey={m => m.id}
          columns={[
            { key: 'at', head: 'When', rowHead: true, cell: m => `${formatMoment(m.at, zone)}, ${m.byName}` },
            { key: 'offer', head: 'Offer', cell: m => offerName(order.number, m.offer) },
            { key: 'to', head: 'To', wrap: true, cell: m => m.to },
            {
              key: 'state',
              head: 'What became of it',
              wrap: true,
              cell: m =>
                m.state === 'sent' ? (
                  <StateMark state="done">the mail server took it</StateMark>
                ) : m.state === 'sending' && now - m.at < LONGEST_SENDING_MS ? (
                  'on its way'
                ) : (
                  <>
                    <StateMark state="risk">{m.state === 'failed' ? 'not sent' : 'cut off'}</StateMark>{' '}
                    {m.answer || 'Nobody knows whether it went: ask the customer, or send it again.'}
                  </>
                ),
            },
          ]}
        />
      </Section>
    </div>
  )
}

/** Every version of the offer, and in what the one that is shown differs from the one before it. */
function Versions({ order, shown }: { order: OrderView; shown: OfferRecord }) {
  if (order.offers.length < 2) return null
  const { timeZone, currency } = shown.snapshot.page.shop
  const now = instantOf(new Date())
  const before = order.offers.find(o => o.version < shown.version)
  return (
    <div data-screen-only>
      <Section title="Versions">
        <DataTable
          caption="Every version, newest first"
          quietCaption
          rows={order.offers}
          rowKey={o => o.id}
          columns={[
            {
              key: 'name',
              head: 'Offer',
              rowHead: true,
              cell: o =>
                o === shown ? (
                  <strong>{offerName(order.number, o.version)}, shown here</strong>
                ) : (
                  <Link href={`/counter/orders/${order.number}/offer?version=${o.version}`}>
                    {offerName(order.number, o.version)}
                  </Link>
                ),
            },
            { key: 'made', head: 'Made', cell: o => `${formatMoment(o.createdAt, timeZone)}, ${o.byName}` },
            {
              key: 'total',
              head: 'Total',
              numeric: true,
              cell: o => formatMoney(o.gross, currency),
            },
            {
              key: 'standing',
              head: 'What became of it',
              wrap: true,
              cell: o =>
                standingOf(o, now) === 'open' ? 'waits for its customer' : closedWords(o, timeZone, order),
            },
          ]}
        />
        {before && (
          <DataTable
            caption={`What changed from ${offerName(order.number, before.version)} to ${offerName(order.number, shown.version)}`}
            rows={offerChanges(before.snapshot.page, shown.snapshot.page)}
            rowKey={c => c.what}
            empty="The customer reads the same in both."
            columns={[
              { key: 'what', head: 'What', rowHead: true, wrap: true, cell: c => c.what },
              { key: 'before', head: 'Before', wrap: true, cell: c => c.before || '–' },
              { key: 'after', head: 'After', wrap: true, cell: c => c.after || '–' },
            ]}
          />
        )}
      </Section>
    </div>
  )
}

function Became({
  order,
  offer,
  open,
  changes,
  renewal,
}: {
  order: OrderView
  offer: OfferRecord
  open: boolean
  changes: boolean
  /** The last day that is suggested where the same is offered again. */
  renewal: ShopDay
}) {
  const newest = order.offers[0] === offer && order.state === 'offered'
  const lapsed = newest && !open
  const passed = offer.snapshot.page.promise.at <= instantOf(new Date())
  const zone = offer.snapshot.page.shop.timeZone
  const uncleared = unclearedOf(order)
  return (
    <Stack gap="large">
      <Section title="What became of it" level={3}>
        <p>Made {formatMoment(offer.createdAt, zone)}.</p>
        <p>
          {offer.openedAt
            ? `First opened ${formatMoment(offer.openedAt, zone)}.`
            : 'The customer has not opened it yet.'}
        </p>
        {!open && <p>{closedWords(offer, zone, order)}</p>}
        {offer.snapshot.belowCostWhy && <p>Below cost: {offer.snapshot.belowCostWhy}</p>}
      </Section>
      {open && uncleared.length > 0 && (
        <Notice title="Rights.">
          {uncleared.map(a => `“${a.name}”`).join(', ')}{' '}
          {uncleared.some(a => a.rights.takenBack)
            ? 'may not be printed as things stand: this offer cannot be agreed until the art desk records a basis.'
            : 'has no recorded basis: the customer is asked to declare one when agreeing, or the art desk records it.'}{' '}
          <Link href={`/artdesk/${uncleared[0]?.id}`}>Record the rights</Link>
        </Notice>
      )}
      {lapsed && passed && (
        <Notice
          action={
            <ButtonLink href={`/counter/orders/${order.number}/methods`}>Compare the methods</ButtonLink>
          }
        >
          The day that it promised has passed: offer a new day.
        </Notice>
      )}
      {newest && changes && !passed && (
        <details open={lapsed}>
          <summary>Offer the same for longer</summary>
          <ActionForm action={renewOfferAction.bind(null, order.number)} label="Offer the same for longer">
            <input type="hidden" name="version" value={offer.version} />
            <Field
              key={offer.version}
              name="validUntil"
              label="Valid until"
              type="date"
              value={renewal}
              hint="A new version with a new address; this one stays as it was read."
            />
            <SubmitButton look={lapsed ? 'primary' : 'plain'}>Offer it again</SubmitButton>
          </ActionForm>
        </details>
      )}
      {open && changes && (
        <ActionForm action={takeBackAction.bind(null, order.number)} label="Take the offer back">
          <SubmitButton look="plain">Take it back and change the order</SubmitButton>
        </ActionForm>
      )}
    </Stack>
  )
}

function closedWords(offer: OfferRecord, zone: string, order: OrderView): string {
  if (offer.agreedAt) return `Agreed by ${offer.agreedName}, ${formatMoment(offer.agreedAt, zone)}.`
  if (offer.declinedAt) return `Declined ${formatMoment(offer.declinedAt, zone)}.`
  if (offer.endedAt)
    return `Ended ${formatMoment(offer.endedAt, zone)}: ${order.offers[0] === offer ? 'taken back, or a change was asked for.' : 'a newer offer took its place.'}`
  return `It was valid until ${formatDay(offer.validUntil, zone)} and nobody answered: offer it anew.`
}
