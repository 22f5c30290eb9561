import { SubNav } from '@/app/parts/sub-nav'

const PAGES = [
  { href: '/floor', label: 'Board' },
  { href: '/floor/stations', label: 'Stations' },
  { href: '/floor/day', label: 'What happened' },
  { href: '/floor/learned', label: 'What we learned' },
] as const

/** The pages of the floor. */
export function FloorNav({ current }: { current: (typeof PAGES)[number]['href'] }) {
  return <SubNav label="Floor" items={PAGES} current={current} />
}
