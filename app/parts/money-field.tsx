'use client'
import { type ComponentProps, useState } from 'react'
import { formatMoney, type Minor, parseMoney } from '@/lib/units/money'
import { Field } from './field'

/**
 * An amount of money as people type it ("12.50", "12,50", "€ 12"). Sends the text; read it on the server with
 * parseMoney. While typing it says how the amount was understood, or why it was not.
 * @param value minor units, or the text that was typed before
 * @param currency ISO 4217 code
 */
export function MoneyField({
  value,
  currency,
  hint,
  locale = 'en',
  ...rest
}: Omit<ComponentProps<typeof Field>, 'value' | 'unit' | 'onChange'> & {
  value?: Minor | number | string | null
  currency: string
  locale?: string
}) {
  const [typed, setTyped] = useState('')
  const digits =
    new Intl.NumberFormat(locale, { style: 'currency', currency }).resolvedOptions().maximumFractionDigits ??
    2
  const first = typeof value === 'number' ? (value / 10 ** digits).toFixed(digits) : (value ?? undefined)
  const read = typed.trim() ? parseMoney(typed, currency) : undefined
  const echo = read ? (read.ok ? `= ${formatMoney(read.value, currency, locale)}` : read.message) : undefined
  return (
    <Field
      inputMode="decimal"
      size={10}
      {...rest}
      hint={echo ?? hint}
      value={first}
      unit={currency}
      onChange={e => setTyped(e.currentTarget.value)}
    />
  )
}
