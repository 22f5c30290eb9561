import { type SizeRule, sizeOf } from '@/lib/artwork/print-sizes'
import { type BlankKind, type Outline, outlineOf, type Size } from '@/lib/shop/blanks'
import { PLACEMENT, type PlacementId } from '@/lib/shop/placements'

/** What is drawn of a line: an order's own, or as an offer keeps it. */
export type PicturedLine = {
  kind: BlankKind
  sizes: readonly { size: Size; quantity: number }[]
  prints: readonly {
    placement: PlacementId
    widthMm: number
    heightMm: number
    dropMm: number
    offsetMm: number
    bySize?: readonly SizeRule[]
    artworkId: string | null
  }[]
}

/** The size that most pieces have: the one that is drawn. */
const drawnSize = (sizes: PicturedLine['sizes']): Size =>
  sizes.reduce((a, b) => (b.quantity > a.quantity ? b : a), sizes[0] ?? { size: 'M' as Size, quantity: 0 })
    .size

/** A print on one side of a blank, mm. */
export type SidePrint = {
  name: string
  artworkId: string | null
  widthMm: number
  heightMm: number
  dropMm: number
  offsetMm: number
  onSleeve: boolean
}

/** The size that is drawn, its outline, and each side that carries a print; the front where none does. */
export function sidesOf(line: PicturedLine): {
  size: Size
  outline: Outline
  sides: { side: 'front' | 'back'; prints: SidePrint[] }[]
} {
  const size = drawnSize(line.sizes)
  const on = (side: 'front' | 'back') =>
    line.prints
      .filter(p => (PLACEMENT[p.placement].side === 'back') === (side === 'back'))
      .map(({ placement, dropMm, offsetMm, artworkId, bySize, ...print }) => ({
        name: PLACEMENT[placement].name,
        onSleeve: PLACEMENT[placement].side === 'sleeve',
        artworkId,
        ...sizeOf(print, size, bySize ?? []),
        dropMm,
        offsetMm,
      }))
  const both = (['front', 'back'] as const).map(side => ({ side, prints: on(side) }))
  const printed = both.filter(s => s.prints.length > 0)
  return { size, outline: outlineOf(line.kind, size), sides: printed.length ? printed : both.slice(0, 1) }
}
