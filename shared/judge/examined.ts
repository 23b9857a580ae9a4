/** A station as its examiner sees it: from the foundry document, without what does not matter to it. */
import type { Instrument, StationKind } from '../contract/index.ts'
import { secondMs } from '../time.ts'
import type { ExaminedInstrument, ExaminedStation } from './examine/index.ts'

export function examinedStation(kind: StationKind, instruments: readonly Instrument[]): ExaminedStation {
  return { kind, instruments: instruments.map(examinedInstrument) }
}

function examinedInstrument(instrument: Instrument): ExaminedInstrument {
  const { id, kind, place, thermocouple, infrared, intervalS } = instrument
  return {
    id,
    kind,
    intervalMs: intervalS * secondMs,
    ...(place && { place }),
    ...(thermocouple && { thermocouple }),
    ...(infrared && { infrared }),
  }
}
