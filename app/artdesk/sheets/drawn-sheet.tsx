import type { Nesting } from '@/lib/artwork/nest'
import { formatLength, type MeasureSystem, mm } from '@/lib/units/measure'
import styles from './sheets.module.css'

/** One sheet to scale, each piece with its order on it. */
export function DrawnSheet({
  nesting,
  sheet,
  width,
  height,
  system,
}: {
  nesting: Nesting
  sheet: number
  /** Of the sheet, mm. */
  width: number
  height: number
  system: MeasureSystem
}) {
  const placed = nesting.placed.filter(p => p.sheet === sheet)
  const size = `${formatLength(mm(width), system)} × ${formatLength(mm(height), system)}`
  return (
    <figure className={styles.sheet}>
      <svg
        viewBox={`0 0 ${width} ${height}`}
        role="img"
        aria-label={`Sheet ${sheet + 1}, ${size}: ${placed.length} prints of orders ${[...new Set(placed.map(p => p.order))].join(', ')}`}
      >
        <rect width={width} height={height} className={styles.ground} />
        {placed.map(p => {
          const letter = Math.min(p.height * 0.5, (p.width / Math.max(p.order.length, 4)) * 1.4, width / 22)
          return (
            <g key={`${p.x} ${p.y}`}>
              <rect x={p.x} y={p.y} width={p.width} height={p.height} className={styles.piece} />
              <text
                x={p.x + p.width / 2}
                y={p.y + p.height / 2 + letter * 0.35}
                fontSize={letter}
                className={styles.label}
              >
                {p.order}
              </text>
            </g>
          )
        })}
      </svg>
      <figcaption>
        Sheet {sheet + 1}: {placed.length} {placed.length === 1 ? 'print' : 'prints'}, {size}
      </figcaption>
    </figure>
  )
}
