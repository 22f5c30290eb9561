import type { BlankKind, FibreContent, Size } from '@/lib/shop/blanks'
import type { PlacementId } from '@/lib/shop/placements'
import type { MachineCost, StationKind, WeekHours } from '@/lib/shop/stations'
import { minor } from '@/lib/units/money'
import type { DRAWINGS } from './drawings'

/** The demo shop: everything here is invented. */
export const SHOP = {
  name: 'Millrace Print Room',
  currency: 'EUR',
  timeZone: 'Europe/Lisbon',
  measures: 'metric',
} as const

const week = (from: string, to: string, days = [1, 2, 3, 4, 5]): WeekHours =>
  days.map(weekday => ({ weekday, from, to }))
const day: WeekHours = [...week('08:00', '12:30'), ...week('13:15', '17:30')]

export const PEOPLE = [
  {
    username: 'maren',
    name: 'Maren Holt',
    role: 'owner',
    wage: 2400,
    skills: [
      'heat-press',
      'sublimation-printer',
      'dtg-printer',
      'pretreat-booth',
      'screen-press',
      'dryer',
      'bench',
    ],
    hours: day,
  },
  {
    username: 'idris',
    name: 'Idris Vale',
    role: 'press',
    wage: 1750,
    skills: ['screen-press', 'dryer', 'heat-press', 'bench', 'pretreat-booth'],
    hours: day,
  },
  {
    username: 'pia',
    name: 'Pia Lund',
    role: 'counter',
    wage: 1680,
    skills: ['heat-press', 'sublimation-printer', 'dtg-printer', 'bench'],
    hours: [...week('09:00', '12:30'), ...week('13:15', '16:30')],
  },
] as const satisfies {
  username: string
  name: string
  role: string
  wage: number
  skills: StationKind[]
  hours: WeekHours
}[]

type SeedStation = {
  code: string
  name: string
  kind: StationKind
  state: string | null
  bed: [number, number] | null
  heads: number | null
  cost: MachineCost | null
  hours: WeekHours
}

const spread = (
  price: number,
  years: number,
  upkeep: number,
  kilowatts: number,
  hours: number,
): MachineCost => ({
  purchase: {
    by: 'depreciation',
    price: minor(price),
    salvage: minor(Math.round(price * 0.1)),
    months: years * 12,
  },
  upkeepPerMonth: minor(upkeep),
  kilowatts,
  productiveHoursPerMonth: hours,
})

export const STATIONS: SeedStation[] = [
  {
    code: 'press-a',
    name: 'Heat press A',
    kind: 'heat-press',
    state: '149C',
    bed: [400, 500],
    heads: null,
    cost: {
      purchase: { by: 'instalments', principal: minor(148000), yearRateBp: 690, months: 24 },
      upkeepPerMonth: minor(900),
      kilowatts: 1.8,
      productiveHoursPerMonth: 80,
    },
    hours: day,
  },
  {
    code: 'press-b',
    name: 'Heat press B',
    kind: 'heat-press',
    state: '204C',
    bed: [400, 500],
    heads: null,
    cost: spread(89000, 4, 800, 1.6, 60),
    hours: day,
  },
  {
    code: 'sublimation',
    name: 'Sublimation printer',
    kind: 'sublimation-printer',
    state: null,
    bed: [330, 483],
    heads: null,
    cost: spread(64000, 3, 1400, 0.06, 40),
    hours: day,
  },
  {
    code: 'pretreat',
    name: 'Pretreat booth',
    kind: 'pretreat-booth',
    state: null,
    bed: [406, 508],
    heads: null,
    cost: spread(175000, 5, 1200, 0.3, 50),
    hours: day,
  },
  {
    code: 'garment-printer',
    name: 'Garment printer',
    kind: 'dtg-printer',
    state: null,
    bed: [406, 457],
    heads: null,
    cost: {
      purchase: { by: 'instalments', principal: minor(1390000), yearRateBp: 720, months: 48 },
      upkeepPerMonth: minor(9500),
      kilowatts: 0.5,
      productiveHoursPerMonth: 90,
    },
    hours: day,
  },
  {
    code: 'screen-press',
    name: 'Screen press',
    kind: 'screen-press',
    state: null,
    bed: [380, 450],
    heads: 4,
    cost: spread(420000, 7, 2500, 0.2, 90),
    hours: day,
  },
  {
    code: 'dryer',
    name: 'Dryer',
    kind: 'dryer',
    state: null,
    bed: null,
    heads: null,
    cost: spread(360000, 8, 1800, 6.5, 90),
    hours: day,
  },
  {
    code: 'bench',
    name: 'Bench',
    kind: 'bench',
    state: null,
    bed: null,
    heads: null,
    cost: null,
    hours: day,
  },
]

