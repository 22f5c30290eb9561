import { createHmac } from 'node:crypto'

/** A time-based code, written from RFC 6238 and RFC 4226, sharing nothing with the shop's own. */
export function timeCode(base32: string, seconds: number): string {
  const bits = [...base32.replace(/=+$/, '')]
    .map(c => 'ABCDEFGHIJKLMNOPQRSTUVWXYZ234567'.indexOf(c).toString(2).padStart(5, '0'))
    .join('')
  const key = Buffer.from((bits.match(/.{8}/g) ?? []).map(b => Number.parseInt(b, 2)))
  const step = Buffer.alloc(8)
  step.writeBigUInt64BE(BigInt(Math.floor(seconds / 30)))
  const mac = createHmac('sha1', key).update(step).digest()
  return String((mac.readUInt32BE((mac.at(-1) ?? 0) & 15) & 0x7fffffff) % 1e6).padStart(6, '0')
}
