/** How many pieces of one size. */
export type SizeCount = { size: string; quantity: number }

/** Most pieces of one size on one order line. */
export const MOST_PER_SIZE = 10_000

/** Pieces of a run in all. */
export const pieces = (run: readonly { quantity: number }[]): number =>
  run.reduce((sum, { quantity }) => sum + quantity, 0)

/** A run as people write it: "S 4, M 8, 2XL 4". Sizes of no pieces are left out. */
export const formatSizeRun = (run: readonly SizeCount[]): string =>
  run
    .filter(r => r.quantity > 0)
    .map(r => `${r.size} ${r.quantity}`)
    .join(', ')

const whole = new Intl.NumberFormat('en')
/** "1 piece", "24 pieces". */
export const formatPieces = (n: number): string => `${whole.format(n)} ${n === 1 ? 'piece' : 'pieces'}`
