/** Meaning: what the raw value of an instrument says of the world, by its calibrations and its infrared setting. The one place for it. */
import type { Instrument, NoAnswer, Quantity } from '../contract/index.ts'
import type { InfraredScene } from '../physics/infrared.ts'
import { type Interpretation, interpreted } from '../physics/interpretation.ts'
import type { EpochMs } from '../time.ts'

/** A temperature, °C; or why there is none: such a value is never judged, drawn or summed. */
export type Meaning = (rawC: number, measuredAt: EpochMs) => number | NoAnswer

/** What is mirrored where nobody says it, °C: a workshop's room temperature. Common practice, no source. */
export const reflectedUsualC = 23

/** How an infrared instrument is set and what it truly looks at; null for others, and where nobody knows its true emissivity. */
export function sceneOf({ kind, infrared }: Pick<Instrument, 'kind' | 'infrared'>): InfraredScene | null {
  if (kind !== 'infrared' || infrared?.emissivity === undefined) return null
  const { setEmissivity, compensatedC, emissivity, reflectedC, spotMm, targetMm } = infrared
  return {
    setEmissivity,
    compensatedC: compensatedC ?? null,
    emissivity,
    reflectedC: reflectedC ?? reflectedUsualC,
    spotMm,
    targetMm,
  }
}

/** The same as data; null where a value means what it says. Only temperatures are calibrated. */
export function interpretationOf(instrument: Instrument, quantity: Quantity): Interpretation | null {
  if (quantity !== 'temperature') return null
  const { correction = [], calibrations = [] } = instrument
  const infrared = sceneOf(instrument)
  const dated = calibrations.map(({ at, points }) => ({ from: at, points }))
  const all = correction.length > 0 ? [{ from: -Infinity, points: correction }, ...dated] : dated
  return all.length === 0 && infrared === null ? null : { calibrations: all, infrared }
}

/** Null where a value means what it says. */
export function meaningOf(instrument: Instrument, quantity: Quantity): Meaning | null {
  const of = interpretationOf(instrument, quantity)
  return of === null ? null : (rawC, measuredAt) => interpreted(of, rawC, measuredAt)
}
