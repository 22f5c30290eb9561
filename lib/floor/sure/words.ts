/** How sure a promise is, in words: "92 %". Never all nor nothing: nobody knows that. @param share 0 to 1 */
export function chanceWords(share: number): string {
  if (share > 0.99) return 'over 99 %'
  if (share < 0.01) return 'under 1 %'
  return `${Math.round(share * 100)} %`
}
