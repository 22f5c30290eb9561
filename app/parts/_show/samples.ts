import type { Working } from '@/lib/units/working'

/** Invented data, only for showing the parts. */
export const inkWorking: Working = {
  formula: 'covered area × deposit × density',
  inputs: [
    { name: 'covered area', value: '412 cm²', from: 'measured', source: 'the artwork’s own pixels' },
    {
      name: 'deposit',
      value: '32 cm³/m²',
      from: 'published',
      source: 'theoretical ink volume of a 77 threads/cm mesh',
      working: {
        formula: 'open area × fabric thickness',
        inputs: [
          { name: 'open area', value: '38%', from: 'published' },
          { name: 'fabric thickness', value: '84 µm', from: 'published' },
        ],
        result: '32 cm³/m²',
      },
    },
    { name: 'density', value: '1.2 g/cm³', from: 'default' },
  ],
  result: '1.58 g',
  note: 'Weigh a tin before and after twenty pieces and the shop’s own figure takes the default’s place.',
}

export type Sample = {
  order: string
  customer: string
  state: 'enquiry' | 'offered' | 'agreed' | 'making' | 'ready' | 'handedOver'
  pieces: number
  total: number
  promise: string
  standing?: 'late' | 'risk' | 'done'
}

export const orders: Sample[] = [
  {
    order: '1042',
    customer: 'Quayside Rowing',
    state: 'ready',
    pieces: 48,
    total: 61240,
    promise: 'Thu 14 May',
    standing: 'done',
  },
  {
    order: '1044',
    customer: 'Northside Half Marathon, volunteers’ committee',
    state: 'making',
    pieces: 240,
    total: 186000,
    promise: 'Thu 14 May',
    standing: 'late',
  },
  {
    order: '1049',
    customer: 'Lowtide Swim Club',
    state: 'making',
    pieces: 60,
    total: 97380,
    promise: 'Fri 15 May',
    standing: 'risk',
  },
  {
    order: '1058',
    customer: 'Harbour Jazz',
    state: 'agreed',
    pieces: 30,
    total: 44850,
    promise: 'Mon 18 May',
  },
  { order: '1061', customer: 'M. Okafor', state: 'enquiry', pieces: 6, total: 0, promise: '' },
]
