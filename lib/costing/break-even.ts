/**
 * Least whole number of pieces at which price × pieces ≥ fixed + variable × pieces; null when a piece earns nothing.
 * Any one unit of money, or minor units.
 */
export function breakEvenPieces(fixed: number, price: number, variable: number): number | null {
  const each = price - variable
  if (fixed <= 0) return 0
  if (!(each > 0)) return null
  // 1e-9: 108,000 ÷ 18 must not become 6001 by a floating-point crumb.
  return Math.ceil(fixed / each - 1e-9)
}
