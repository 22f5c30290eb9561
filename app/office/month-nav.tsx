import { SubNav } from '@/app/parts/sub-nav'
import type { ShopMonth } from '@/lib/units/time'

const PAGES = [
  { path: '/office', label: 'Month end' },
  { path: '/office/planned', label: 'Planned and real' },
  { path: '/office/shares', label: 'By blank, person, machine' },
  { path: '/office/faults', label: 'Late orders and misprints' },
  { path: '/office/journal', label: 'Journal' },
] as const

/** The faces of one month. */
export function MonthNav({ month, current }: { month: ShopMonth; current: (typeof PAGES)[number]['path'] }) {
  return (
    <SubNav
      label="Of this month"
      items={PAGES.map(p => ({ href: `${p.path}?month=${month}`, label: p.label }))}
      current={`${current}?month=${month}`}
    />
  )
}
