'use client'
import { type FormEvent, useState } from 'react'
import { ActionForm } from '@/app/parts/action-form'
import { Field } from '@/app/parts/field'
import { Figure } from '@/app/parts/figure'
import type { FormAnswer } from '@/app/parts/form-context'
import { MoneyField } from '@/app/parts/money-field'
import { Row } from '@/app/parts/row'
import { SubmitButton } from '@/app/parts/submit-button'
import { TextArea } from '@/app/parts/text-area'
import { TickField } from '@/app/parts/tick-field'
import { type CostedLine, type PriceChoices, priceOrder } from '@/lib/costing/price'
import type { Rates } from '@/lib/shop/rates'
import { formatMoney, type Minor, parseMoney } from '@/lib/units/money'

/** The rates that a price is made of. */
export type PricingRates = Pick<
  Rates,
  'pricing' | 'breaks' | 'rounding' | 'rushBp' | 'leastOrder' | 'tax' | 'depositBp'
>

/** What the form is filled with. Days and hours as a date and a time field take them. */
export type OfferFields = {
  method: string
  /** Key of the way; empty for the usual recipe of the method. */
  way: string
  version: number
  validUntil: string
  promiseDay: string
  promiseTime: string
  promiseHard: boolean
}

/**
 * Price, promise and last day of an offer. What a typed price does to the total, and to the margin where it may be seen, shows at once.
 * @param lines as costed; their computed price stands where nothing is typed
 * @param costs whether costs and margins may be seen; the cost is sent only then
 */
export function OfferForm({
  action,
  fields,
  lines,
  computed,
  rates,
  choices,
  currency,
  today,
  costs,
  below,
}: {
  action: (before: FormAnswer | null, form: FormData) => Promise<FormAnswer>
  fields: OfferFields
  lines: readonly CostedLine[]
  computed: readonly Minor[]
  rates: PricingRates
  choices: PriceChoices
  currency: string
  today: string
  costs: boolean
  /** Whether the computed price is below cost already. */
  below: boolean
}) {
  const [typed, setTyped] = useState<(Minor | null)[]>(lines.map(() => null))
  const [discountBp, setDiscount] = useState(0)
  const price = priceOrder(
    lines,
    rates as Rates,
    {
      ...choices,
      discountBp,
      typed: lines.map((_, i) => typed[i] ?? (costs ? null : (computed[i] ?? null))),
    },
    { currency, locale: 'en' },
  )
  const show = (amount: Minor) => formatMoney(amount, currency)
  const looked = (e: FormEvent<HTMLElement>) => {
    const input = e.target as HTMLInputElement
    const line = /^each\.(\d+)$/.exec(input.name)?.[1]
    if (line !== undefined) {
      const read = parseMoney(input.value, currency)
      setTyped(all =>
        all.map((t, i) => (i === Number(line) ? (read.ok && read.value >= 0 ? read.value : null) : t)),
      )
    }
    if (input.name === 'discount') {
      const n = Number(input.value.replace('%', '').replace(',', '.'))
      setDiscount(n >= 0 && n <= 100 ? Math.round(n * 100) : 0)
    }
  }
  const belowCost = costs ? price.belowCost : below
  return (
    <ActionForm action={action} label="Make the offer">
      <input type="hidden" name="method" value={fields.method} />
      <input type="hidden" name="way" value={fields.way} />
      <input type="hidden" name="version" value={fields.version} />
      <div onInput={looked}>
        <Row>
          {lines.map((line, i) => (
            <MoneyField
              // biome-ignore lint/suspicious/noArrayIndexKey: lines of an order keep their order
              key={i}
              name={`each.${i}`}
              label={lines.length > 1 ? `Price for one ${line.name}` : 'Price for one'}
              currency={currency}
              size={14}
              placeholder={computed[i] === undefined ? '' : String(show(computed[i]))}
              hint={`computed ${computed[i] === undefined ? '' : show(computed[i])}; empty leaves it so`}
            />
          ))}
          <Field name="discount" label="Discount" unit="%" size={8} inputMode="decimal" placeholder="0" />
        </Row>
      </div>
      <div role="status">
        <Row gap="large">
          <Figure label="Before tax" size="line" value={show(price.net)} />
          <Figure label="Total" size="line" value={show(price.gross)} />
          {costs && (
            <Figure
              label="Margin"
              size="line"
              value={price.marginShare === null ? '–' : `${(price.marginShare * 100).toFixed(1)} %`}
              note={show(price.margin)}
              {...(price.belowCost ? { tone: 'late' as const } : {})}
            />
          )}
        </Row>
      </div>
      {(belowCost || !costs) && (
        <Field
          name="belowCostWhy"
          label="Why below cost"
          required={belowCost}
          hint={
            belowCost
              ? 'This price is below what the order costs. The reason is kept with the offer.'
              : 'Only where the price is below what the order costs.'
          }
          maxLength={600}
        />
      )}
      <Row>
        <Field name="promiseDay" label="Promise" type="date" min={today} value={fields.promiseDay} />
        <Field name="promiseTime" label="by" type="time" value={fields.promiseTime} />
        <Field name="validUntil" label="Valid until" type="date" min={today} value={fields.validUntil} />
      </Row>
      <TickField
        name="promiseHard"
        label="Hard promise"
        note="An event: late is worthless."
        checked={fields.promiseHard}
      />
      <TextArea
        name="message"
        label="Message to the customer"
        required={false}
        hint="Stands on top of the offer."
        rows={2}
        maxLength={3000}
      />
      <SubmitButton>Make the offer</SubmitButton>
    </ActionForm>
  )
}
