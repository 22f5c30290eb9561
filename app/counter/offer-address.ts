import { headers } from 'next/headers'

/** The whole address of an offer, as the customer opens it: on the host under which this page was asked for. */
export async function offerAddress(token: string): Promise<string> {
  const asked = await headers()
  const host = asked.get('host') ?? 'localhost'
  const scheme = asked.get('x-forwarded-proto')?.split(',')[0] ?? 'http'
  return `${scheme === 'https' ? 'https' : 'http'}://${host}/offer/${token}`
}
