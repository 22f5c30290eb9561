import { SubNav } from '@/app/parts/sub-nav'

const PAGES = [
  { href: '/office', label: 'Month end' },
  { href: '/office/money', label: 'Money' },
  { href: '/office/machines', label: 'Machines' },
  { href: '/office/people', label: 'People' },
  { href: '/office/sign-ins', label: 'Sign-ins' },
  { href: '/office/hours', label: 'Hours' },
  { href: '/office/settings', label: 'Rates' },
  { href: '/office/invoicing', label: 'Invoicing' },
  { href: '/office/recipes', label: 'Recipes' },
  { href: '/office/printers', label: 'Other printers' },
  { href: '/office/shop', label: 'Shop' },
  { href: '/office/programs', label: 'Programs' },
  { href: '/office/buying', label: 'Should we buy it?' },
  { href: '/office/history', label: 'History' },
  { href: '/office/backups', label: 'Backups' },
  { href: '/office/health', label: 'Health' },
] as const

/** The pages of the office. */
export function OfficeNav({ current }: { current: (typeof PAGES)[number]['href'] }) {
  return <SubNav label="Office" items={PAGES} current={current} />
}
