import { DrawnGarment } from '@/app/parts/drawn-garment'
import type { Garment } from '@/lib/floor/views/store'
import { outlineOf } from '@/lib/shop/blanks'
import { PLACEMENT, type PlacementId } from '@/lib/shop/placements'
import type { MeasureSystem } from '@/lib/units/measure'

const placement = (id: string) => PLACEMENT[id as PlacementId]
const sideOf = (id: string): 'front' | 'back' => (placement(id).side === 'back' ? 'back' : 'front')

/**
 * The garment of a step, drawn to scale with the art on it.
 * @param printId the print that is worked: its side is shown; without it, the side of the first print
 * @param width greatest width on the screen, px
 */
export function StepGarment({
  garment,
  printId,
  system,
  width = 380,
}: {
  garment: Garment
  printId?: string | null
  system: MeasureSystem
  width?: number
}) {
  const shown = garment.prints.find(p => p.id === printId) ?? garment.prints[0]
  const side = shown ? sideOf(shown.placement) : 'front'
  return (
    <DrawnGarment
      kind={garment.kind}
      outline={outlineOf(garment.kind, garment.size)}
      side={side}
      cloth={garment.cloth}
      system={system}
      width={width}
      about={`${garment.colours[0] ?? ''} ${garment.style}, ${garment.size}`}
      prints={garment.prints
        .filter(p => sideOf(p.placement) === side)
        .map(p => ({
          name: `${p.name}, ${placement(p.placement).name.toLowerCase()}`,
          widthMm: p.widthMm,
          heightMm: p.heightMm,
          dropMm: p.dropMm,
          offsetMm: p.offsetMm,
          onSleeve: placement(p.placement).side === 'sleeve',
          ...(p.artworkId ? { src: `/api/artwork/${p.artworkId}/picture?size=480` } : {}),
        }))}
    />
  )
}
