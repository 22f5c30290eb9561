import { OrderLink } from '@/app/parts/order-link'
import { Section } from '@/app/parts/section'
import { StateMark } from '@/app/parts/state-mark'
import { standingOf } from '@/lib/planning/standing'
import { sharedPlan } from '@/lib/planning/store'
import { instantOf } from '@/lib/units/time'

const planned = async () => (await sharedPlan(instantOf(new Date()))).orders

/** Agreed orders that the plan has late or with little to spare: the customer is better told today. */
export async function InDanger({ zone }: { zone: string }) {
  const orders = (await planned())
    .filter(o => o.state === 'agreed' || o.state === 'making')
    .map(o => ({ order: o, ...standingOf(o, zone) }))
    .filter(o => o.standing === 'late' || o.standing === 'risk' || o.standing === 'unplaced')
    .sort((a, b) => b.lateMinutes - a.lateMinutes)
  if (orders.length === 0) return null
  return (
    <Section title="In danger" small>
      {orders.slice(0, 8).map(({ order, standing, words }) => (
        <p key={order.id}>
          <OrderLink order={order} />
          <br />
          <StateMark state={standing === 'risk' ? 'risk' : 'late'}>
            {words}
            {order.promiseHard && ', hard'}
          </StateMark>
        </p>
      ))}
      {orders.length > 8 && <p>and {orders.length - 8} more: see the floor.</p>}
    </Section>
  )
}

/** When the plan has one order ready, and what it waits for. */
export async function PlanWords({ orderId, zone }: { orderId: string; zone: string }) {
  const order = (await planned()).find(o => o.id === orderId)
  if (!order) return null
  const { standing, words } = standingOf(order, zone)
  return (
    <>
      <p>
        By the plan:{' '}
        {standing === 'late' || standing === 'unplaced' ? (
          <StateMark state="late">{words}</StateMark>
        ) : standing === 'risk' ? (
          <StateMark state="risk">{words}</StateMark>
        ) : (
          words
        )}
      </p>
      {order.holds.map(h => (
        <p key={h.text}>{h.text}</p>
      ))}
    </>
  )
}
