import { SubNav } from '@/app/parts/sub-nav'

const PAGES = [
  { href: '/stockroom', label: 'Today' },
  { href: '/stockroom/items', label: 'Items' },
  { href: '/stockroom/blanks', label: 'Blanks by size' },
  { href: '/stockroom/counts', label: 'Counts' },
  { href: '/stockroom/screens', label: 'Screens' },
  { href: '/stockroom/purchases', label: 'Purchases' },
] as const

/** The pages of the stockroom. */
export function StockNav({ current }: { current: (typeof PAGES)[number]['href'] }) {
  return <SubNav label="Stockroom" items={PAGES} current={current} />
}
