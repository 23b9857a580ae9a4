/** What a unit or a quantity is called by strangers: how units are spelled, and what a name gives away (common practice, no source). */
import type { MappingUnit } from '../../../shared/contract/index.ts'

/** Spellings of units, in small letters and without blanks. */
const spellings: Partial<Record<MappingUnit, string>> = {
  celsius: '°c c cel degc celsius ℃ degreescelsius degreecelsius',
  fahrenheit: '°f f degf fahrenheit ℉ degreesfahrenheit degreefahrenheit',
  kelvin: 'k °k kelvin',
  relativeHumidity: '%rh rh %r.h. %relativehumidity',
  metresPerSecond: 'm/s mps m·s⁻¹',
  kilometresPerHour: 'km/h kmh',
  pascals: 'pa pascal',
  hectopascals: 'hpa mbar',
  kilopascals: 'kpa',
  bar: 'bar',
  amperes: 'a amp amps ampere amperes',
  milliamperes: 'ma',
  microvolts: 'µv μv uv',
}
const unitBySpelling: ReadonlyMap<string, MappingUnit> = new Map(
  Object.entries(spellings).flatMap(([unit, words]) => words.split(' ').map((word) => [word, unit as MappingUnit])),
)

const aboutHumidity = /hum|\brh\b|(^|[_\-./ ])rh($|[_\-./ ])/i
const aboutThermocouple = /emf|thermocouple|(^|[_\-./ ])tc\d*($|[_\-./ ])/i

/** A unit as it is spelled, of something that is called `name`: "%" and "mV" alone could be of anything. */
export function unitSpelled(spelled: string, name: string): MappingUnit | null {
  const plain = spelled.toLowerCase().replace(/\s/g, '')
  if (plain === '%') return aboutHumidity.test(name) ? 'relativeHumidity' : null
  if (plain === 'mv') return aboutThermocouple.test(name) ? 'millivolts' : null
  return unitBySpelling.get(plain) ?? null
}

/** Endings of names that tell a unit. The letters of a unit stand apart, or are capitals after small ones: `T1_C`, `tempC`, never `mac`. */
const endings: readonly (readonly [ending: RegExp, unit: MappingUnit])[] = [
  [/(°|deg)\s*C$|℃$|celsius$/i, 'celsius'],
  [/(°|deg)\s*F$|℉$|fahrenheit$/i, 'fahrenheit'],
  [/kelvin$/i, 'kelvin'],
  [/(^|[_\-./ ])C$|[a-z\d]C$/, 'celsius'],
  [/(^|[_\-./ ])F$|[a-z\d]F$/, 'fahrenheit'],
  [/(^|[_\-./ ])K$|[a-z\d]K$/, 'kelvin'],
  [/[_\-./ ]c$/, 'celsius'],
  [/[_\-./ ]f$/, 'fahrenheit'],
  [/humidity$|(^|[_\-./ %])rh$|[a-z\d]RH$/i, 'relativeHumidity'],
  [/(^|[_\-./ ])hum$/i, 'relativeHumidity'],
  [/hpa$|mbar$/i, 'hectopascals'],
  [/kpa$/i, 'kilopascals'],
  [/(^|[_\-./ ])pa$|[a-z\d]Pa$/, 'pascals'],
  [/m\/s$|(^|[_\-./ ])mps$/i, 'metresPerSecond'],
  [/(µ|μ|(^|[_\-./ ])u)V$|microvolts$/i, 'microvolts'],
]

/** The unit that a name ends in; null where it tells none, as "temperature" does. */
export function unitFromName(name: string): MappingUnit | null {
  return endings.find(([ending]) => ending.test(name))?.[1] ?? null
}
