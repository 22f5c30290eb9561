/** A run as it is looked for. */
export type Findable = {
  number: number
  customer: string
  title: string
  crewId: string | null
  stationCode: string
}
/** What somebody looks for on the board; empty fields let everything through. */
export type Wanted = { find: string; who: string; station: string }

const plain = (text: string) => text.normalize('NFD').replace(/\p{M}/gu, '').toLowerCase()

/** Whether a run is what is looked for: an order number by its beginning, a customer or a piece of work by any part of the name. */
export function isWanted(run: Findable, { find, who, station }: Wanted): boolean {
  if (who && run.crewId !== who) return false
  if (station && run.stationCode !== station) return false
  const text = plain(find.trim())
  if (!text) return true
  if (/^#?\d+$/.test(text)) return String(run.number).startsWith(text.replace('#', ''))
  return plain(run.customer).includes(text) || plain(run.title).includes(text)
}
