/** What the code of a ticket names: an order, and one of its batches or remakes. */
export type Scanned = { number: number; job: string | null }

/** The end of a ticket's address: "1044-batch-1". */
export const scanCode = (number: number, job: string): string => `${number}-${job}`

/** Reads the end of a ticket's address; null where it is none. */
export function readCode(code: string): Scanned | null {
  const read = /^(\d{1,9})(?:-((?:batch|remake)-\d{1,4}))?$/.exec(code)
  return read ? { number: Number(read[1]), job: read[2] ?? null } : null
}

/**
 * Reads what a scanner typed: the address on a ticket, whatever host it names, or an order's number alone. Scanners that type for
 * another keyboard write other signs for "/" and "-": any one sign counts.
 */
export function readScan(text: string): (Scanned & { address: boolean }) | null {
  const address = /floor\W(?:scan|jobs|tickets)\W(\d{1,9})(?:\W(batch|remake)\W(\d{1,4}))?\W?$/i.exec(
    text.trim(),
  )
  if (address)
    return {
      number: Number(address[1]),
      job: address[2] ? `${address[2].toLowerCase()}-${address[3]}` : null,
      address: true,
    }
  return /^\d{3,9}$/.test(text.trim()) ? { number: Number(text), job: null, address: false } : null
}

/** Longest pause between two keys of a scanner, ms. People type slower; common scanners send a key every 1 to 30 ms (from memory). */
const SCANNER_MS = 60

/** Keys that came fast one after the other. */
export type Burst = { text: string; at: number }
export const NO_BURST: Burst = { text: '', at: Number.NEGATIVE_INFINITY }

/** Takes a key to the burst; one that came late begins anew. @param at of the key, ms on any steady clock */
export const addKey = (burst: Burst, key: string, at: number): Burst =>
  key.length === 1 ? { text: at - burst.at <= SCANNER_MS ? burst.text + key : key, at } : burst

/** What the burst says when Enter closes it; null where a person typed. */
export const closeBurst = (burst: Burst, at: number) =>
  at - burst.at <= SCANNER_MS * 2 ? readScan(burst.text) : null
