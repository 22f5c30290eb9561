import { atTime, type Instant, shopDay } from '@/lib/units/time'
import type { StripRun, StripStation, StripThread } from '../day-strip'

const DAY = shopDay('2026-05-14')
export const ZONE = 'Europe/Lisbon'
const at = (time: string): Instant => atTime(DAY, time, ZONE)

export const RANGE = { from: at('07:30'), to: at('18:30') }
export const NOW = at('10:16')

const OPEN = [
  { from: at('08:00'), to: at('12:30') },
  { from: at('13:15'), to: at('17:00') },
]
const LONG = [{ from: at('08:00'), to: at('18:00') }]

type Short = [
  id: string,
  order: string,
  who: string,
  pcs: number,
  detail: string,
  start: string,
  work: string,
  end: string,
  more?: Partial<StripRun>,
]
const run = ([id, order, who, pcs, detail, start, work, end, more]: Short): StripRun => ({
  id,
  order,
  who,
  quantity: `${pcs} pcs`,
  detail,
  href: `#run-${id}`,
  start: at(start),
  work: at(work),
  end: at(end),
  state: 'planned',
  ...more,
})
const done = { state: 'done' as const }

/** A Thursday, invented. */
export const STATIONS: StripStation[] = [
  {
    id: 'press-a',
    name: 'Heat press A',
    note: '150 °C now',
    href: '#press-a',
    open: OPEN,
    runs: [
      run(['a1', '1042', 'Quayside Rowing', 48, 'transfer', '08:00', '08:00', '09:35', done]),
      run([
        'a2',
        '1051',
        'Tern Bakery',
        24,
        'transfer',
        '09:35',
        '09:35',
        '11:10',
        { state: 'running', progress: 0.46 },
      ]),
      run([
        'a3',
        '1047',
        'Alder School',
        36,
        'transfer',
        '11:16',
        '11:24',
        '12:30',
        { changeover: '150 → 165 °C' },
      ]),
      run(['a4', '1047', 'Alder School', 110, 'transfer', '13:15', '13:15', '17:00']),
    ],
  },
  {
    id: 'press-b',
    name: 'Heat press B',
    note: '205 °C now',
    open: [{ from: at('09:00'), to: at('17:00') }],
    runs: [
      run([
        'b1',
        '1049',
        'Lowtide Swim Club',
        60,
        'sublimation',
        '09:32',
        '09:45',
        '12:36',
        { state: 'running', standing: 'risk', progress: 0.12, changeover: 'heat up' },
      ]),
      run([
        'b2',
        '1056',
        'M. Okafor',
        6,
        'transfer',
        '14:15',
        '15:25',
        '15:55',
        { changeover: '205 → 150 °C' },
      ]),
    ],
  },
  {
    id: 'sub',
    name: 'Sublimation printer',
    open: LONG,
    runs: [
      run(['s1', '1049', 'Lowtide Swim Club', 60, 'paper', '08:00', '08:00', '09:05', done]),
      run(['s2', '1060', 'Ferry Café', 24, 'mugs', '10:24', '10:24', '12:06']),
    ],
  },
  {
    id: 'booth',
    name: 'Pretreat booth',
    open: OPEN,
    runs: [
      run(['p1', '1053', 'Kiln Street Pottery', 40, 'pretreat', '08:30', '08:30', '09:20', done]),
      run(['p2', '1058', 'Harbour Jazz', 30, 'pretreat', '13:20', '13:20', '14:30']),
      run(['p3', '1062', 'Gull & Anchor', 4, 'pretreat', '14:30', '14:30', '14:46']),
      run(['p4', '1064', 'I. Moreno', 1, 'pretreat', '14:46', '14:46', '14:52']),
      run(['p5', '1065', 'Weir Cycling', 9, 'pretreat', '14:52', '14:52', '15:25', { pinned: true }]),
    ],
  },
  {
    id: 'dtg',
    name: 'Garment printer',
    open: LONG,
    runs: [
      run([
        'd1',
        '1053',
        'Kiln Street Pottery',
        40,
        'to garment',
        '09:45',
        '09:45',
        '11:54',
        { state: 'running', progress: 0.3 },
      ]),
      run(['d2', '1058', 'Harbour Jazz', 30, 'to garment', '15:00', '15:00', '17:36']),
    ],
  },
  {
    id: 'screen',
    name: 'Screen press',
    note: 'white on',
    open: OPEN,
    runs: [
      run([
        'r1',
        '1044',
        'Northside Half Marathon',
        240,
        'screen, 3 inks',
        '08:24',
        '08:24',
        '12:30',
        { state: 'running', standing: 'late', progress: 0.5 },
      ]),
      run([
        'r2',
        '1055',
        'Moss & Daughters',
        96,
        'screen, 1 ink',
        '13:45',
        '14:15',
        '16:36',
        { changeover: 'wash-up' },
      ]),
    ],
  },
  {
    id: 'dryer',
    name: 'Dryer',
    open: LONG,
    runs: [
      run(['y1', '1053', 'Kiln Street Pottery', 40, 'cure', '12:00', '12:00', '12:42']),
      run([
        'y2',
        '1044',
        'Northside Half Marathon',
        240,
        'cure',
        '13:24',
        '13:24',
        '15:24',
        { standing: 'late' },
      ]),
    ],
  },
  {
    id: 'bench',
    name: 'Bench',
    open: LONG,
    runs: [
      run([
        'n1',
        '1042',
        'Quayside Rowing',
        48,
        'pack',
        '09:55',
        '09:55',
        '10:42',
        { state: 'running', progress: 0.5 },
      ]),
      run(['n2', '1051', 'Tern Bakery', 24, 'pack', '11:34', '11:34', '12:10']),
      run(['n3', '1053', 'Kiln Street Pottery', 40, 'pack', '13:05', '13:05', '14:05']),
      run([
        'n4',
        '1044',
        'Northside Half Marathon',
        240,
        'pack',
        '15:36',
        '15:36',
        '19:10',
        { standing: 'late' },
      ]),
    ],
  },
]

export const THREADS: StripThread[] = [
  { from: 's1', to: 'b1', what: 'dries', minutes: 30 },
  { from: 'b1', to: 'n3', what: 'settles', minutes: 15 },
  { from: 'p1', to: 'd1', what: 'dries', minutes: 15 },
  { from: 'd1', to: 'y1', what: 'waits', minutes: 5 },
  { from: 'y1', to: 'n3', what: 'cools', minutes: 20 },
  { from: 'r1', to: 'y2', what: 'flashes off', minutes: 30 },
  { from: 'y2', to: 'n4', what: 'cools', minutes: 10 },
]
