import { halftoned, type Screen } from './halftone'
import { letter, TEXT_HEIGHT, textWidth } from './lettering'
import type { Separation } from './separate'
import { PRODUCTION_PPI, pixelsAt } from './size'

/** One film, ready to expose: 0 black (ink), 255 clear, with marks and label in its margin. */
export type Film = {
  width: number
  height: number
  grey: Uint8Array
  /** Where the art begins on the film, pixels. */
  offset: { x: number; y: number }
}

/** What a film carries beside the art. */
export type FilmSettings = {
  /** What the label says, a line each: order and print, ink, mesh, ruling. Up to five lines. */
  label: readonly string[]
  /** Halftone for tones; null: every pixel is ink or not, at half strength. */
  screen: Screen | null
  /** Margin around the art, mm: room for marks and label. At least 10. */
  marginMm?: number
}

const MARGIN_MM = 14
const MARK_MM = 8
const LINE_MM = 0.25
const LETTER_MM = 2.4
/** Grid squares from one line of the label to the next. */
const LINE_SQUARES = TEXT_HEIGHT + 3

/** Draws a film from an ink's tones: halftoned or hard, with four registration marks and the ink's label. */
export function filmOf(
  separation: Pick<Separation, 'tone'>,
  width: number,
  height: number,
  settings: FilmSettings,
): Film {
  const margin = pixelsAt(Math.max(10, settings.marginMm ?? MARGIN_MM))
  const w = width + 2 * margin
  const h = height + 2 * margin
  const grey = new Uint8Array(w * h).fill(255)
  const ink = settings.screen
    ? halftoned(separation.tone, width, height, PRODUCTION_PPI, settings.screen)
    : separation.tone
  for (let y = 0; y < height; y++)
    for (let x = 0; x < width; x++) if (ink[y * width + x]! >= 128) grey[(y + margin) * w + x + margin] = 0
  const middle = margin >> 1
  for (const [x, y] of [
    [w >> 1, middle],
    [w >> 1, h - middle],
    [middle, h >> 1],
    [w - middle, h >> 1],
  ] as const)
    drawMark(grey, w, h, x, y)
  drawLabel(grey, w, h, settings.label, margin)
  return { width: w, height: h, grey, offset: { x: margin, y: margin } }
}

/** A circle with a cross through it, centred on a pixel. */
function drawMark(grey: Uint8Array, width: number, height: number, cx: number, cy: number): void {
  const reach = pixelsAt(MARK_MM / 2)
  const radius = reach * 0.6
  const line = pixelsAt(LINE_MM) / 2
  for (let y = Math.max(0, cy - reach); y <= Math.min(height - 1, cy + reach); y++)
    for (let x = Math.max(0, cx - reach); x <= Math.min(width - 1, cx + reach); x++) {
      const dx = x - cx
      const dy = y - cy
      const onRing = Math.abs(Math.hypot(dx, dy) - radius) <= line
      if (Math.abs(dx) <= line || Math.abs(dy) <= line || onRing) grey[y * width + x] = 0
    }
}

/** The label in the lower margin, from the left up to the mark in the middle; smaller where a line is long. */
function drawLabel(
  grey: Uint8Array,
  width: number,
  height: number,
  label: readonly string[],
  margin: number,
): void {
  const room = (width >> 1) - pixelsAt(MARK_MM / 2) - margin
  const longest = Math.max(1, ...label.map(textWidth))
  const tallest = Math.floor((0.8 * margin) / (label.length * LINE_SQUARES))
  const square = Math.max(1, Math.min(pixelsAt(LETTER_MM / TEXT_HEIGHT), Math.floor(room / longest), tallest))
  const top = height - margin + ((margin - label.length * LINE_SQUARES * square) >> 1)
  label.forEach((line, n) => {
    letter(line, (gx, gy) => {
      const x = margin + gx * square
      for (let y = 0; y < square; y++) {
        const row = (top + (n * LINE_SQUARES + gy) * square + y) * width
        if (x + square < width) grey.fill(0, row + x, row + x + square)
      }
    })
  })
}
