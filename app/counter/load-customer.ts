import { notFound } from 'next/navigation'
import { z } from 'zod'
import type { Customer } from '@/lib/orders/order'
import { getCustomer } from '@/lib/orders/store'

export type CustomerAddress = { params: Promise<{ id: string }> }

/** The customer of an address; the page that says there is none otherwise. */
export async function loadCustomer(params: CustomerAddress['params']): Promise<Customer> {
  const id = z.uuid().safeParse((await params).id)
  const customer = id.success ? await getCustomer(id.data) : null
  if (!customer) notFound()
  return customer
}
