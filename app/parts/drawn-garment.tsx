import type { BlankKind, Outline } from '@/lib/shop/blanks'
import { formatLength, type MeasureSystem, mm } from '@/lib/units/measure'
import { inkOn } from './cloth'
import styles from './drawn-garment.module.css'
import { type GarmentShape, garmentShape, placeOf } from './garment-shape'

/** A print on the garment, mm. */
export type DrawnPrint = {
  /** Address of the picture; without it the place is drawn empty. */
  src?: string
  /** What it shows, or the placement: "Tern roundel", "left chest". */
  name: string
  widthMm: number
  heightMm: number
  /** From the collar seam (upper edge, rim) to the top of the art; on a sleeve from its hem up to the foot of the art. */
  dropMm: number
  /** From the centre line toward the wearer's left. */
  offsetMm?: number
  onSleeve?: boolean
}

/**
 * A blank laid flat, drawn to scale in mm, with its prints in their real size and place, and their drop, offset and size
 * dimensioned. Ours from the first line; any cloth colour, the outline and the dimensions keep their contrast.
 * @param kind what is drawn; outline is its size (outlineOf of lib/shop/blanks)
 * @param side front | back
 * @param cloth "#rrggbb"
 * @param prints what stands on this side
 * @param system for the dimensions
 * @param width greatest width on the screen, px: lettering is sized for it
 * @param plain no dimensions: thumbnails, the customer's page
 * @param about said first to screen readers: "Black cotton tee, L"
 */
export function DrawnGarment({
  kind,
  outline,
  side = 'front',
  cloth,
  prints = [],
  system = 'metric',
  width = 340,
  plain,
  about,
}: {
  kind: BlankKind
  outline: Outline
  side?: 'front' | 'back'
  cloth: string
  prints?: readonly DrawnPrint[]
  system?: MeasureSystem
  width?: number
  plain?: boolean
  about: string
}) {
  const shape = garmentShape(kind, side, outline)
  const pad = Math.max(shape.box.width, shape.box.height) * 0.03
  // Room under the garment for a size that does not fit on it.
  const low =
    !plain &&
    prints.some(p => !p.onSleeve && p.dropMm + p.heightMm > shape.box.y + shape.box.height - pad * 4)
  const view = {
    x: shape.box.x - pad,
    y: shape.box.y - pad,
    width: shape.box.width + 2 * pad,
    height: shape.box.height + 2 * pad + (low ? (40 * shape.box.width) / width : 0),
  }
  const px = tenth((view.width / width) * 10) / 10 // mm to a pixel of the screen
  const ink = inkOn(cloth)
  const words = [about, side === 'back' ? 'back' : undefined, ...prints.map(p => said(p, shape, system))]
    .filter(Boolean)
    .join('. ')
  return (
    <svg
      className={styles.garment}
      style={{ width, aspectRatio: `${view.width} / ${view.height}` }}
      viewBox={[view.x, view.y, view.width, view.height].map(v => v.toFixed(1)).join(' ')}
      role="img"
      aria-label={words}
    >
      <path d={shape.silhouette} fill={cloth} stroke="none" />
      {shape.deeper.map(d => (
        <path key={d} d={d} fill={ink} fillOpacity={ink === '#ffffff' ? 0.16 : 0.12} />
      ))}
      {shape.lines.map(l => (
        <path
          key={l.d}
          d={l.d}
          fill="none"
          stroke={l.outside ? 'var(--ink)' : ink}
          strokeOpacity={l.outside ? 1 : 0.42}
          strokeWidth={(l.stitched ? 1 : 1.3) * px}
          strokeDasharray={l.stitched ? drawn`${3 * px} ${2.4 * px}` : undefined}
        />
      ))}
      <path d={shape.silhouette} className={styles.outline} strokeWidth={1.8 * px} />
      {prints.map((p, i) => (
        <Placed
          // biome-ignore lint/suspicious/noArrayIndexKey: prints have no other name here and keep their order
          key={i}
          print={p}
          shape={shape}
          side={side}
          ink={ink}
          px={px}
          system={system}
          plain={plain}
          half={outline.widthMm / 2}
        />
      ))}
    </svg>
  )
}

const tenth = (v: number): number => Math.round(v * 10) / 10
/** Path text with its numbers to a tenth of a millimetre. */
const drawn = (words: TemplateStringsArray, ...numbers: number[]): string =>
  words.map((w, i) => w + (i < numbers.length ? tenth(numbers[i] ?? 0) : '')).join('')

function said(p: DrawnPrint, shape: GarmentShape, system: MeasureSystem): string {
  const offset = p.offsetMm ?? 0
  const where = p.onSleeve && shape.sleeve ? 'above the sleeve hem' : shape.from
  const aside = offset
    ? `, ${formatLength(mm(Math.abs(offset)), system)} to the wearer’s ${offset > 0 ? 'left' : 'right'}`
    : ''
  return `${p.name}: ${size(p, system)}, ${formatLength(mm(p.dropMm), system)} ${where}${aside}`
}

