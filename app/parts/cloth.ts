const channel = (v: number): number => {
  const c = v / 255
  return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4
}

/** Relative luminance of "#rrggbb", 0 to 1 (WCAG 2.2). Anything else counts as mid grey. */
export function luminance(hex: string): number {
  const m = /^#?([0-9a-f]{2})([0-9a-f]{2})([0-9a-f]{2})$/i.exec(hex)
  if (!m) return 0.2
  const [r, g, b] = m.slice(1).map(v => channel(Number.parseInt(v, 16))) as [number, number, number]
  return 0.2126 * r + 0.7152 * g + 0.0722 * b
}

/** Contrast of two colours, 1 to 21 (WCAG 2.2). */
export function contrast(a: string, b: string): number {
  const [hi, lo] = [luminance(a), luminance(b)].sort((x, y) => y - x) as [number, number]
  return (hi + 0.05) / (lo + 0.05)
}

/** Black or white, whichever reads better on the cloth. */
export const inkOn = (cloth: string): '#000000' | '#ffffff' =>
  contrast(cloth, '#000000') >= contrast(cloth, '#ffffff') ? '#000000' : '#ffffff'
