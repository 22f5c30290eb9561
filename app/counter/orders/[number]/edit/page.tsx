import type { Metadata } from 'next'
import { ButtonLink } from '@/app/parts/button'
import { Notice } from '@/app/parts/notice'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { writeSizeRules } from '@/lib/artwork/size-rules'
import { STATE_WORDS } from '@/lib/orders/states'
import { requirePerson } from '@/lib/server/session'
import { dayOf, formatTime } from '@/lib/units/time'
import { editOrderAction } from '../../../actions'
import { formSetting } from '../../../form-page'
import { loadOrder, type OrderAddress, orderName } from '../../../load-order'
import { OrderForm } from '../../../order-form'

export const generateMetadata = async ({ params }: OrderAddress): Promise<Metadata> => ({
  title: `Change ${await orderName(params)}`,
})

/** Changes an enquiry. What is offered or agreed stays as the customer reads it. */
export default async function EditOrder({ params }: OrderAddress) {
  await requirePerson('orders.change')
  const order = await loadOrder(params)
  const { facts, customers, catalogue, today } = await formSetting()
  const { promiseAt: at } = order
  const back = { href: `/counter/orders/${order.number}`, label: `Order ${order.number}` }
  if (order.state !== 'enquiry')
    return (
      <RoomPage narrow>
        <PageHead title={`Change ${order.number}`} back={back} />
        <Notice kind="stop" action={<ButtonLink href={back.href}>Back to the order</ButtonLink>}>
          Order {order.number} is {STATE_WORDS[order.state]}:{' '}
          {order.state === 'offered'
            ? 'take the offer back first, then it can be changed.'
            : 'it stays as it was agreed. Write a new order for anything else.'}
        </Notice>
      </RoomPage>
    )
  return (
    <RoomPage>
      <PageHead title={`Change ${order.number}`} back={back} sense={order.customer.name} />
      <OrderForm
        action={editOrderAction.bind(null, order.number)}
        lock={{ version: order.version }}
        fields={{
          customer: order.customer,
          title: order.title,
          note: order.note,
          promiseDay: at === null ? '' : dayOf(at, facts.timeZone),
          promiseTime: at === null ? '17:00' : formatTime(at, facts.timeZone),
          promiseHard: order.promiseHard,
          rush: order.rush,
          lines: order.lines.map((line, key) => ({
            key,
            styleId: line.style.id,
            colour: line.colour,
            counts: Object.fromEntries(line.sizes.map(s => [s.size, s.quantity])),
            prints: line.prints.map((p, k) => ({
              key: k,
              placement: p.placement,
              widthMm: p.widthMm,
              heightMm: p.heightMm,
              dropMm: p.dropMm,
              offsetMm: p.offsetMm,
              bySize: writeSizeRules(p.bySize ?? [], facts.measures),
              art: p.artwork && {
                id: p.artwork.id,
                name: p.artwork.name,
                widthPx: p.artwork.widthPx,
                heightPx: p.artwork.heightPx,
              },
            })),
            next: line.prints.length,
          })),
        }}
        catalogue={catalogue}
        customers={customers}
        system={facts.measures}
        today={today}
        save="Save the changes"
      />
    </RoomPage>
  )
}
