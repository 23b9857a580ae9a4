/** Values in the unit they are stored in, with the same arithmetic as what comes over MQTT. */
import {
  type BringUnit,
  fahrenheitToCelsius,
  type Quantity,
  type WireValue,
  wireValue,
  zeroCelsiusK,
} from '../../shared/contract/index.ts'

function stored(value: number, unit: BringUnit): number {
  switch (unit) {
    case 'F':
      return fahrenheitToCelsius(value)
    case 'K':
      return value - zeroCelsiusK
    case 'km/h':
      return value / 3.6
    case 'hPa':
    case 'mbar':
      return value * 100
    case 'kPa':
      return value * 1_000
    case 'bar':
      return value * 100_000
    case 'mA':
      return value / 1_000
    case 'mV':
      return value * 1_000
    default:
      return value
  }
}

export function measured(quantity: Quantity, value: number, unit: BringUnit): WireValue {
  return wireValue(quantity, stored(value, unit))
}

/** Whether anything is done to a value of this unit. */
export function isConverted(unit: BringUnit): boolean {
  return stored(1, unit) !== 1
}
