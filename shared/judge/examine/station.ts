/** What is examined together: the instruments of one station, where they sit and how they are set. */
import type { InfraredSetting, InstrumentKind, Place, StationKind, ThermocoupleType } from '../../contract/index.ts'
import type { DurationMs } from '../../time.ts'

export interface ExaminedInstrument {
  id: string
  kind: InstrumentKind
  place?: Place
  /** What kind of thermocouple stands behind its temperatures, where it is known. */
  thermocouple?: ThermocoupleType
  infrared?: InfraredSetting
  intervalMs: DurationMs
}

export interface ExaminedStation {
  kind: StationKind
  instruments: readonly ExaminedInstrument[]
}
