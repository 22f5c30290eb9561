import { z } from 'zod'

/** On what an artwork may be sold. */
export const CLEARANCE_BASES = ['ownWork', 'customerDeclaration', 'licence', 'publicDomain'] as const
export type ClearanceBasis = (typeof CLEARANCE_BASES)[number]

/** What people read, and what evidence each basis wants. */
export const CLEARANCE_WORDS: Record<ClearanceBasis, { name: string; evidence: string }> = {
  ownWork: { name: 'Own work', evidence: 'Who drew it, and when.' },
  customerDeclaration: {
    name: 'Customer’s declaration',
    evidence: 'Who declared it and where that is kept: a mail, a signed order, the offer.',
  },
  licence: { name: 'Licence', evidence: 'From whom, for what use and how many pieces, and until when.' },
  publicDomain: { name: 'Public domain', evidence: 'Why it is free: the maker and the year, or the notice.' },
}

/** Stands beside every clearance: what the trade knows and no tool can settle. */
export const RIGHTS_NOTE =
  'A famous face, a mark, a team or a film is not the customer’s to give. When in doubt, do not print it, and ask somebody licensed to advise where the shop is.'

/** What somebody records, or "withdrawn" to take an earlier basis back. */
export const clearanceInput = z.object({
  artwork: z.uuid('This artwork is not known here: open it again from the art desk.'),
  basis: z.enum([...CLEARANCE_BASES, 'withdrawn'], 'Choose on what basis the artwork may be sold.'),
  evidence: z
    .string()
    .trim()
    .min(3, 'Say in a few words what this rests on, so that it can be found again.')
    .max(1000, 'The evidence is longer than 1000 characters: shorten it, and keep the document itself.'),
})
export type ClearanceInput = z.output<typeof clearanceInput>

/** A basis as it was recorded; instants as epoch ms. */
export type Clearance = { basis: string; evidence: string; byName: string; at: number }

/** The basis that counts: the newest row, unless that one took it back. Rows in any order. */
export function standingClearance(rows: readonly Clearance[]): Clearance | null {
  const newest = rows.reduce<Clearance | null>((a, b) => (a && a.at > b.at ? a : b), null)
  return newest && newest.basis !== 'withdrawn' ? newest : null
}
