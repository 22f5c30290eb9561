import type { Metadata } from 'next'
import Link from 'next/link'
import { Suspense } from 'react'
import { ButtonLink } from '@/app/parts/button'
import { Notice } from '@/app/parts/notice'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Section } from '@/app/parts/section'
import { designsOf } from '@/lib/costing/order'
import type { Row } from '@/lib/methods/compare'
import { SORTS, type SortBy, sortRows } from '@/lib/methods/compare'
import { refuseOffering } from '@/lib/orders/offer'
import { type OrderView, orderPieces } from '@/lib/orders/order'
import { formatPieces } from '@/lib/orders/size-run'
import { safePromise } from '@/lib/planning/standing'
import { type ReadyTime, readyTimes } from '@/lib/planning/store'
import { mayDo } from '@/lib/server/rights'
import { requirePerson } from '@/lib/server/session'
import { crew, type ShopFacts, shop } from '@/lib/shop/store'
import { minor } from '@/lib/units/money'
import { addDays, dayOf, formatMoment, formatTime, instantOf } from '@/lib/units/time'
import { makeOfferAction } from '../../../actions'
import { type Comparison, comparisonOf, trialWays } from '../../../comparison'
import { CostChart } from '../../../cost-chart'
import styles from '../../../counter.module.css'
import { loadOrder, type OrderAddress, orderName } from '../../../load-order'
import { type CardSetting, commonWaits, Glance, MethodCard } from '../../../method-card'
import { OfferForm } from '../../../offer-form'

export const generateMetadata = async ({ params }: OrderAddress): Promise<Metadata> => ({
  title: `Methods for ${await orderName(params)}`,
})

const SORT_WORDS: Record<SortBy, string> = { margin: 'margin', cost: 'cost', date: 'date', feel: 'feel' }

/** Every way side by side, the shop's recipes and other printers: which can, at what price, by when, how it feels; and from there to the offer. */
export default async function Methods({
  params,
  searchParams,
}: OrderAddress & { searchParams: Promise<Record<string, string | string[]>> }) {
  const person = await requirePerson('prices.see')
  const order = await loadOrder(params)
  const query = await searchParams
  const facts = await shop()
  const now = instantOf(new Date())
  const costs = mayDo(person, 'books.see')
  const back = { href: `/counter/orders/${order.number}`, label: `Order ${order.number}` }
  const found = await comparisonOf(order, now)
  if (!found.ok)
    return (
      <RoomPage narrow>
        <PageHead title="Methods side by side" back={back} />
        <Notice kind="stop" action={<ButtonLink href={`${back.href}/edit`}>Change the enquiry</ButtonLink>}>
          {found.message}
        </Notice>
      </RoomPage>
    )
  const { rows, costing } = found.value
  const able = trialWays(found.value)
  const times = able.length ? readyTimes(order, able, now) : Promise.resolve([])
  const by = SORTS.find(s => s === query.sort) ?? (costs ? 'margin' : 'date')
  const sorted = sortRows(by === 'date' ? withTimes(rows, await times) : rows, by)
  const chosen = rows.find(r => r.key === query.method && r.can)
  const no = refuseOffering(order)
  const setting: CardSetting = {
    currency: facts.currency,
    zone: facts.timeZone,
    costs,
    promiseAt: order.promiseAt,
    number: order.number,
    kept: allKept(found.value),
    times,
  }
  const sorts = costs ? SORTS : SORTS.filter(s => s === 'date' || s === 'feel')
  return (
    <RoomPage>
      <PageHead
        title="Methods side by side"
        back={back}
        sense={`${order.number}, ${order.customer.name}: ${formatPieces(orderPieces(order))}${order.promiseAt === null ? '' : `, promised for ${formatMoment(order.promiseAt, facts.timeZone)}`}.`}
        more={
          order.state === 'enquiry' && (
            <ButtonLink look={able.length ? 'plain' : 'primary'} href={`${back.href}/edit`}>
              Change the enquiry
            </ButtonLink>
          )
        }
      />
      <nav aria-label="Sort the methods">
        <ul className={styles.filters}>
          {sorts.map(s => (
            <li key={s}>
              <Link
                href={`?${new URLSearchParams({ sort: s, ...(chosen ? { method: chosen.key } : {}) })}`}
                aria-current={s === by ? 'true' : undefined}
                scroll={false}
              >
                by {SORT_WORDS[s]}
              </Link>
            </li>
          ))}
        </ul>
      </nav>
      {unmeasured(order, found.value).map(({ id, name }) => (
        <div key={id} className={styles.waits}>
          <Notice
            kind="caution"
            title={`“${name}” could not be measured.`}
            action={<ButtonLink href={`/artdesk/${id}`}>Look at the art desk</ButtonLink>}
          >
            Its area and inks are assumed below, and the price may change.
          </Notice>
        </div>
      ))}
      <Suspense>
        <Waits times={times} />
      </Suspense>
      {able.length > 1 && <Glance rows={sorted.filter(r => r.can)} setting={setting} />}
      <ul className={styles.methods} aria-label="Methods">
        {sorted.map(row => (
          <MethodCard key={row.key} row={row} chosen={row.key === chosen?.key} setting={setting} />
        ))}
      </ul>
      {chosen && (
        <Section
          title={`Offer it by ${chosen.name.charAt(0).toLowerCase()}${chosen.name.slice(1)}`}
          id="offer"
        >
          {no ? (
            <Notice kind="stop" action={<ButtonLink href={back.href}>Back to the order</ButtonLink>}>
              {no.message}
            </Notice>
          ) : (
            <Suspense fallback={<p>Looking at the plan for a day to promise …</p>}>
              <Offer
                order={order}
                row={chosen}
                comparison={found.value}
                facts={facts}
                costs={costs}
                times={times}
              />
            </Suspense>
          )}
        </Section>
      )}
      {costs && able.length > 0 && (
        <Section title="What more or fewer pieces cost">
          <CostChart comparison={found.value} pieces={orderPieces(order)} currency={facts.currency} />
        </Section>
      )}
      {costing.rates.tax.rateBp === 0 && (
        <Notice>No tax is set in the rates. Check the rules where you are before you send an offer.</Notice>
      )}
    </RoomPage>
  )
}

