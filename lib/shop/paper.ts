/** Sheets that offers are laid out for: A4 is 210 × 297 mm (ISO 216), Letter 8.5 × 11 in (ANSI/ASME Y14.1). */
export const PAPERS = ['a4', 'letter'] as const
export type Paper = (typeof PAPERS)[number]
export const PAPER_WORDS: Record<Paper, string> = { a4: 'A4', letter: 'Letter' }

/** A sheet as an address names it ("a4", "letter"); anything else is the shop's own. */
export const readPaper = (text: string | null, own: Paper): Paper =>
  PAPERS.find(p => p === text?.toLowerCase()) ?? own