const size = (p: DrawnPrint, system: MeasureSystem): string => {
  const [w, h] = [formatLength(mm(p.widthMm), system), formatLength(mm(p.heightMm), system)]
  return `${w.replace(/ \D+$/, '')} × ${h}`
}

/** About how wide some letters stand, mm. */
const lettersWidth = (words: string, letter: number): number => words.length * letter * 0.55
/** Whether words that start at x end before the edge of the body. */
const roomFor = (words: string, x: number, half: number, letter: number): boolean =>
  x + lettersWidth(words, letter) < half

function Art({ print, x, y, ink, px }: { print: DrawnPrint; x: number; y: number; ink: string; px: number }) {
  return print.src ? (
    <image href={print.src} x={x} y={y} width={print.widthMm} height={print.heightMm} />
  ) : (
    <rect
      x={x}
      y={y}
      width={print.widthMm}
      height={print.heightMm}
      fill={ink}
      fillOpacity={0.1}
      stroke={ink}
      strokeWidth={1.5 * px}
      strokeDasharray={drawn`${5 * px} ${4 * px}`}
    />
  )
}

function Placed({
  print,
  shape,
  side,
  ink,
  px,
  system,
  plain,
  half,
}: {
  print: DrawnPrint
  shape: GarmentShape
  side: 'front' | 'back'
  ink: string
  px: number
  system: MeasureSystem
  plain?: boolean | undefined
  /** Half the width of the body, where letters on the cloth must end. */
  half: number
}) {
  if (print.onSleeve && shape.sleeve) {
    const { x, y, tilt } = shape.sleeve
    return (
      <g transform={`translate(${x} ${y}) rotate(${tilt})`}>
        <Art print={print} x={-print.widthMm / 2} y={-print.dropMm - print.heightMm} ink={ink} px={px} />
      </g>
    )
  }
  const { x, y } = placeOf(print, side)
  const centre = x + print.widthMm / 2
  const foot = y + print.heightMm
  const letter = tenth(13 * px)
  const tick = 4 * px
  const line = { stroke: ink, strokeWidth: 1.3 * px, fill: 'none' }
  const text = { fill: ink, fontSize: letter, className: styles.letter }
  const beside = Math.abs(centre) > 1
  // A small drop has no room for its own figure: it stands beside the art then.
  const roomy = print.dropMm > letter * 0.95
  // Under the art; where the garment ends first, under the garment.
  const end = shape.box.y + shape.box.height
  const onCloth = foot + 10 * px + letter < end - 14 * px
  const across = onCloth ? foot + 7 * px : end + 9 * px
  const aside = foot + 38 * px
  const drop = formatLength(mm(print.dropMm), system)
  const outward = roomFor(drop, centre + 7 * px, half, letter)
  // Beside the centre the size starts under the art, but never runs over the edge of the body.
  const slack = half - 8 * px - lettersWidth(size(print, system), letter)
  const start = centre > 0 ? Math.min(x, slack) : Math.max(x + print.widthMm, -slack)
  const measure = onCloth ? ink : 'var(--ink)'
  return (
    <g>
      <Art print={print} x={x} y={y} ink={ink} px={px} />
      {!plain && (
        <g>
          {print.dropMm > 0 && (
            <>
              <path
                {...line}
                d={drawn`M${centre - tick} 0h${2 * tick}M${centre} 0V${y}M${centre - tick} ${y}h${2 * tick}`}
              />
              {roomy && (
                <text
                  {...text}
                  x={tenth(centre + (outward ? 7 : -7) * px)}
                  y={tenth(print.dropMm / 2 + letter * 0.36)}
                  textAnchor={outward ? 'start' : 'end'}
                >
                  {drop}
                </text>
              )}
            </>
          )}
          {beside && (
            <>
              <path
                {...line}
                strokeDasharray={drawn`${5 * px} ${3 * px} ${1.5 * px} ${3 * px}`}
                strokeWidth={px}
                d={drawn`M0 0V${aside + 4 * px}`}
              />
              <path
                {...line}
                d={drawn`M0 ${aside}H${centre}M0 ${aside - tick}v${2 * tick}M${centre} ${aside - tick}v${2 * tick}`}
              />
              <text
                {...text}
                x={tenth(centre > 0 ? -7 * px : 7 * px)}
                y={tenth(aside + letter * 0.36)}
                textAnchor={centre > 0 ? 'end' : 'start'}
              >
                {formatLength(mm(Math.abs(centre)), system)}
              </text>
            </>
          )}
          <path
            {...line}
            stroke={measure}
            d={drawn`M${x} ${across}H${x + print.widthMm}M${x} ${across - tick}v${2 * tick}M${x + print.widthMm} ${across - tick}v${2 * tick}`}
          />
          <text
            {...text}
            fill={measure}
            x={tenth(beside ? start : centre)}
            y={tenth(across + letter * 1.15)}
            textAnchor={beside ? (centre > 0 ? 'start' : 'end') : 'middle'}
          >
            {size(print, system)}
            {!roomy && print.dropMm > 0 && (
              <tspan x={tenth(beside ? start : centre)} dy={letter * 1.2}>
                {drop} down
              </tspan>
            )}
          </text>
        </g>
      )}
    </g>
  )
}
