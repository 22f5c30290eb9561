import { redirect } from 'next/navigation'
import { listInput } from '@/lib/orders/input'
import { getOrder, listOrders } from '@/lib/orders/store'
import { requirePerson } from '@/lib/server/session'

/** Leads straight to the order of that number, or to the only one that fits; else to the list of what fits. */
export default async function Find({ searchParams }: { searchParams: Promise<Record<string, string>> }) {
  await requirePerson('orders.see')
  const { find } = listInput.parse(await searchParams)
  if (!find) redirect('/counter/orders')
  const number = /^#?\s*(\d{1,9})$/.exec(find)?.[1]
  if (number && (await getOrder(Number(number)))) redirect(`/counter/orders/${Number(number)}`)
  const { rows, total } = await listOrders(listInput.parse({ find, state: 'all' }))
  if (total === 1 && rows[0]) redirect(`/counter/orders/${rows[0].number}`)
  redirect(`/counter/orders?${new URLSearchParams({ find, state: 'all' })}`)
}
