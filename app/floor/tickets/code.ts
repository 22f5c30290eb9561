import { toSVG } from 'bwip-js/node'
import { headers } from 'next/headers'

export type Code = { svg: string; address: string }

/** The code that the phone's own camera reads, by the address that this browser uses. */
export async function qrOf(path: string): Promise<Code> {
  const asked = await headers()
  const host = asked.get('x-forwarded-host') ?? asked.get('host') ?? 'localhost'
  const address = `${asked.get('x-forwarded-proto') ?? 'http'}://${host}${path}`
  return { address, svg: toSVG({ bcid: 'qrcode', text: address }) }
}
