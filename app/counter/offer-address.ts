import { headers } from 'next/headers'
import { shop } from '@/lib/shop/store'

/** The whole address of an offer, as the customer opens it: as the shop has set it, else on the host under which this page was asked for. */
export async function offerAddress(token: string): Promise<string> {
  const { publicAddress } = await shop()
  if (publicAddress) return `${publicAddress}/offer/${token}`
  const asked = await headers()
  const host = asked.get('host') ?? 'localhost'
  const scheme = asked.get('x-forwarded-proto')?.split(',')[0] ?? 'http'
  return `${scheme === 'https' ? 'https' : 'http'}://${host}/offer/${token}`
}

/** Whether an address leads nowhere from anybody else's computer. */
export const isOwnMachineOnly = (address: string): boolean => {
  const { hostname } = new URL(address)
  return (
    hostname === 'localhost' ||
    hostname.endsWith('.localhost') ||
    hostname === '[::1]' ||
    hostname.startsWith('127.')
  )
}
