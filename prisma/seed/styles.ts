import type { BlankKind, FibreContent, Size } from '@/lib/shop/blanks'

/** A style of blank as a seed lays it on the shelves. */
export type SeedStyle = {
  code: string
  name: string
  kind: BlankKind
  fibres: FibreContent
  /** Price of one piece in minor units; larger sizes cost more. */
  price: number
  colours: [name: string, hex: string][]
  sizes: Size[]
  leadDays: number
}

/** What larger sizes cost more, minor units. */
export const SIZE_SURCHARGE: Partial<Record<Size, number>> = { '2XL': 60 }

/** Short codes of size and colour in a SKU. */
export const sku = (style: string, colour: string, size: Size): string =>
  `${style}-${colour
    .replace(/[^a-z]/gi, '')
    .slice(0, 3)
    .toUpperCase()}-${size === 'One size' ? 'ONE' : size}`

const ADULT: Size[] = ['S', 'M', 'L', 'XL', '2XL']

/** Blanks that a small shop would keep: one of each class at least. */
export const STYLES: SeedStyle[] = [
  {
    code: 'T180',
    name: 'Heavy cotton tee',
    kind: 'tee',
    fibres: { cotton: 100 },
    price: 285,
    colours: [
      ['White', '#ffffff'],
      ['Black', '#1b1b1e'],
      ['Navy', '#1f2a44'],
    ],
    sizes: ADULT,
    leadDays: 2,
  },
  {
    code: 'T50',
    name: 'Half-and-half tee',
    kind: 'tee',
    fibres: { cotton: 50, polyester: 50 },
    price: 310,
    colours: [
      ['Sand', '#d9c9a8'],
      ['Forest', '#22402f'],
    ],
    sizes: ADULT,
    leadDays: 3,
  },
  {
    code: 'P150',
    name: 'Running tee',
    kind: 'tee',
    fibres: { polyester: 100 },
    price: 395,
    colours: [
      ['White', '#ffffff'],
      ['Ice blue', '#cfe3ee'],
    ],
    sizes: ADULT,
    leadDays: 4,
  },
  {
    code: 'K160',
    name: 'Children’s cotton tee',
    kind: 'tee',
    fibres: { cotton: 100 },
    price: 240,
    colours: [['Sunflower', '#f4b942']],
    sizes: ['YS', 'YM', 'YL'],
    leadDays: 3,
  },
  {
    code: 'B140',
    name: 'Canvas tote',
    kind: 'tote',
    fibres: { cotton: 100 },
    price: 210,
    colours: [['Natural', '#e8dcc4']],
    sizes: ['One size'],
    leadDays: 2,
  },
  {
    code: 'M11',
    name: 'Coated mug',
    kind: 'mug',
    fibres: { coating: 100 },
    price: 165,
    colours: [['White', '#fbfbf8']],
    sizes: ['One size'],
    leadDays: 4,
  },
  {
    code: 'T3B',
    name: 'Tri-blend tee',
    kind: 'tee',
    fibres: { polyester: 50, cotton: 25, viscose: 25 },
    price: 390,
    colours: [['Heather grey', '#b9bbbd']],
    sizes: ['S', 'M', 'L'],
    leadDays: 4,
  },
  {
    code: 'N70',
    name: 'Nylon gym bag',
    kind: 'tote',
    fibres: { nylon: 100 },
    price: 285,
    colours: [['Black', '#17181a']],
    sizes: ['One size'],
    leadDays: 5,
  },
  {
    code: 'PL20',
    name: 'Coated plate',
    kind: 'plate',
    fibres: { coating: 100 },
    price: 340,
    colours: [['White', '#fbfbf8']],
    sizes: ['One size'],
    leadDays: 6,
  },
  {
    code: 'BT60',
    name: 'Coated bottle',
    kind: 'bottle',
    fibres: { coating: 100 },
    price: 520,
    colours: [['White', '#fbfbf8']],
    sizes: ['One size'],
    leadDays: 6,
  },
  {
    code: 'SK92',
    name: 'Sports sock',
    kind: 'sock',
    fibres: { polyester: 92, elastane: 8 },
    price: 145,
    colours: [['White', '#f7f7f4']],
    sizes: ['One size'],
    leadDays: 5,
  },
]
