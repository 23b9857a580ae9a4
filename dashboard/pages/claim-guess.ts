/** Guesses what an unclaimed instrument is and where it belongs, from its numbers, its name and its neighbours, for a person to adopt. Pure. */
import {
  type Foundry,
  type InstrumentKind,
  type NumberUnit,
  type Place,
  type Station,
  type StationKind,
  type Unclaimed,
  sensorCodes,
} from '../../shared/contract/index.ts'
import { inCelsius, stationKindWords } from '../../shared/words/index.ts'

export interface ClaimGuess {
  kind: InstrumentKind
  /** Only for a number that came without one. */
  unit: { is: NumberUnit; other: NumberUnit | null; value: number } | null
  /** The id of a station that is there, or null for a new one. */
  station: string | null
  newStation: { name: string; kind: StationKind }
  place: Place | null
  intervalS: number
  /** It sends microvolts: then its type must be told. */
  needsType: boolean
}

type House = Pick<Foundry, 'stations' | 'instruments'>

const words = (text: string) =>
  text
    .toLowerCase()
    .split(/[^a-z0-9]+|(?<=[a-z])(?=\d)|(?<=\d)(?=[a-z])/)
    .filter((w) => w !== '')
const says = (text: string, ...any: string[]) => words(text).some((word) => any.some((one) => word.startsWith(one)))

function unitOf(value: number, name: string): { is: NumberUnit; other: NumberUnit | null } {
  if (says(name, 'hum', 'rh') && value >= 0 && value <= 100) return { is: 'percent', other: null }
  if (says(name, 'fahrenheit', 'degf')) return { is: 'fahrenheit', other: null }
  if (says(name, 'celsius', 'degc')) return { is: 'celsius', other: null }
  // A room in kelvin; a kiln's °C passes there within minutes, so the other is named.
  if (value >= 278 && value <= 310) return { is: 'kelvin', other: 'celsius' }
  // 59 to 95 °F are rooms, 130 to 330 °F are pots: as °C the same numbers are pots and kilns.
  const asRoom = value >= 59 && value <= 95
  const asPot = value >= 130 && value <= 330
  if (asRoom && says(name, 'room', 'air', 'store', 'corridor', 'climate')) return { is: 'fahrenheit', other: 'celsius' }
  if (asPot && says(name, 'pot', 'wax', 'cup', 'tank') && value > 180) return { is: 'fahrenheit', other: 'celsius' }
  return { is: 'celsius', other: asRoom || asPot ? 'fahrenheit' : null }
}

function kindOf(item: Unclaimed, unit: NumberUnit | null): InstrumentKind {
  const has = (quantity: string) => item.quantities.includes(quantity)
  if (has('humidity') || unit === 'percent') return 'climate'
  if (has('contact')) return 'contact'
  if (has('current')) return 'current'
  if (has('air-speed')) return 'air-speed'
  const payload = item.lastPayload?.payload ?? ''
  if (payload.includes('"emissivity"') || says(item.instrument, 'ir', 'infrared', 'gun', 'pyrometer')) return 'infrared'
  return 'thermocouple'
}

/** The station whose name, or the names of whose instruments, share a beginning with it: `w1-low` beside `w1-mid`. */
function stationOf(item: Unclaimed, { stations, instruments }: House): Station | null {
  const [head = ''] = item.instrument.toLowerCase().split(/[^a-z0-9]+/)
  const begins = (text: string) => text.toLowerCase().split(/[^a-z0-9]+/)[0] === head
  const beside = instruments.filter((one) => begins(one.id)).map((one) => one.station)
  const named = stations.find((station) => begins(station.id) || begins(station.name))
  if (named) return named
  return new Set(beside).size === 1 ? (stations.find((station) => station.id === beside[0]) ?? null) : null
}

function newStationOf(kind: InstrumentKind, celsius: number | null, name: string): StationKind {
  if (says(name, 'kiln', 'burnout', 'oven')) return 'kiln'
  if (says(name, 'cup')) return 'bench-cup'
  if (says(name, 'pot', 'wax')) return 'pot'
  if (kind === 'climate') return 'dry-room'
  if (celsius === null || celsius <= 42) return 'surroundings'
  return celsius <= 180 ? 'pot' : 'kiln'
}

/** Where it sits, as far as the kind of station and its name tell. */
export function placeOf(kind: InstrumentKind, station: StationKind, name: string): Place | null {
  if (station === 'pot' || station === 'bench-cup') {
    if (kind === 'infrared') return 'wax-surface'
    if (kind !== 'thermocouple') return null
    if (says(name, 'bot', 'low')) return 'wax-bottom'
    return says(name, 'top', 'upper') ? 'wax-top' : 'wax-middle'
  }
  if (says(name, 'piece', 'pattern')) return 'test-piece'
  if (station === 'kiln') {
    if (says(name, 'mould', 'mold')) return 'mould'
    if (kind !== 'thermocouple') return null
    return says(name, 'load', 'core') ? 'kiln-load' : 'kiln-air'
  }
  return kind === 'climate' ? 'room-air' : null
}

const usualS = [1, 2, 5, 10, 15, 20, 30, 60, 120, 300, 600, 900, 1_800, 3_600]

/** How often it speaks: the mean of what was heard, at the nearest usual interval; ten seconds where too little was. */
function intervalOf({ firstAt, lastAt, readings, quantities }: Unclaimed): number {
  const times = readings / Math.max(1, quantities.length)
  if (times < 3 || lastAt <= firstAt) return 10
  const meanS = (lastAt - firstAt) / (times - 1) / 1_000
  const far = (one: number) => Math.abs(Math.log(one / meanS))
  return usualS.reduce((best, one) => (far(one) < far(best) ? one : best))
}

/** A name that no station has yet: Wax pot, Wax pot 2 … */
export function freeName(kind: StationKind, stations: readonly Station[]): string {
  const taken = new Set(stations.map((station) => station.name))
  for (let n = 1; ; n++) {
    const name = n === 1 ? stationKindWords[kind] : `${stationKindWords[kind]} ${n}`
    if (!taken.has(name)) return name
  }
}

export function guessClaim(item: Unclaimed, house: House): ClaimGuess {
  const number = item.lastValues['number']
  const unit =
    number === undefined || sensorCodes.has(number) ? null : { ...unitOf(number, item.instrument), value: number }
  const kind = kindOf(item, unit?.is ?? null)
  const celsius = item.lastValues['temperature'] ?? (unit ? inCelsius(unit.value, unit.is) : null)
  const station = stationOf(item, house)
  const newKind = newStationOf(kind, celsius, item.instrument)
  return {
    kind,
    unit,
    station: station?.id ?? null,
    newStation: { name: freeName(newKind, house.stations), kind: newKind },
    place: placeOf(kind, station?.kind ?? newKind, item.instrument),
    intervalS: intervalOf(item),
    needsType: item.quantities.includes('emf'),
  }
}