/** Artwork that is in, but that the art desk could not measure. */
const unmeasured = (order: OrderView, { work }: Comparison) =>
  order.lines.flatMap((line, i) =>
    line.prints.flatMap((p, k) => (p.artwork && !work.lines[i]?.prints[k]?.art ? [p.artwork] : [])),
  )

/** Whether every design of the order has its screens on the shelf. */
const allKept = ({ work }: Comparison) => {
  const designs = designsOf(work)
  return designs.length > 0 && designs.every(d => work.keptScreens?.includes(d))
}

/** What every method would wait for: said once, above them all. */
async function Waits({ times }: { times: Promise<ReadyTime[]> }) {
  const common = commonWaits(await times)
  if (common.length === 0) return null
  return (
    <div className={styles.waits}>
      <Notice title="By any method:" action={<ButtonLink href="/stockroom">See the stockroom</ButtonLink>}>
        <ul>
          {common.map(text => (
            <li key={text}>{text}</li>
          ))}
        </ul>
      </Notice>
    </div>
  )
}

const withTimes = (rows: readonly Row[], times: readonly ReadyTime[]): Row[] =>
  rows.map(row => ({ ...row, readyAt: times.find(t => t.key === row.key)?.readyAt ?? null }))

async function Offer({
  order,
  row,
  comparison,
  facts,
  costs,
  times,
}: {
  order: OrderView
  row: Row
  comparison: Comparison
  facts: ShopFacts
  costs: boolean
  times: Promise<ReadyTime[]>
}) {
  const { timeZone: zone, currency } = facts
  const now = instantOf(new Date())
  const today = dayOf(now, zone)
  const { rates } = comparison.costing
  const ready = (await times).find(t => t.key === row.key)?.readyAt ?? null
  // What the customer asked for, else the end of the first working day that is safe to promise.
  const safe = ready === null ? null : safePromise(ready, zone, await crew(now))
  const promise = order.promiseAt !== null && order.promiseAt > now ? order.promiseAt : safe
  const { pricing, breaks, rounding, rushBp, leastOrder, tax, depositBp } = rates
  return (
    <>
      {order.promiseAt !== null && ready !== null && ready > order.promiseAt && (
        <Notice kind="caution" title="Later than asked.">
          By this method it would be ready {formatMoment(ready, zone)}; the customer asked for{' '}
          {formatMoment(order.promiseAt, zone)}. Promise a later day, or choose another method.
        </Notice>
      )}
      <OfferForm
        key={row.key}
        action={makeOfferAction.bind(null, order.number)}
        fields={{
          method: row.method,
          way: row.key === row.method ? '' : row.key,
          version: order.version,
          validUntil: addDays(today, rates.offerDays),
          promiseDay: promise === null ? '' : dayOf(promise, zone),
          promiseTime: promise === null ? '17:00' : formatTime(promise, zone),
          promiseHard: order.promiseHard,
        }}
        lines={row.price.lines.map(({ name, pieces, cost }) => ({
          name,
          pieces,
          cost: costs ? cost : minor(0),
        }))}
        computed={row.price.lines.map(l => l.each)}
        // The wished margin is the owner's own; who may not see it works from the computed prices.
        rates={{
          pricing: costs ? pricing : { by: 'margin', bp: 0 },
          breaks,
          rounding,
          rushBp,
          leastOrder,
          tax,
          depositBp,
        }}
        choices={{ rush: order.rush, exempt: order.customer.taxExempt }}
        currency={currency}
        today={today}
        costs={costs}
        below={row.price.belowCost}
      />
    </>
  )
}
