/** Units that strangers use, and the one that each quantity is stored in. The arithmetic is that of our own JSON. */
import {
  fahrenheitToCelsius,
  type MappingUnit,
  mappingUnits,
  type Quantity,
  type WireValue,
  wireValue,
  zeroCelsiusK,
} from '../../../shared/contract/index.ts'

export function stored(value: number, unit: MappingUnit): number {
  switch (unit) {
    case 'fahrenheit':
      return fahrenheitToCelsius(value)
    case 'kelvin':
      return value - zeroCelsiusK
    case 'kilometresPerHour':
      return value / 3.6
    case 'hectopascals':
      return value * 100
    case 'kilopascals':
      return value * 1_000
    case 'bar':
      return value * 100_000
    case 'milliamperes':
      return value / 1_000
    case 'millivolts':
      return value * 1_000
    case 'volts':
      return value * 1_000_000
    case 'open':
      return 1 - value
    default:
      return value
  }
}

/** `quantity` where the unit alone does not say it: a cold junction is in °C as well. */
export function measured(value: number, unit: MappingUnit, quantity: Quantity = mappingUnits[unit]): WireValue {
  return wireValue(quantity, stored(value, unit))
}

/** Its sender says itself that this value is no good. */
export function distrusted(value: WireValue): WireValue {
  return { ...value, quality: 'bad', reason: value.reason ?? 'said-by-instrument' }
}
