/** Pieces for people. */
export const pieces = (n: number): string => (n === 1 ? '1 piece' : `${n} pieces`)

/** First letter large: for the start of a sentence. */
export const large = (words: string): string => words.charAt(0).toUpperCase() + words.slice(1)
