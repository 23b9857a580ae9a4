/** A plain number of which a person said what it counts: the number stays as it came, and what it means is kept beside it. */
import {
  fahrenheitToCelsius,
  type NumberUnit,
  type WireValue,
  wireValue,
  zeroCelsiusK,
} from '../../shared/contract/index.ts'

const quantityOf = {
  celsius: 'temperature',
  fahrenheit: 'temperature',
  kelvin: 'temperature',
  percent: 'humidity',
  metresPerSecond: 'air-speed',
  pascals: 'pressure',
  amperes: 'current',
} as const satisfies Record<NumberUnit, string>

/** What a number of that unit means. What was bad stays bad. */
export function inUnit({ value, quality, reason }: WireValue, unit: NumberUnit): WireValue {
  const turned = unit === 'fahrenheit' ? fahrenheitToCelsius(value) : unit === 'kelvin' ? value - zeroCelsiusK : value
  const meant = wireValue(quantityOf[unit], turned)
  return quality === 'good' || meant.quality === 'bad' ? meant : { ...meant, quality, ...(reason && { reason }) }
}
