/** Shapes a screen dot can take. */
export type DotShape = 'round' | 'ellipse' | 'line'

/** A halftone screen. */
export type Screen = {
  /** Ruling, lines per inch. */
  lpi: number
  /** Angle in degrees, counter-clockwise from the horizontal. */
  angle: number
  shape: DotShape
}

const CELL = 256
// Ranking the cell's points costs more than screening a film with them.
const cells = new Map<DotShape, Float32Array>()

/**
 * Thresholds (0 to just under 1) of one screen cell, row by row, each rank equally often: so a tone of 30 % sets
 * 30 % of the cell whatever the dot's shape.
 */
export function cellThresholds(shape: DotShape): Float32Array {
  const known = cells.get(shape)
  if (known) return known
  const value = new Float64Array(CELL * CELL)
  for (let v = 0, i = 0; v < CELL; v++)
    for (let u = 0; u < CELL; u++, i++) {
      const x = Math.cos((2 * Math.PI * (u + 0.5)) / CELL)
      const y = Math.cos((2 * Math.PI * (v + 0.5)) / CELL)
      value[i] = shape === 'line' ? y : shape === 'ellipse' ? x + 0.75 * y : x + y
    }
  const order = Array.from({ length: value.length }, (_, i) => i).sort(
    (p, q) => value[q]! - value[p]! || p - q,
  )
  const out = new Float32Array(value.length)
  order.forEach((at, rank) => {
    out[at] = rank / value.length
  })
  cells.set(shape, out)
  return out
}

/**
 * Turns tone into dots of full ink: 255 where ink is laid, 0 elsewhere.
 * @param tone one byte a pixel: 0 no ink, 255 solid
 * @param ppi resolution of the film
 * @throws RangeError when a dot would be under two pixels: the film could not hold the ruling
 */
export function halftoned(
  tone: Uint8Array,
  width: number,
  height: number,
  ppi: number,
  screen: Screen,
): Uint8Array {
  const out = new Uint8Array(tone.length)
  const thresholds = cellThresholds(screen.shape)
  eachCellPoint(width, height, ppi, screen, (i, cell) => {
    const t = tone[i]!
    if (t === 255 || t / 255 > thresholds[cell]!) out[i] = t === 0 ? 0 : 255
  })
  return out
}

/** Walks the pixels with the index of the screen cell's point each falls on (see cellThresholds). */
export function eachCellPoint(
  width: number,
  height: number,
  ppi: number,
  { lpi, angle }: Screen,
  each: (pixel: number, cellPoint: number) => void,
): void {
  if (!(lpi > 0) || ppi / lpi < 2) throw new RangeError(`${lpi} lines per inch do not fit on ${ppi} ppi.`)
  const turn = (angle * Math.PI) / 180
  // Steps in 1/65536 of a cell, held in whole numbers: a row's end is as exact as its start.
  const scale = (lpi / ppi) * 65536
  const du = Math.round(Math.cos(turn) * scale)
  const dv = Math.round(Math.sin(turn) * scale)
  for (let y = 0, i = 0; y < height; y++) {
    let u = -dv * y
    let v = du * y
    for (let x = 0; x < width; x++, i++) {
      each(i, ((v >> 8) & 255) * CELL + ((u >> 8) & 255))
      u += du
      v += dv
    }
  }
}

/** Ruling that a mesh holds: the mesh count (threads per inch) over a ratio; 4.5 is the cautious common practice. */
export const rulingForMesh = (threadsPerInch: number, ratio = 4.5): number => threadsPerInch / ratio

/** Off the mesh's own directions. Common practice. */
const FIRST_ANGLE = 22.5

/**
 * Angles of up to six films, degrees (0 to under 90): 30° apart, where dots over dots give the finest rosette, then the same 15°
 * further round. Common practice.
 * @param first of the first film
 */
export const screenAngles = (first: number = FIRST_ANGLE): number[] =>
  [0, 30, 60, 15, 45, 75].map(further => (((first + further) % 90) + 90) % 90)
