import { Button } from '@/app/parts/button'
import styles from './counter.module.css'

/** Finds an order by its number, or customers and orders by a name. */
export function FindBox({ value }: { value?: string }) {
  return (
    <form action="/counter/find" className={styles.find}>
      <search className={styles.findRow}>
        <label htmlFor="find" className={styles.findLabel}>
          Find
        </label>
        <input
          id="find"
          name="find"
          type="search"
          defaultValue={value}
          placeholder="order number, customer, title or artwork"
          className={styles.findInput}
          maxLength={120}
          autoComplete="off"
        />
        <Button type="submit">Find</Button>
      </search>
    </form>
  )
}