type SeedStyle = {
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
    sizes: ['S', 'M', 'L', 'XL', '2XL'],
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
    sizes: ['S', 'M', 'L', 'XL', '2XL'],
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
    sizes: ['S', 'M', 'L', 'XL', '2XL'],
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
]

/** What larger sizes cost more, minor units. */
export const SIZE_SURCHARGE: Partial<Record<Size, number>> = { '2XL': 60 }

/** Short codes of sizes and colours in a SKU. */
export const sku = (style: string, colour: string, size: Size): string =>
  `${style}-${colour
    .replace(/[^a-z]/gi, '')
    .slice(0, 3)
    .toUpperCase()}-${size === 'One size' ? 'ONE' : size}`

export const CUSTOMERS = [
  {
    key: 'lowtide',
    name: 'Lowtide Rowing Club',
    contact: 'Bea Marsh',
    email: 'kit@lowtide.example',
    phone: '555 0101',
    address: 'The Boathouse, Quay 3',
  },
  {
    key: 'fennel',
    name: 'Fennel & Rye',
    contact: 'Tom Fennel',
    email: 'tom@fennelandrye.example',
    phone: '555 0102',
    address: '14 Market Row',
  },
  {
    key: 'otter',
    name: 'Otter Bridge Primary School',
    contact: 'Ms Adeyemi',
    email: 'office@otterbridge.example',
    phone: '555 0103',
    address: 'School Lane',
    taxExempt: true,
  },
  {
    key: 'folk',
    name: 'Brackwater Folk Night',
    contact: 'Siobhan Reed',
    email: 'hello@brackwater.example',
    phone: '555 0104',
    address: 'The Old Malthouse',
  },
  {
    key: 'corvid',
    name: 'Corvid Cycle Couriers',
    contact: 'Jun Park',
    email: 'jun@corvid.example',
    phone: '555 0105',
    address: 'Arch 9',
  },
  {
    key: 'pillar',
    name: 'Pillar Climbing Hall',
    contact: 'Marta Quill',
    email: 'desk@pillar.example',
    phone: '555 0106',
    address: 'Unit 4, Foundry Yard',
  },
  {
    key: 'moth',
    name: 'Moth & Lantern Books',
    contact: 'Ezra Moth',
    email: 'ezra@mothandlantern.example',
    phone: '555 0107',
    address: '2 Chapel Steps',
  },
  {
    key: 'teasel',
    name: 'Teasel Choir',
    contact: 'Anneke de Wit',
    email: 'anneke@teasel.example',
    phone: '555 0108',
    address: '',
  },
  {
    key: 'saltbox',
    name: 'Saltbox Ceramics',
    contact: 'Rui Sal',
    email: 'rui@saltbox.example',
    phone: '555 0109',
    address: 'Kiln Street 7',
  },
  {
    key: 'nettle',
    name: 'Nettle Lane Nursery',
    contact: 'Fay Brook',
    email: 'fay@nettlelane.example',
    phone: '555 0110',
    address: 'Nettle Lane 1',
  },
  {
    key: 'weir',
    name: 'Weir Ten Race',
    contact: 'Olu Bankole',
    email: 'race@weirten.example',
    phone: '555 0111',
    address: 'Millrace Park',
  },
  {
    key: 'market',
    name: 'Lantern Market',
    contact: 'Dita Voss',
    email: 'dita@lanternmarket.example',
    phone: '555 0112',
    address: 'Riverside',
  },
  {
    key: 'ashdown',
    name: 'Hal Ashdown',
    contact: '',
    email: 'hal@ashdown.example',
    phone: '555 0113',
    address: '',
  },
] as const
export type CustomerKey = (typeof CUSTOMERS)[number]['key']

/** One job that the demo's customers keep coming back with. */
export type Job = {
  customer: CustomerKey
  title: string
  style: string
  colour: string
  art: keyof typeof DRAWINGS
  placement: PlacementId
  /** Width of the print in mm; its height follows the drawing. */
  width: number
  method: 'transfer' | 'sublimation' | 'dtg' | 'screen'
  /** Pieces by size for one "share": the history scales it. */
  sizes: Partial<Record<Size, number>>
}

