'use client'
import { type FormEvent, useState } from 'react'
import { ActionForm } from '@/app/parts/action-form'
import { Choices } from '@/app/parts/choices'
import { Field } from '@/app/parts/field'
import { Figure } from '@/app/parts/figure'
import type { FormAnswer } from '@/app/parts/form-context'
import { MoneyField } from '@/app/parts/money-field'
import { Row, Stack } from '@/app/parts/row'
import { StateMark } from '@/app/parts/state-mark'
import { SubmitButton } from '@/app/parts/submit-button'
import { TextArea } from '@/app/parts/text-area'
import { TickField } from '@/app/parts/tick-field'
import { marginOfMarkup, markupOfMargin, readPricing } from '@/lib/costing/margin'
import {
  type CostedLine,
  type Price,
  type PriceChoices,
  type PriceFigure,
  priceOrder,
} from '@/lib/costing/price'
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
  const [pricing, setPricing] = useState(rates.pricing)
  // The very pricing of the server, so that what shows here is what is offered.
  const priced = (each: (Minor | null)[]) =>
    priceOrder(
      lines,
      rates as Rates,
      { ...choices, discountBp, pricing, typed: each },
      { currency, locale: 'en' },
    )
  const offered = costs ? priced([]).lines.map(l => l.each) : computed
  const price = priced(lines.map((_, i) => typed[i] ?? (costs ? null : (offered[i] ?? null))))
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
    if (input.name === 'pricing') {
      const read = readPricing(pricing.by, input.value)
      if (read.ok) setPricing(read.value)
    }
    // The same price said the other way.
    if (input.name === 'pricingBy' && input.value !== pricing.by) {
      const share = pricing.bp / 10_000
      const other = input.value === 'markup' ? markupOfMargin(share) : marginOfMarkup(share)
      const read = readPricing(input.value, (other * 100).toFixed(2))
      if (read.ok) setPricing(read.value)
    }
  }
  const belowCost = costs ? price.belowCost : below
  return (
    <ActionForm action={action} label="Make the offer">
      <input type="hidden" name="method" value={fields.method} />
      <input type="hidden" name="way" value={fields.way} />
      <input type="hidden" name="version" value={fields.version} />
      <div onInput={looked}>
        <Stack>
          {costs && (
            <Row>
              <Choices
                name="pricingBy"
                label="Price from cost by"
                value={rates.pricing.by}
                across
                options={[
                  { value: 'margin', label: 'margin' },
                  { value: 'markup', label: 'markup' },
                ]}
              />
              <Field
                key={pricing.by}
                name="pricing"
                label={pricing.by === 'margin' ? 'Margin, of the price' : 'Markup, on the cost'}
                unit="%"
                size={8}
                inputMode="decimal"
                value={pricing.bp / 100}
                hint={otherWay(pricing)}
              />
            </Row>
          )}
          <Row>
            {lines.map((line, i) => (
              <MoneyField
                // biome-ignore lint/suspicious/noArrayIndexKey: lines of an order keep their order
                key={i}
                name={`each.${i}`}
                label={lines.length > 1 ? `Price for one ${line.name}` : 'Price for one'}
                currency={currency}
                size={14}
                placeholder={offered[i] === undefined ? '' : String(show(offered[i]))}
                hint={`computed ${offered[i] === undefined ? '' : show(offered[i])}; empty leaves it so`}
              />
            ))}
            <Field name="discount" label="Discount" unit="%" size={8} inputMode="decimal" placeholder="0" />
          </Row>
        </Stack>
      </div>
      <div role="status">
        <Stack>
          <Row gap="large">
            <Total label="Goods" figure="goods" price={price} show={show} costs={costs} />
            {price.rush !== 0 && <Total label="Rush" figure="rush" price={price} show={show} costs={costs} />}
            {price.discount !== 0 && (
              <Total label="Discount" figure="discount" price={price} show={show} costs={costs} />
            )}
            {price.topUp !== 0 && (
              <Total label="Up to the least order" figure="topUp" price={price} show={show} costs={costs} />
            )}
            <Total label="Before tax" figure="net" price={price} show={show} costs={costs} />
            <Total
              label={choices.exempt ? `${rates.tax.name || 'Tax'}, exempt` : rates.tax.name || 'Tax'}
              figure="tax"
              price={price}
              show={show}
              costs={costs}
            />
            <Total label="Total" figure="gross" price={price} show={show} costs={costs} />
            {price.deposit !== 0 && (
              <Total label="Deposit" figure="deposit" price={price} show={show} costs={costs} />
            )}
          </Row>
          {costs && (
            <Row gap="large">
              <Figure
                label="Margin"
                value={share(price.marginShare)}
                note={show(price.margin)}
                working={price.workings.margin}
                {...(price.belowCost ? { tone: 'late' as const } : {})}
              />
              <Figure
                label="Markup"
                value={share(price.markupShare)}
                note={`on ${show(price.cost)} cost`}
                {...(price.belowCost ? { tone: 'late' as const } : {})}
              />
              {price.belowCost && <StateMark state="late">below cost</StateMark>}
            </Row>
          )}
        </Stack>
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

const share = (of: number | null): string => (of === null ? '–' : `${(of * 100).toFixed(1)} %`)

/** What a margin is as a markup, and the other way. */
function otherWay({ by, bp }: Rates['pricing']): string {
  const other = by === 'margin' ? markupOfMargin(bp / 10_000) : marginOfMarkup(bp / 10_000)
  return `${by === 'margin' ? 'a markup' : 'a margin'} of ${(other * 100).toFixed(1)} %`
}

/** One sum of the price. Its working holds the cost, so it is for those who may see that. */
function Total({
  label,
  figure,
  price,
  show,
  costs,
}: {
  label: string
  figure: PriceFigure
  price: Price
  show: (amount: Minor) => string
  costs: boolean
}) {
  return (
    <Figure
      label={label}
      size="line"
      value={show(price[figure])}
      {...(costs ? { working: price.workings[figure] } : {})}
    />
  )
}
