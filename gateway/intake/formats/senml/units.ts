/** Units of SenML that mean something here; a record in any other is left out. */
import type { MappingUnit } from '../../../../shared/contract/index.ts'

const table: readonly (readonly [symbol: string, unit: MappingUnit])[] = [
  // RFC 8428, 12.1.
  ['Cel', 'celsius'],
  ['K', 'kelvin'],
  ['%RH', 'relativeHumidity'],
  ['m/s', 'metresPerSecond'],
  ['Pa', 'pascals'],
  ['A', 'amperes'],
  ['V', 'volts'],
  // RFC 8798, 4: secondary units, which RFC 9100 calls a feature.
  ['km/h', 'kilometresPerHour'],
  ['hPa', 'hectopascals'],
  ['mA', 'milliamperes'],
  ['mV', 'millivolts'],
  // Not registered; common practice, no source.
  ['degF', 'fahrenheit'],
  ['°F', 'fahrenheit'],
  ['°C', 'celsius'],
  ['kPa', 'kilopascals'],
  ['bar', 'bar'],
  ['uV', 'microvolts'],
]

export const senmlUnits: ReadonlyMap<string, MappingUnit> = new Map(table)
