/** What each instrument is to the examination: where it sits, and what it may be held against. */
import type { Place } from '../../contract/index.ts'
import type { ExaminedInstrument, ExaminedStation } from './station.ts'

export type Role = 'wax' | 'infrared' | 'kiln-air' | 'kiln-load' | 'room-air' | 'none'

/** One minute of all instruments of a station side by side. */
export interface Frame {
  index: number
  minuteMs: number
  /** End of this minute. */
  t: number
  /** Mean of each instrument; null where it was unseen, says nothing but one value, or is known to show no temperature of its place. */
  values: readonly (number | null)[]
  roles: readonly Role[]
}

const byPlace: Partial<Record<Place, Role>> = {
  'wax-top': 'wax',
  'wax-middle': 'wax',
  'wax-bottom': 'wax',
  'kiln-air': 'kiln-air',
  'kiln-load': 'kiln-load',
  mould: 'kiln-load',
  'room-air': 'room-air',
}

/** Where nobody said where it sits, only what cannot be otherwise is assumed. */
export function roleOf({ kind: station }: ExaminedStation, { kind, place }: ExaminedInstrument): Role {
  const isPot = station === 'pot' || station === 'bench-cup'
  if (kind === 'infrared') return isPot ? 'infrared' : 'none'
  if (kind !== 'thermocouple' && kind !== 'climate') return 'none'
  if (place !== undefined) return byPlace[place] ?? 'none'
  if (isPot) return kind === 'thermocouple' ? 'wax' : 'room-air'
  return kind === 'climate' ? 'room-air' : 'none'
}

/** Rank of a wax probe as the one to believe: the higher, the nearer to what an infrared instrument sees. */
export function depthOf({ place }: ExaminedInstrument): number {
  return place === 'wax-top' ? 0 : place === 'wax-bottom' ? 2 : 1
}

/** Surroundings of the station where neither a probe nor a setting tells them, °C: a workshop (common practice, no source). */
const surroundingsC = 22

export function ambientOf(station: ExaminedStation, values: readonly (number | null)[]): number {
  const measured = station.instruments.findIndex((i) => i.place === 'room-air')
  const value = measured < 0 ? null : values[measured]
  if (value != null) return value
  return station.instruments.find((i) => i.infrared?.reflectedC !== undefined)?.infrared?.reflectedC ?? surroundingsC
}
