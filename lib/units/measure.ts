/** Millimetres. Lengths are kept in mm and shown in the shop's choice. */
export type Mm = number & { readonly unit: 'mm' }
/** Square centimetres. */
export type Cm2 = number & { readonly unit: 'cm2' }
/** Degrees Celsius. */
export type Celsius = number & { readonly unit: 'celsius' }
/** Pixels per inch. */
export type Ppi = number & { readonly unit: 'ppi' }

/** How lengths and temperatures are shown: cm and °C, or inches and °F. */
export type MeasureSystem = 'metric' | 'imperial'

/** Millimetres in an inch, exact (international inch, 1959). */
export const MM_PER_INCH = 25.4
/** Millimetres in a point: 1/72 inch. */
export const MM_PER_POINT = MM_PER_INCH / 72

const finite = (n: number, what: string): number => {
  if (!Number.isFinite(n)) throw new RangeError(`${n} is not ${what}.`)
  return n
}

/** Marks a number as millimetres. @throws RangeError when it is not finite or is negative. */
export function mm(n: number): Mm {
  if (finite(n, 'a length') < 0) throw new RangeError(`${n} mm is negative: a length is 0 or more.`)
  return n as Mm
}
/** Marks a number as cm². @throws RangeError when it is not finite or is negative. */
export function cm2(n: number): Cm2 {
  if (finite(n, 'an area') < 0) throw new RangeError(`${n} cm² is negative: an area is 0 or more.`)
  return n as Cm2
}
/** Marks a number as °C. @throws RangeError when it is not finite. */
export const celsius = (n: number): Celsius => finite(n, 'a temperature') as Celsius

/** °C from °F: (F − 32) × 5 ÷ 9. Not rounded. */
export const fromFahrenheit = (f: number): Celsius => celsius(((f - 32) * 5) / 9)
/** °F from °C. Not rounded. */
export const toFahrenheit = (c: Celsius): number => (c * 9) / 5 + 32
/** Millimetres from inches, exact. */
export const fromInches = (inches: number): Mm => mm(inches * MM_PER_INCH)
/** Inches from millimetres. */
export const toInches = (length: Mm): number => length / MM_PER_INCH
/** Area of a rectangle in cm². */
export const rectangle = (width: Mm, height: Mm): Cm2 => cm2((width * height) / 100)
/** Pixels per inch of so many pixels over a printed length. @throws RangeError when the length is 0. */
export function ppi(pixels: number, length: Mm): Ppi {
  if (length <= 0) throw new RangeError('A print of no length has no resolution.')
  return finite((pixels / length) * MM_PER_INCH, 'a resolution') as Ppi
}
/** Pixels needed to cover a length at a resolution, rounded to the nearest whole pixel. */
export const pixelsFor = (length: Mm, resolution: number): number =>
  Math.round((length / MM_PER_INCH) * resolution)

const trim = (n: number, digits: number): string => Number(n.toFixed(digits)).toString()

/** A length for people: metric "254 mm", imperial "10 in" (to a sixteenth where it is one, else two digits). */
export function formatLength(length: Mm, system: MeasureSystem): string {
  return system === 'metric' ? `${trim(length, 1)} mm` : `${trim(toInches(length), 2)} in`
}
/** An area for people: cm² or in². */
export function formatArea(area: Cm2, system: MeasureSystem): string {
  return system === 'metric' ? `${trim(area, area < 10 ? 1 : 0)} cm²` : `${trim(area / 6.4516, 1)} in²`
}
/** A temperature for people, in whole degrees: "150 °C" or "302 °F". */
export function formatTemperature(t: Celsius, system: MeasureSystem): string {
  return system === 'metric' ? `${Math.round(t)} °C` : `${Math.round(toFahrenheit(t))} °F`
}

/**
 * Reads a length as typed: a bare number is mm (metric) or inches (imperial); "mm", "cm", "m", "in" or a double prime say
 * otherwise. Returns one clear sentence when it is not a length from 0 to 10 m.
 */
export function parseLength(
  text: string,
  system: MeasureSystem,
): { ok: true; value: Mm } | { ok: false; message: string } {
  const m = /^\s*(\d+(?:[.,]\d+)?|[.,]\d+)\s*(mm|cm|m|in|inch|inches|"|″|”)?\s*$/i.exec(text)
  if (!m?.[1])
    return {
      ok: false,
      message: `“${text.slice(0, 40)}” is not a length: type it like ${system === 'metric' ? '254 or 25.4 cm' : '10 or 254 mm'}.`,
    }
  const n = Number(m[1].replace(',', '.'))
  const unit = (m[2] ?? (system === 'metric' ? 'mm' : 'in')).toLowerCase()
  const factor = unit === 'mm' ? 1 : unit === 'cm' ? 10 : unit === 'm' ? 1000 : MM_PER_INCH
  const value = n * factor
  if (!(value <= 10_000))
    return { ok: false, message: `“${text.slice(0, 40)}” is over 10 m: check the length and its unit.` }
  return { ok: true, value: mm(Math.round(value * 1000) / 1000) }
}

/**
 * A length beside a middle line as people type it, mm: "40", "-1.5 in", "40 right". As worn: + toward the wearer's left, − toward
 * their right. A unit left out is the shop's.
 */
export function parseOffset(
  text: string,
  system: MeasureSystem,
): { ok: true; value: number } | { ok: false; message: string } {
  const [, sign = '', length = '', way = ''] =
    /^\s*([+\-−–]?)\s*(.*?)\s*(left|right|l|r)?\s*$/i.exec(text) ?? []
  const read = parseLength(length, system)
  if (!read.ok)
    return {
      ok: false,
      message: `“${text.slice(0, 40)}” is no place beside the middle: type it like ${system === 'metric' ? '40 left, 40 right' : '1.5 left, 1.5 right'}, or 0.`,
    }
  const minus = (sign !== '' && sign !== '+') !== /^r/i.test(way)
  return { ok: true, value: minus && read.value > 0 ? -read.value : read.value }
}
