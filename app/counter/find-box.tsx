import { Button } from '@/app/parts/button'
import styles from './counter.module.css'

/**
 * A box to search by. As it stands it finds an order by its number, or customers and orders by a name; a list of its own says what it is
 * searched by, and is asked at its own address.
 */
export function FindBox({
  value,
  action = '/counter/find',
  by = 'order number, customer, title or artwork',
}: {
  value?: string
  action?: string
  by?: string
}) {
  return (
    <form action={action} className={styles.find}>
      <search className={styles.findRow}>
        <label htmlFor="find" className={styles.findLabel}>
          Find
        </label>
        <input
          id="find"
          name="find"
          type="search"
          defaultValue={value}
          placeholder={by}
          className={styles.findInput}
          maxLength={120}
          autoComplete="off"
        />
        <Button type="submit">Find</Button>
      </search>
    </form>
  )
}
