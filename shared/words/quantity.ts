/** What each quantity is called. */
import type { Quantity } from '../contract/index.ts'

export const quantityNames: Record<Quantity, string> = {
  temperature: 'Temperature',
  humidity: 'Relative humidity',
  'air-speed': 'Air speed',
  pressure: 'Pressure',
  contact: 'Open or closed',
  current: 'Current',
  emf: 'Thermocouple voltage',
  junction: 'Cold end',
  number: 'A number without a unit',
  'dew-point': 'Dew point',
  'wet-bulb': 'Wet bulb',
}
