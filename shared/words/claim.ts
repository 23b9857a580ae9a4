/** What an unclaimed instrument looks like, said as the guess that it is: never more than its numbers and its name tell. Pure. */
import type { Mapping, MappingUnit, NumberUnit, Quantity } from '../contract/index.ts'
import { inUnit, type Speech, temperatureDigits, unitWord } from './speech.ts'

/** Units that a number without one may be claimed in. */
export const claimUnits: Record<NumberUnit, string> = {
  celsius: '°C',
  fahrenheit: '°F',
  kelvin: 'K',
  percent: '% humidity',
  metresPerSecond: 'm/s',
  pascals: 'Pa',
  amperes: 'A',
}

const thousandth = (value: number) => String(Math.round(value * 1_000) / 1_000).replace('-', '−')

/** Where in a foundry such a temperature is met; spans are common practice, no source: they only word a guess. */
export function metAs(celsius: number): string {
  if (celsius < -40 || celsius > 1_400) return 'no temperature of this trade'
  if (celsius < 5) return 'a cold store’s temperature'
  if (celsius <= 42) return 'a room’s temperature'
  if (celsius < 55) return 'that of something warm'
  if (celsius <= 180) return 'a wax pot’s temperature'
  return 'a kiln’s temperature'
}

export function inCelsius(value: number, unit: NumberUnit): number | null {
  if (unit === 'celsius') return value
  if (unit === 'fahrenheit') return ((value - 32) * 5) / 9
  return unit === 'kelvin' ? value - 273.15 : null
}

/** Looks like °C: 21.5 is a room’s temperature. */
export function unitSays(value: number, unit: NumberUnit, other: NumberUnit | null): string {
  const celsius = inCelsius(value, unit)
  if (celsius === null)
    return `Looks like ${claimUnits[unit]}: ${thousandth(value)} lies between 0 and 100, and its name says so.`
  const means = unit === 'celsius' ? '' : `, ${thousandth(Math.round(celsius * 10) / 10)} °C,`
  const first = `Looks like ${claimUnits[unit]}: ${thousandth(value)}${means} is ${metAs(celsius)}.`
  const otherC = other === null ? null : inCelsius(value, other)
  if (other === null || otherC === null) return first
  return `${first} In ${claimUnits[other]} it would be ${metAs(otherC)} (${thousandth(Math.round(otherC * 10) / 10)} °C): look which it is.`
}

/** A unit that the message itself named is not guessed; but it may contradict what it measures. */
export function toldSays(quantity: Quantity, value: number, kind: string, speech: Speech): string {
  if (quantity !== 'temperature') return ''
  const says = `It says ${temperatureDigits(value, speech)} ${unitWord(speech)}: ${metAs(value)}.`
  const asFahrenheit = ((value - 32) * 5) / 9
  if (kind !== 'climate' || value <= 45 || value > 110) return says
  return `${says} No room is that warm; ${thousandth(value)} °F would be ${inUnit(asFahrenheit, speech).toFixed(1)} ${unitWord(speech)}. If it counts in °F, let it send "fahrenheit": nothing is converted by itself.`
}

/** How each unit of a mapping is said. */
const mappedWords: Record<MappingUnit, string> = {
  celsius: '°C',
  fahrenheit: '°F',
  kelvin: 'K',
  relativeHumidity: '% humidity',
  metresPerSecond: 'm/s',
  kilometresPerHour: 'km/h',
  pascals: 'Pa',
  hectopascals: 'hPa',
  kilopascals: 'kPa',
  bar: 'bar',
  closed: 'closed where it is true',
  open: 'open where it is true',
  amperes: 'A',
  milliamperes: 'mA',
  microvolts: 'µV',
  millivolts: 'mV',
  volts: 'V',
  junctionCelsius: '°C at the cold end',
  number: 'a number whose unit nobody has told',
}

/** Takes /sensor/temp as °C, and calls the instrument shed-oven. */
export function mappingSays({ values, instrument, time, list }: Mapping): string {
  const taken = values.map(
    ({ pointer, unit }) => `${pointer === '' ? 'the whole message' : pointer} as ${mappedWords[unit]}`,
  )
  const all = taken.length > 1 ? `${taken.slice(0, -1).join(', ')} and ${taken.at(-1) as string}` : (taken[0] ?? '')
  const each = list === undefined ? '' : ` of each in ${list === '' ? 'the list' : list}`
  const when = time === undefined ? '' : `, ${time.pointer} as its time`
  return `Takes ${all}${each}${when}, and calls the instrument ${instrument}.`
}
