import { DrawnGarment } from '@/app/parts/drawn-garment'
import { Row } from '@/app/parts/row'
import { type BlankKind, outlineOf, type Size } from '@/lib/shop/blanks'
import { PLACEMENT, type PlacementId } from '@/lib/shop/placements'
import type { MeasureSystem } from '@/lib/units/measure'

/** What is drawn of a line: an order's own, or as an offer keeps it. */
export type PicturedLine = {
  kind: BlankKind
  name: string
  colour: string
  colourHex: string
  sizes: readonly { size: Size; quantity: number }[]
  prints: readonly {
    placement: PlacementId
    widthMm: number
    heightMm: number
    dropMm: number
    offsetMm: number
    artworkId: string | null
  }[]
}

/** The size that most pieces have: the one that is drawn. */
export const drawnSize = (sizes: PicturedLine['sizes']): Size =>
  sizes.reduce((a, b) => (b.quantity > a.quantity ? b : a), sizes[0] ?? { size: 'M' as Size, quantity: 0 })
    .size

/**
 * The garment to scale, each side that carries a print.
 * @param picture address of an artwork's picture
 * @param plain without dimensions
 */
export function LinePictures({
  line,
  picture,
  system,
  width = 300,
  plain,
}: {
  line: PicturedLine
  picture: (artworkId: string) => string
  system: MeasureSystem
  width?: number
  plain?: boolean
}) {
  const size = drawnSize(line.sizes)
  const outline = outlineOf(line.kind, size)
  const isBack = (p: PicturedLine['prints'][number]) => PLACEMENT[p.placement].side === 'back'
  const sides = (['front', 'back'] as const).map(side => ({
    side,
    prints: line.prints.filter(p => isBack(p) === (side === 'back')),
  }))
  const shown = sides.filter(s => s.prints.length > 0)
  return (
    <Row gap="large">
      {(shown.length ? shown : sides.slice(0, 1)).map(({ side, prints }) => (
        <DrawnGarment
          key={side}
          kind={line.kind}
          outline={outline}
          side={side}
          cloth={line.colourHex}
          system={system}
          width={width}
          plain={plain}
          about={`${line.colour} ${line.name}, size ${size}`}
          prints={prints.map(p => ({
            name: PLACEMENT[p.placement].name,
            widthMm: p.widthMm,
            heightMm: p.heightMm,
            dropMm: p.dropMm,
            offsetMm: p.offsetMm,
            onSleeve: PLACEMENT[p.placement].side === 'sleeve',
            ...(p.artworkId ? { src: picture(p.artworkId) } : {}),
          }))}
        />
      ))}
    </Row>
  )
}
