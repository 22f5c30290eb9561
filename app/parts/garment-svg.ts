import { type BlankKind, outlineOf, type Size } from '@/lib/shop/blanks'
import { inkOn } from './cloth'
import { garmentShape, placeOf } from './garment-shape'

/** A print in a drawing that stands by itself: `href` holds the picture itself, not its address. */
export type SvgPrint = {
  href: string | null
  widthMm: number
  heightMm: number
  dropMm: number
  offsetMm: number
  onSleeve: boolean
}

/**
 * A blank laid flat with its prints, to scale, as an SVG that needs nothing around it: no style sheet, no address. For paper that
 * is laid out away from a browser; the screen has `DrawnGarment`.
 * @param ink of the outline, "#rrggbb"
 */
export function garmentSvg(
  of: { kind: BlankKind; size: Size; side: 'front' | 'back'; cloth: string; prints: readonly SvgPrint[] },
  ink: string,
): string {
  const shape = garmentShape(of.kind, of.side, outlineOf(of.kind, of.size))
  const pad = Math.max(shape.box.width, shape.box.height) * 0.03
  const view = [shape.box.x - pad, shape.box.y - pad, shape.box.width + 2 * pad, shape.box.height + 2 * pad]
  const px = (view[2] as number) / 260
  const on = inkOn(of.cloth)
  const tone = on === '#ffffff' ? 0.16 : 0.12
  const lines = shape.lines.map(l => {
    const stroke = l.outside ? ink : on
    const dashes = l.stitched ? ` stroke-dasharray="${(3 * px).toFixed(1)} ${(2.4 * px).toFixed(1)}"` : ''
    return `<path d="${l.d}" fill="none" stroke="${stroke}" stroke-opacity="${l.outside ? 1 : 0.42}" stroke-width="${(1.2 * px).toFixed(2)}"${dashes}/>`
  })
  const prints = of.prints.map(p => {
    const size = `width="${p.widthMm}" height="${p.heightMm}"`
    const art = (x: number, y: number) =>
      p.href
        ? `<image href="${p.href}" x="${x}" y="${y}" ${size} preserveAspectRatio="xMidYMid meet"/>`
        : `<rect x="${x}" y="${y}" ${size} fill="${on}" fill-opacity="0.1" stroke="${on}" stroke-width="${(1.4 * px).toFixed(2)}"/>`
    if (p.onSleeve && shape.sleeve) {
      const { x, y, tilt } = shape.sleeve
      return `<g transform="translate(${x} ${y}) rotate(${tilt})">${art(-p.widthMm / 2, -p.dropMm - p.heightMm)}</g>`
    }
    const { x, y } = placeOf(p, of.side)
    return art(x, y)
  })
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="${view.map(v => v.toFixed(1)).join(' ')}" width="${(view[2] as number).toFixed(1)}" height="${(view[3] as number).toFixed(1)}">`,
    `<path d="${shape.silhouette}" fill="${of.cloth}"/>`,
    ...shape.deeper.map(d => `<path d="${d}" fill="${on}" fill-opacity="${tone}"/>`),
    ...lines,
    `<path d="${shape.silhouette}" fill="none" stroke="${ink}" stroke-width="${(1.6 * px).toFixed(2)}"/>`,
    ...prints,
    '</svg>',
  ].join('')
}
