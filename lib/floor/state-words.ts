import { stateCelsius } from '@/lib/shop/stations'
import { celsius, formatTemperature, type MeasureSystem } from '@/lib/units/measure'

/** What a station stands at, for people: "149 °C"; other states as they are written. */
export function stateWords(state: string | null, system: MeasureSystem): string | null {
  if (state === null) return null
  const degrees = stateCelsius(state)
  return degrees === null ? state : formatTemperature(celsius(degrees), system)
}
