import type { Size } from '@/lib/shop/blanks'
import type { PlacementId } from '@/lib/shop/placements'
import type { StationKind, WeekHours } from '@/lib/shop/stations'
import type { DRAWINGS } from './drawings'
import { SHOP_HOURS, SHORT_HOURS } from './stations'

/** The demo shop: everything here is invented. */
export const SHOP = {
  name: 'Millrace Print Room',
  currency: 'EUR',
  timeZone: 'Europe/Lisbon',
  measures: 'metric',
} as const

export const PEOPLE = [
  {
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
    hours: SHOP_HOURS,
  },
  {
    name: 'Idris Vale',
    role: 'press',
    wage: 1750,
    skills: ['screen-press', 'dryer', 'heat-press', 'bench', 'pretreat-booth'],
    hours: SHOP_HOURS,
  },
  {
    name: 'Pia Lund',
    role: 'counter',
    wage: 1680,
    skills: ['heat-press', 'sublimation-printer', 'dtg-printer', 'bench'],
    hours: SHORT_HOURS,
  },
] as const satisfies {
  name: string
  role: string
  wage: number
  skills: StationKind[]
  hours: WeekHours
}[]

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
  helperTees: {
    customer: 'market',
    title: 'Helpers’ tees',
    style: 'T180',
    colour: 'White',
    art: 'market',
    placement: 'full-front',
    width: 220,
    method: 'screen',
    sizes: { S: 6, M: 14, L: 12, XL: 4 },
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
    width: 80,
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
