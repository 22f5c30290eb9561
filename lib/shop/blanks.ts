import { z } from 'zod'

/** Kinds of undecorated item. */
export const BLANK_KINDS = [
  'tee',
  'long-sleeve',
  'sweatshirt',
  'hoodie',
  'polo',
  'tank',
  'tote',
  'apron',
  'mug',
  'plate',
  'bottle',
  'sock',
] as const
export type BlankKind = (typeof BLANK_KINDS)[number]
export const BLANK_KIND_WORDS: Record<BlankKind, string> = {
  tee: 'T-shirt',
  'long-sleeve': 'Long-sleeve tee',
  sweatshirt: 'Sweatshirt',
  hoodie: 'Hoodie',
  polo: 'Polo shirt',
  tank: 'Tank top',
  tote: 'Tote bag',
  apron: 'Apron',
  mug: 'Mug',
  plate: 'Plate',
  bottle: 'Bottle',
  sock: 'Sports sock',
}
/** Garments worn on the body with a collar to measure from. */
export const hasCollar = (kind: BlankKind): boolean =>
  ['tee', 'long-sleeve', 'sweatshirt', 'hoodie', 'polo', 'tank'].includes(kind)

/** Sizes in the order people read them: youth, adult, one size. */
export const SIZES = [
  'YXS',
  'YS',
  'YM',
  'YL',
  'YXL',
  'XS',
  'S',
  'M',
  'L',
  'XL',
  '2XL',
  '3XL',
  '4XL',
  '5XL',
  'One size',
] as const
export type Size = (typeof SIZES)[number]
/** Whether a size is a child's. */
export const isYouth = (size: Size): boolean => size.startsWith('Y')
/** Sorts sizes the way people read them. */
export const compareSizes = (a: Size, b: Size): number => SIZES.indexOf(a) - SIZES.indexOf(b)

/** Fibres by share; "coating" is the polyester coat on a mug, plate or bottle. */
export const FIBRES = [
  'cotton',
  'polyester',
  'viscose',
  'nylon',
  'elastane',
  'wool',
  'linen',
  'coating',
  'other',
] as const
export type Fibre = (typeof FIBRES)[number]
export const FIBRE_WORDS: Record<Fibre, string> = {
  cotton: 'cotton',
  polyester: 'polyester',
  viscose: 'viscose',
  nylon: 'nylon',
  elastane: 'elastane',
  wool: 'wool',
  linen: 'linen',
  coating: 'polyester coating',
  other: 'other fibre',
}
/** Shares of fibre in percent, summing to 100. */
export type FibreContent = Partial<Record<Fibre, number>>
export const fibreContentSchema: z.ZodType<FibreContent, FibreContent> = z
  .partialRecord(z.enum(FIBRES), z.number().min(0).max(100))
  .refine(
    shares => Math.abs(Object.values(shares).reduce<number>((a, b) => a + (b ?? 0), 0) - 100) < 0.01,
    'The shares of fibre add up to 100 %.',
  )
/** Percent of polyester, coating included: what sublimation dye can settle in. */
export const polyesterShare = (content: FibreContent): number =>
  (content.polyester ?? 0) + (content.coating ?? 0)

/** What a fibre content means for heat. */
export const FIBRE_CLASSES = ['cotton', 'blend', 'tri-blend', 'polyester', 'nylon', 'hard'] as const
export type FibreClass = (typeof FIBRE_CLASSES)[number]
export const FIBRE_CLASS_WORDS: Record<FibreClass, string> = {
  cotton: 'cotton',
  blend: 'cotton and polyester blend',
  'tri-blend': 'tri-blend',
  polyester: 'polyester',
  nylon: 'nylon',
  hard: 'coated hard goods',
}
/**
 * The heat class of a fibre content. The most delicate fibre decides: nylon from 10 %, then polyester from 85 %; three fibres
 * with viscose are a tri-blend; up to 15 % polyester still counts as cotton. Common shop practice.
 */
