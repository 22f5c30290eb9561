import { isYouth, type Size } from '@/lib/shop/blanks'

/** What somebody should have in mind before a step is started. Plain reminders, no legal advice. */
export type Reminder = { kind: 'child' | 'promise' | 'rights'; words: string }

/**
 * The reminders of a step.
 * @param sizes of its pieces
 * @param promise when it was promised, in words, where that is an event that cannot be moved
 * @param rights artworks that rest on somebody's word alone: the customer's declaration or a licence
 */
export function remindersOf(step: {
  sizes: readonly { size: string }[]
  promise: string | null
  rights: readonly { name: string; basis: string; evidence: string }[]
}): Reminder[] {
  const youth = [...new Set(step.sizes.map(s => s.size).filter(s => isYouth(s as Size)))]
  return [
    ...(youth.length
      ? [
          {
            kind: 'child' as const,
            words: `Children’s sizes (${youth.join(', ')}): check the rules for children’s clothing that apply where you sell, small parts, labels and the ink’s data sheet among them.`,
          },
        ]
      : []),
    ...(step.promise
      ? [{ kind: 'promise' as const, words: `Hard promise: ${step.promise}. It cannot be late.` }]
      : []),
    ...step.rights.map(r => ({
      kind: 'rights' as const,
      words: `${r.name} rests on ${r.basis}${r.evidence ? ` (${r.evidence})` : ''}: stop and ask if it shows a mark, a team or a character that somebody else may own.`,
    })),
  ]
}
