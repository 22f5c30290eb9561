'use client'
import { type ComponentProps, useState } from 'react'
import {
  celsius,
  formatLength,
  formatTemperature,
  type MeasureSystem,
  mm,
  parseLength,
  toFahrenheit,
  toInches,
} from '@/lib/units/measure'
import { Field } from './field'

const round = (n: number, digits: number) => String(Number(n.toFixed(digits)))

/**
 * A length or a temperature in the shop's own units. Sends the text as typed: read a length on the server with parseLength
 * ("10", "254 mm" and "25.4 cm" all do), a temperature as a number of the shop's degrees.
 * @param of length | temperature
 * @param value mm or °C, or the text that was typed before
 * @param system metric (mm, °C) or imperial (in, °F)
 */
export function MeasureField({
  of = 'length',
  value,
  system,
  hint,
  ...rest
}: Omit<ComponentProps<typeof Field>, 'value' | 'unit' | 'onChange'> & {
  of?: 'length' | 'temperature'
  value?: number | string | null
  system: MeasureSystem
}) {
  const [typed, setTyped] = useState('')
  const metric = system === 'metric'
  const first =
    typeof value !== 'number'
      ? (value ?? undefined)
      : of === 'length'
        ? metric
          ? round(value, 1)
          : round(toInches(mm(value)), 3)
        : round(metric ? value : toFahrenheit(celsius(value)), 0)
  return (
    <Field
      inputMode={of === 'length' ? 'text' : 'decimal'}
      size={7}
      {...rest}
      hint={(of === 'length' ? echoLength(typed, system) : echoTemperature(typed, system)) ?? hint}
      value={first}
      unit={of === 'length' ? (metric ? 'mm' : 'in') : metric ? '°C' : '°F'}
      onChange={e => setTyped(e.currentTarget.value)}
    />
  )
}

/** What was typed, said in the other system: a slip of the unit shows at once. */
function echoLength(typed: string, system: MeasureSystem): string | undefined {
  if (!typed.trim()) return undefined
  const read = parseLength(typed, system)
  if (!read.ok) return read.message
  return `= ${formatLength(read.value, system)}, ${formatLength(read.value, system === 'metric' ? 'imperial' : 'metric')}`
}

function echoTemperature(typed: string, system: MeasureSystem): string | undefined {
  const n = Number(typed.replace(',', '.'))
  if (!typed.trim() || !Number.isFinite(n)) return undefined
  const c = celsius(system === 'metric' ? n : ((n - 32) * 5) / 9)
  return `= ${formatTemperature(c, system === 'metric' ? 'imperial' : 'metric')}`
}
