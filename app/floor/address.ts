import * as z from 'zod'

/** An order's number from the address; null where it is none. */
export function numberOf(text: string): number | null {
  const read = z.coerce.number().int().min(1).max(2_000_000_000).safeParse(text)
  return read.success && /^\d+$/.test(text) ? read.data : null
}
