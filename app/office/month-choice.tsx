import { Button, ButtonLink } from '@/app/parts/button'
import { SelectField } from '@/app/parts/select-field'
import { formatMonth, nextMonth, type ShopMonth } from '@/lib/units/time'
import styles from './office.module.css'

/** Goes from month to month: one back, one on, or any that the shop has books of. */
export function MonthChoice({
  month,
  all,
  path,
}: {
  month: ShopMonth
  all: readonly { month: ShopMonth; closedAt: number | null }[]
  path: string
}) {
  const known = new Set(all.map(m => m.month))
  const href = (m: ShopMonth) => `${path}?month=${m}`
  const [before, after] = [nextMonth(month, -1), nextMonth(month)]
  return (
    <form action={path} className={styles.months} data-screen-only>
      {known.has(before) && (
        <ButtonLink href={href(before)} rel="prev">
          ← {formatMonth(before)}
        </ButtonLink>
      )}
      <SelectField
        name="month"
        label="Month"
        value={month}
        options={all.map(m => ({
          value: m.month,
          label: `${formatMonth(m.month)}${m.closedAt === null ? '' : ', closed'}`,
        }))}
      />
      <Button type="submit">Show</Button>
      {known.has(after) && (
        <ButtonLink href={href(after)} rel="next">
          {formatMonth(after)} →
        </ButtonLink>
      )}
    </form>
  )
}