export function fibreClass(content: FibreContent): FibreClass {
  if ((content.coating ?? 0) > 0) return 'hard'
  if ((content.nylon ?? 0) >= 10) return 'nylon'
  const polyester = content.polyester ?? 0
  if (polyester >= 85) return 'polyester'
  if (polyester > 0 && (content.cotton ?? 0) > 0 && (content.viscose ?? 0) > 0) return 'tri-blend'
  if (polyester > 15) return 'blend'
  return 'cotton'
}
/** "50 % cotton, 50 % polyester", largest share first. */
export const formatFibres = (content: FibreContent): string =>
  Object.entries(content)
    .filter(([, share]) => (share ?? 0) > 0)
    .sort((a, b) => (b[1] ?? 0) - (a[1] ?? 0))
    .map(([fibre, share]) => `${share} % ${FIBRE_WORDS[fibre as Fibre]}`)
    .join(', ')

export const HEX = /^#[0-9a-f]{6}$/i
export const hexSchema = z.string().regex(HEX, 'A colour is typed like #1a2b3c.')

/**
 * Relative luminance of an sRGB colour, 0 black to 1 white. Transfer curve of IEC 61966-2-1, weights 0.2126, 0.7152, 0.0722.
 * @throws RangeError when the colour is not #rrggbb.
 */
export function luminance(hex: string): number {
  if (!HEX.test(hex)) throw new RangeError(`“${hex}” is not a colour like #1a2b3c.`)
  const [r, g, b] = [1, 3, 5].map(i => {
    const c = Number.parseInt(hex.slice(i, i + 2), 16) / 255
    return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4
  }) as [number, number, number]
  return 0.2126 * r + 0.7152 * g + 0.0722 * b
}

/** Grounds as printers speak of them. White takes everything; light takes transparent dye with a shift; dark needs a white underbase. */
export type Ground = 'white' | 'light' | 'dark'
/** White from luminance 0.85, light from 0.40, else dark. The limits are common shop practice: heather and pastel count as light. */
export function groundOf(hex: string): Ground {
  const y = luminance(hex)
  return y >= 0.85 ? 'white' : y >= 0.4 ? 'light' : 'dark'
}

/** What the trade needs to know of a blank: no price, no stock. */
export const blankSchema = z.object({
  kind: z.enum(BLANK_KINDS),
  style: z.string().min(1).max(80),
  colour: z.object({ name: z.string().min(1).max(40), hex: hexSchema }),
  fibres: fibreContentSchema,
})
export type Blank = z.infer<typeof blankSchema>

/** A garment laid flat, mm. Common shop practice from usual size charts; measure the real one before a tight print. */
export type Outline = {
  /** Across the body 25 mm below the armhole; diameter × π for a mug. */
  widthMm: number
  /** From the top of the print ground to the hem: below the collar in front, or the height of the bag or mug. */
  collarToHemMm: number
}

// Body width and body length from the highest shoulder point, inches: the usual unisex tee chart.
const TEE: Record<Exclude<Size, 'One size'>, [number, number]> = {
  YXS: [15.5, 20.5],
  YS: [17, 22],
  YM: [18, 23.5],
  YL: [19, 25],
  YXL: [20, 26.5],
  XS: [16.5, 27],
  S: [18, 28],
  M: [20, 29],
  L: [22, 30],
  XL: [24, 31],
  '2XL': [26, 32],
  '3XL': [28, 33],
  '4XL': [30, 34],
  '5XL': [32, 35],
}
/** From the highest shoulder point down to the front collar seam, mm. Common shop practice. */
const COLLAR_DROP_MM = 95
const FIXED: Partial<Record<BlankKind, Outline>> = {
  tote: { widthMm: 380, collarToHemMm: 420 },
  apron: { widthMm: 300, collarToHemMm: 300 },
  mug: { widthMm: 240, collarToHemMm: 96 },
  plate: { widthMm: 200, collarToHemMm: 200 },
  bottle: { widthMm: 230, collarToHemMm: 180 },
  sock: { widthMm: 90, collarToHemMm: 330 },
}
const EXTRA_WIDTH_MM: Partial<Record<BlankKind, number>> = { sweatshirt: 50, hoodie: 50, tank: -30 }

/** Outline of a blank in a size, mm. "One size" garments are drawn as L. */
export function outlineOf(kind: BlankKind, size: Size): Outline {
  const fixed = FIXED[kind]
  if (fixed) return fixed
  const [width, length] = TEE[size === 'One size' ? 'L' : size]
  return {
    widthMm: Math.round(width * 25.4) + (EXTRA_WIDTH_MM[kind] ?? 0),
    collarToHemMm: Math.round(length * 25.4) - COLLAR_DROP_MM,
  }
}
