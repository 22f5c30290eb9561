import { Field } from '@/app/parts/field'
import type { WeekHours } from '@/lib/shop/stations'
import { typedDay, WEEKDAYS } from '@/lib/shop/week-text'
import styles from '../office.module.css'

/** A field for the hours of each weekday. */
export function WeekFields({ hours }: { hours: WeekHours }) {
  return (
    <div className={styles.fields}>
      {WEEKDAYS.map((name, i) => (
        <Field
          key={name}
          name={`day${i + 1}`}
          label={name}
          value={typedDay(hours, i + 1)}
          placeholder="closed"
          size={22}
          maxLength={80}
        />
      ))}
    </div>
  )
}
