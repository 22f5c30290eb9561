import {
  BLANK_KIND_WORDS,
  type BlankKind,
  compareSizes,
  formatFibres,
  type Outline,
  outlineOf,
  type Size,
} from '@/lib/shop/blanks'
import { placementOn, placementsFor } from '@/lib/shop/placements'
import type { StyleRow } from '@/lib/shop/store'

/** A place for a print on one kind of blank, with the usual size for the drawn garment. Lengths in mm. */
export type FormPlacement = {
  id: string
  name: string
  side: 'front' | 'back' | 'sleeve' | 'whole'
  measuredFrom: string
  offsetMm: number
  widthMm: number
  maxWidthMm: number
  maxHeightMm: number
  dropMm: number
}
/** What the order form knows of a blank. Plain data: it goes to the browser. */
export type FormStyle = {
  id: string
  name: string
  kind: BlankKind
  group: string
  fibres: string
  /** The size that is drawn. */
  drawnSize: string
  outline: Outline
  placements: FormPlacement[]
  colours: { name: string; hex: string; sizes: { size: string; free?: number }[] }[]
}

/** The size to draw and to take usual measures from: M, else the youth M, else the first there is. */
function drawnSizeOf(style: StyleRow): Size {
  const there = new Set(style.colours.flatMap(c => c.sizes.map(s => s.size)))
  return (['M', 'YM'].find(s => there.has(s)) ?? [...there][0] ?? 'M') as Size
}

/** The catalogue as the order form needs it. `free`: pieces on the shelf that nobody was promised, by item. */
export function formCatalogue(styles: readonly StyleRow[], free: ReadonlyMap<string, number>): FormStyle[] {
  return styles
    .map(style => {
      const size = drawnSizeOf(style)
      return {
        id: style.id,
        name: style.name,
        kind: style.kind,
        group: BLANK_KIND_WORDS[style.kind],
        fibres: formatFibres(style.fibres),
        drawnSize: size,
        outline: outlineOf(style.kind, size),
        placements: placementsFor(style.kind).map(p => {
          const on = placementOn(p.id, style.kind, size)
          return {
            id: p.id,
            name: p.name,
            side: p.side,
            measuredFrom: p.measuredFrom,
            offsetMm: p.offsetMm,
            widthMm: on.widthMm,
            maxWidthMm: on.maxWidthMm,
            maxHeightMm: on.maxHeightMm,
            dropMm: on.dropMm,
          }
        }),
        colours: style.colours.map(c => ({
          name: c.name,
          hex: c.hex,
          sizes: c.sizes
            .toSorted((a, b) => compareSizes(a.size as Size, b.size as Size))
            .map(s => ({
              size: s.size,
              ...(free.has(s.itemId) ? { free: free.get(s.itemId) as number } : {}),
            })),
        })),
      }
    })
    .sort((a, b) => a.group.localeCompare(b.group) || a.name.localeCompare(b.name))
}
