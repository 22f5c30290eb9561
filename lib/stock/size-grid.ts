/** A cell of the grid: an item in one colour and size. */
export type GridItem = {
  sku: string
  styleId: string | null
  styleName: string | null
  colour: string | null
  colourHex: string | null
  size: string | null
}

/** Colours down, sizes across; null where a colour does not come in a size. */
export type SizeGrid<T extends GridItem> = {
  styleId: string
  styleName: string
  sizes: string[]
  colours: { name: string; hex: string | null; cells: (T | null)[] }[]
}

/** Lays blanks out style by style. @param order sizes in the order people read them; unknown ones come last, by name */
export function sizeGrids<T extends GridItem>(items: readonly T[], order: readonly string[]): SizeGrid<T>[] {
  const rank = (size: string) => {
    const at = order.indexOf(size)
    return at < 0 ? order.length : at
  }
  const styles = new Map<string, T[]>()
  for (const item of items) {
    if (item.styleId === null || item.colour === null || item.size === null) continue
    styles.set(item.styleId, [...(styles.get(item.styleId) ?? []), item])
  }
  return [...styles]
    .map(([styleId, own]) => {
      const sizes = [...new Set(own.map(i => i.size as string))].sort(
        (a, b) => rank(a) - rank(b) || a.localeCompare(b),
      )
      const names = [...new Set(own.map(i => i.colour as string))]
      return {
        styleId,
        styleName: own[0]?.styleName ?? '',
        sizes,
        colours: names.map(name => ({
          name,
          hex: own.find(i => i.colour === name)?.colourHex ?? null,
          cells: sizes.map(size => own.find(i => i.colour === name && i.size === size) ?? null),
        })),
      }
    })
    .sort((a, b) => a.styleName.localeCompare(b.styleName))
}
