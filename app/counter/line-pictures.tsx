import { DrawnGarment } from '@/app/parts/drawn-garment'
import { Row } from '@/app/parts/row'
import type { MeasureSystem } from '@/lib/units/measure'
import { type PicturedLine, sidesOf } from './line-sides'

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
  line: PicturedLine & { name: string; colour: string; colourHex: string }
  picture: (artworkId: string) => string
  system: MeasureSystem
  width?: number
  plain?: boolean
}) {
  const { size, outline, sides } = sidesOf(line)
  return (
    <Row gap="large">
      {sides.map(({ side, prints }) => (
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
          prints={prints.map(({ artworkId, ...p }) => ({
            ...p,
            ...(artworkId ? { src: picture(artworkId) } : {}),
          }))}
        />
      ))}
    </Row>
  )
}
