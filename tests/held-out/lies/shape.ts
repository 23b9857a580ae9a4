/** The shape of a held-out scene: instruments at a station, what they said, and what is true of them. */
import type { DoubtKind } from '../../../shared/contract/doubt.ts'
import type { Instrument } from '../../../shared/contract/instrument.ts'
import type { Quantity } from '../../../shared/contract/quantity.ts'
import type { StationKind } from '../../../shared/contract/station.ts'
import type { EpochMs } from '../../../shared/time.ts'

export type SceneInstrument = Pick<Instrument, 'id' | 'kind' | 'place' | 'thermocouple' | 'infrared'> & {
  intervalMs: number
}

export interface SceneReading {
  /** The instrument's own time. */
  t: EpochMs
  /** Which of the station's instruments. */
  instrument: number
  quantity: Quantity
  value: number
}

export interface SceneTruth {
  instrument: string
  kind: DoubtKind
  from: EpochMs
  to: EpochMs
  /** Where the readings cannot tell which of two it is: the other, which may be named instead. */
  or?: string
}

export interface LieScene {
  /** Tells kind, class and seed. */
  id: string
  class: string
  station: { kind: StationKind; instruments: readonly SceneInstrument[] }
  /** In rising t; each iteration gives the same. */
  readings(): Iterable<SceneReading>
  truth: readonly SceneTruth[]
  /** Instrument-months of 30 days. */
  months: number
}