export const JOBS = {
  rowingTees: {
    customer: 'lowtide',
    title: 'Regatta tees',
    style: 'T180',
    colour: 'Navy',
    art: 'rowing',
    placement: 'full-front',
    width: 260,
    method: 'screen',
    sizes: { S: 6, M: 14, L: 14, XL: 6, '2XL': 4 },
  },
  sprigTees: {
    customer: 'fennel',
    title: 'Waiters’ tees',
    style: 'T50',
    colour: 'Sand',
    art: 'sprig',
    placement: 'left-chest',
    width: 85,
    method: 'transfer',
    sizes: { S: 2, M: 4, L: 4, XL: 2 },
  },
  leavers: {
    customer: 'otter',
    title: 'Leavers’ tees',
    style: 'K160',
    colour: 'Sunflower',
    art: 'bridge',
    placement: 'full-front',
    width: 200,
    method: 'screen',
    sizes: { YS: 6, YM: 12, YL: 10 },
  },
  folkTees: {
    customer: 'folk',
    title: 'Folk night tees',
    style: 'T180',
    colour: 'Black',
    art: 'folk',
    placement: 'full-front',
    width: 280,
    method: 'dtg',
    sizes: { S: 3, M: 6, L: 6, XL: 3 },
  },
  courierTees: {
    customer: 'corvid',
    title: 'Riders’ tees',
    style: 'T180',
    colour: 'Black',
    art: 'corvid',
    placement: 'full-back',
    width: 270,
    method: 'transfer',
    sizes: { S: 3, M: 6, L: 6, XL: 3, '2XL': 2 },
  },
  holdsTees: {
    customer: 'pillar',
    title: 'Boulder cup tees',
    style: 'T180',
    colour: 'White',
    art: 'pillar',
    placement: 'full-front',
    width: 230,
    method: 'dtg',
    sizes: { S: 4, M: 8, L: 8, XL: 4 },
  },
  mothTotes: {
    customer: 'moth',
    title: 'Book bags',
    style: 'B140',
    colour: 'Natural',
    art: 'moth',
    placement: 'bag-front',
    width: 230,
    method: 'screen',
    sizes: { 'One size': 40 },
  },
  choirTees: {
    customer: 'teasel',
    title: 'Choir tees',
    style: 'T50',
    colour: 'Forest',
    art: 'teasel',
    placement: 'left-chest',
    width: 90,
    method: 'transfer',
    sizes: { S: 4, M: 6, L: 4 },
  },
  mugs: {
    customer: 'saltbox',
    title: 'Shop mugs',
    style: 'M11',
    colour: 'White',
    art: 'mug',
    placement: 'wrap',
    width: 198,
    method: 'sublimation',
    sizes: { 'One size': 24 },
  },
  snailTees: {
    customer: 'nettle',
    title: 'Nursery tees',
    style: 'K160',
    colour: 'Sunflower',
    art: 'snail',
    placement: 'full-front',
    width: 170,
    method: 'transfer',
    sizes: { YS: 6, YM: 6 },
  },
  raceTees: {
    customer: 'weir',
    title: 'Race tees',
    style: 'P150',
    colour: 'Ice blue',
    art: 'race',
    placement: 'full-front',
    width: 240,
    method: 'sublimation',
    sizes: { S: 8, M: 16, L: 16, XL: 6, '2XL': 2 },
  },
  marshals: {
    customer: 'weir',
    title: 'Marshals’ tees',
    style: 'T180',
    colour: 'Navy',
    art: 'race',
    placement: 'full-back',
    width: 270,
    method: 'screen',
    sizes: { S: 10, M: 30, L: 30, XL: 16, '2XL': 6 },
  },
  marketTees: {
    customer: 'market',
    title: 'Stallholders’ tees',
    style: 'T180',
    colour: 'Black',
    art: 'market',
    placement: 'full-front',
    width: 260,
    method: 'screen',
    sizes: { S: 4, M: 10, L: 10, XL: 4 },
  },
  ashdownGift: {
    customer: 'ashdown',
    title: 'Birthday tee',
    style: 'T180',
    colour: 'White',
    art: 'tiny',
    placement: 'full-front',
    width: 250,
    method: 'dtg',
    sizes: { L: 1 },
  },
  sunriseRun: {
    customer: 'weir',
    title: 'Volunteers’ thanks',
    style: 'P150',
    colour: 'White',
    art: 'sunrise',
    placement: 'full-front',
    width: 240,
    method: 'sublimation',
    sizes: { M: 4, L: 4 },
  },
} as const satisfies Record<string, Job>
export type JobKey = keyof typeof JOBS
