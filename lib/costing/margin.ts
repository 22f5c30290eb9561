/** Price from cost by margin, the share of the price that is earned: cost ÷ (1 − margin). @throws RangeError from margin 1 up. */
export function priceByMargin(cost: number, margin: number): number {
  if (!(margin < 1)) throw new RangeError('A margin of 100 % or more has no price.')
  return cost / (1 - margin)
}
/** Price from cost by markup, the share put on top of the cost: cost × (1 + markup). */
export const priceByMarkup = (cost: number, markup: number): number => cost * (1 + markup)
/** Margin of a markup: 0.25 → 0.2. */
export const marginOfMarkup = (markup: number): number => markup / (1 + markup)
/** Markup of a margin: 0.2 → 0.25. @throws RangeError from margin 1 up. */
export function markupOfMargin(margin: number): number {
  if (!(margin < 1)) throw new RangeError('A margin of 100 % or more has no markup.')
  return margin / (1 - margin)
}
