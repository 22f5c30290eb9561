/** sRGB channels 0–255. */
export type Rgb = readonly [r: number, g: number, b: number]
/** CIELAB with the D65 white point, 2° observer. */
export type Lab = readonly [L: number, a: number, b: number]

/** Reads "#rgb" or "#rrggbb" (the # may be missing). Null when it is neither. */
export function parseHex(hex: string): Rgb | null {
  const m = /^#?([0-9a-f]{3}|[0-9a-f]{6})$/i.exec(hex.trim())?.[1]
  if (!m) return null
  const six = m.length === 3 ? [...m].map(c => c + c).join('') : m
  const n = Number.parseInt(six, 16)
  return [n >> 16, (n >> 8) & 255, n & 255]
}

/** "#rrggbb", lower case. Channels are rounded and held to 0–255. */
export const toHex = ([r, g, b]: Rgb): string =>
  `#${[r, g, b]
    .map(c =>
      Math.max(0, Math.min(255, Math.round(c)))
        .toString(16)
        .padStart(2, '0'),
    )
    .join('')}`

/** Linear light (0–1) of each of the 256 sRGB codes: IEC 61966-2-1. */
export const LINEAR: Float64Array = Float64Array.from({ length: 256 }, (_, i) => {
  const c = i / 255
  return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4
})

// White point from the chromaticity x = 0.3127, y = 0.3290.
const WHITE_X = 0.3127 / 0.329
const WHITE_Z = (1 - 0.3127 - 0.329) / 0.329
const EPSILON = 216 / 24389
const KAPPA = 24389 / 27
const f = (t: number): number => (t > EPSILON ? Math.cbrt(t) : (KAPPA * t + 16) / 116)

/** CIELAB (D65) of an sRGB colour; the matrix is CSS Color 4's, in its exact fractions. */
export function labOf(r: number, g: number, b: number): [number, number, number] {
  return labOfLinear(LINEAR[r]!, LINEAR[g]!, LINEAR[b]!)
}

/** CIELAB (D65) of a colour in linear light, channels 0–1. */
export function labOfLinear(R: number, G: number, B: number): [number, number, number] {
  const X = (506752 / 1228815) * R + (87881 / 245763) * G + (12673 / 70218) * B
  const Y = (87098 / 409605) * R + (175762 / 245763) * G + (12673 / 175545) * B
  const Z = (7918 / 409605) * R + (87881 / 737289) * G + (1001167 / 1053270) * B
  const fy = f(Y)
  return [116 * fy - 16, 500 * (f(X / WHITE_X) - fy), 200 * (fy - f(Z / WHITE_Z))]
}

/** CIELAB lightness alone of a colour in linear light, channels 0–1. */
export const lightnessOf = (R: number, G: number, B: number): number =>
  116 * f((87098 / 409605) * R + (175762 / 245763) * G + (12673 / 175545) * B) - 16

const unF = (t: number): number => (t ** 3 > EPSILON ? t ** 3 : (116 * t - 16) / KAPPA)
const encode = (v: number): number => {
  const c = Math.max(0, Math.min(1, v))
  return 255 * (c <= 0.0031308 ? c * 12.92 : 1.055 * c ** (1 / 2.4) - 0.055)
}

/** sRGB (0–255, rounded, clipped to the gamut) of a CIELAB (D65) colour. */
export function rgbOfLab([L, a, b]: Lab): Rgb {
  const fy = (L + 16) / 116
  const X = unF(fy + a / 500) * WHITE_X
  const Y = unF(fy)
  const Z = unF(fy - b / 200) * WHITE_Z
  return [
    Math.round(encode((12831 / 3959) * X + (-329 / 214) * Y + (-1974 / 3959) * Z)),
    Math.round(encode((-851781 / 878810) * X + (1648619 / 878810) * Y + (36519 / 878810) * Z)),
    Math.round(encode((705 / 12673) * X + (-2585 / 12673) * Y + (705 / 667) * Z)),
  ]
}

const DEGREE = Math.PI / 180
const POW25_7 = 25 ** 7
/** By hand: the general power takes many times longer. */
const seventh = (c: number): number => {
  const cube = c * c * c
  return cube * cube * c
}

/** Hue angle in degrees, 0–360; 0 for grey. */
function hue(a: number, b: number): number {
  if (a === 0 && b === 0) return 0
  const h = Math.atan2(b, a) / DEGREE
  return h < 0 ? h + 360 : h
}

/**
 * CIEDE2000 colour difference, kL = kC = kH = 1.
 * Source: Sharma, Wu, Dalal, "The CIEDE2000 color-difference formula", Color Research & Application 30(1), 2005.
 */
export function deltaE2000(L1: number, a1: number, b1: number, L2: number, a2: number, b2: number): number {
  const cBar = (Math.sqrt(a1 * a1 + b1 * b1) + Math.sqrt(a2 * a2 + b2 * b2)) / 2
  const c7 = seventh(cBar)
  const g = 0.5 * (1 - Math.sqrt(c7 / (c7 + POW25_7)))
  const ap1 = (1 + g) * a1
  const ap2 = (1 + g) * a2
  const cp1 = Math.sqrt(ap1 * ap1 + b1 * b1)
  const cp2 = Math.sqrt(ap2 * ap2 + b2 * b2)
  const h1 = hue(ap1, b1)
  const h2 = hue(ap2, b2)
  const dL = L2 - L1
  const dC = cp2 - cp1
  const grey = cp1 * cp2 === 0
  let dh = h2 - h1
  if (grey) dh = 0
  else if (dh > 180) dh -= 360
  else if (dh < -180) dh += 360
  const dH = 2 * Math.sqrt(cp1 * cp2) * Math.sin((dh / 2) * DEGREE)
  const lBar = (L1 + L2) / 2
  const cpBar = (cp1 + cp2) / 2
  let hBar = h1 + h2
  if (!grey) {
    if (Math.abs(h1 - h2) > 180) hBar += hBar < 360 ? 360 : -360
    hBar /= 2
  }
  const t =
    1 -
    0.17 * Math.cos((hBar - 30) * DEGREE) +
    0.24 * Math.cos(2 * hBar * DEGREE) +
    0.32 * Math.cos((3 * hBar + 6) * DEGREE) -
    0.2 * Math.cos((4 * hBar - 63) * DEGREE)
  const l50 = (lBar - 50) ** 2
  const sL = 1 + (0.015 * l50) / Math.sqrt(20 + l50)
  const sC = 1 + 0.045 * cpBar
  const sH = 1 + 0.015 * cpBar * t
  const cp7 = seventh(cpBar)
  const rT =
    -2 * Math.sqrt(cp7 / (cp7 + POW25_7)) * Math.sin(60 * Math.exp(-(((hBar - 275) / 25) ** 2)) * DEGREE)
  const x = dL / sL
  const y = dC / sC
  const z = dH / sH
  return Math.sqrt(x * x + y * y + z * z + rT * y * z)
}

/** The formula's weight S_L is largest at black and white: no distance is less than the difference in lightness over this. */
export const MOST_SL = 1.75

/** CIEDE2000 between two Lab (D65) colours. */
export const labDistance = (p: Lab, q: Lab): number => deltaE2000(p[0], p[1], p[2], q[0], q[1], q[2])
