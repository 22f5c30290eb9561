import { randomUUID } from 'node:crypto'
import { ActionForm } from '@/app/parts/action-form'
import { DataTable } from '@/app/parts/data-table'
import { Field } from '@/app/parts/field'
import { Section } from '@/app/parts/section'
import { SelectField } from '@/app/parts/select-field'
import { StateMark } from '@/app/parts/state-mark'
import { SubmitButton } from '@/app/parts/submit-button'
import { typedAmount } from '@/lib/stock/items'
import { isExpired } from '@/lib/stock/lots'
import type { ItemLine, LotLine } from '@/lib/stock/views/store'
import { formatLongDay, type Instant } from '@/lib/units/time'
import { extendLotAction, moveAction } from '../../actions'
import { amountOf } from '../../show'
import styles from '../../stockroom.module.css'

const WEEKS = 6 * 7 * 86_400_000

/** What is on the shelf of each lot, in the order of use, and what one does about a lot that is out of date. */
export function Lots({
  item,
  lots,
  now,
  zone,
  moves,
}: {
  item: ItemLine
  lots: readonly LotLine[]
  now: Instant
  zone: string
  moves: boolean
}) {
  const expired = lots.filter(l => isExpired(l, now))
  const dated = lots.filter(l => l.goodUntil !== null)
  return (
    <Section title="Lots">
      <DataTable
        caption="Used in this order: what goes out of date first, then the oldest"
        rows={lots}
        rowKey={l => l.lot}
        mark={l =>
          isExpired(l, now) ? 'late' : l.goodUntil !== null && l.goodUntil < now + WEEKS ? 'risk' : undefined
        }
        columns={[
          { key: 'lot', head: 'Lot', rowHead: true, cell: l => l.lot || 'no lot' },
          { key: 'left', head: 'Left', numeric: true, cell: l => amountOf(item, l.left) },
          {
            key: 'until',
            head: 'Good until',
            wrap: true,
            cell: l =>
              l.goodUntil === null ? (
                'no date'
              ) : (
                <>
                  {formatLongDay(l.goodUntil, zone)}
                  {l.extendedBy && (
                    <small className={styles.quiet}>
                      {' '}
                      {l.extendedBy}: {l.extendedWhy}
                    </small>
                  )}
                </>
              ),
          },
          {
            key: 'state',
            head: 'Use',
            cell: l =>
              isExpired(l, now) ? (
                <StateMark state="late">out of date</StateMark>
              ) : l.goodUntil !== null && l.goodUntil < now + WEEKS ? (
                <StateMark state="risk">use first</StateMark>
              ) : (
                'good'
              ),
          },
        ]}
      />
      {moves && expired.length > 0 && (
        <p>
          A lot that is out of date is used only where nothing else is left, and the book then says so. Throw
          it out, or look at it and say until when it is good: the maker’s data sheet comes first.
        </p>
      )}
      {moves && dated.length > 0 && (
        <div className={styles.forms}>
          {expired.map(l => (
            <ActionForm key={l.lot} action={moveAction.bind(null, item.sku)} label={`Throw out lot ${l.lot}`}>
              <input type="hidden" name="formKey" value={randomUUID()} />
              <input type="hidden" name="kind" value="spoiled" />
              <input type="hidden" name="lot" value={l.lot} />
              <input type="hidden" name="quantity" value={typedAmount(l.left, item.unit)} />
              <input type="hidden" name="why" value={`Lot ${l.lot} was out of date`} />
              <SubmitButton look="plain">
                Throw out lot {l.lot}, {amountOf(item, l.left)}
              </SubmitButton>
            </ActionForm>
          ))}
          <details>
            <summary>A lot is good for longer</summary>
            <ActionForm action={extendLotAction.bind(null, item.sku)} label="A lot is good for longer" clear>
              <SelectField
                name="lot"
                label="Lot"
                value={expired[0]?.lot ?? dated[0]?.lot}
                options={dated.map(l => ({ value: l.lot, label: l.lot }))}
              />
              <Field name="until" label="Good until" type="date" required />
              <Field
                name="why"
                label="How you know"
                hint="A test print, a word from the maker."
                maxLength={300}
                required
              />
              <SubmitButton look="plain">Use it until then</SubmitButton>
            </ActionForm>
          </details>
        </div>
      )}
    </Section>
  )
}
