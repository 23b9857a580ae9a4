/** How sure an instrument's newest temperature is, and on whose word: of a check, of its class, or of what an infrared instrument looks at. */
import type { Instrument, Sureness, ToleranceClass } from '../contract/index.ts'
import { calibrated, valid } from '../physics/calibration.ts'
import { infraredUncertaintyC } from '../physics/infrared.ts'
import { type Interpretation, interpreted } from '../physics/interpretation.ts'
import { thermocoupleUncertaintyC, toleranceC, uniformU } from '../physics/tolerance.ts'
import type { EpochMs } from '../time.ts'
import { interpretationOf, sceneOf } from './meaning.ts'

/** About 95 of 100 (JCGM 100:2008, 6.3.3). */
const coverageFactor = 2
/** What an instrument that measures its own cold end knows of it, ± °C. Common practice, no source. */
const junctionHalfC = 1
/** What a hand-held infrared instrument is sold with where nobody checked it: ± 1 °C or 1 %, the larger. Common practice, no source. */
const infraredHalfC = 1
const infraredShare = 0.01
/** How well the surroundings are known, °C. Ours: a workshop is not a thermostat. */
const reflectedUC = 2

export interface Newest {
  /** As it was sent. */
  rawC: number
  measuredAt: EpochMs
  /** Its cold end, where it sends a bare voltage. */
  junctionC: number | null
}

const nothingKnown: Sureness = { expandedC: null, from: 'unknown' }

const expanded = (uC: number, from: Sureness['from']): Sureness => ({ expandedC: coverageFactor * uC, from })

/** Standard uncertainty that its calibration leaves, °C; undefined where none holds, null where nobody said how sure its points were. */
function checkUC({ calibrations }: Instrument, { rawC, measuredAt }: Newest): number | null | undefined {
  const holds = valid(calibrations ?? [], measuredAt)
  if (holds === null) return undefined
  if (holds.points.every(({ uC }) => uC === 0)) return null
  return calibrated(holds.points, rawC)?.uC ?? null
}

/** Tolerance of new wire of its class, ± °C; null where it has none there. */
function classC(of: ToleranceClass | undefined, type: Instrument['thermocouple'], temperatureC: number): number | null {
  if (of === undefined || type === undefined) return null
  switch (of) {
    case 'iec-1':
      return toleranceC('iec-60584', 1, type, temperatureC)
    case 'iec-2':
      return toleranceC('iec-60584', 2, type, temperatureC)
    case 'iec-3':
      return toleranceC('iec-60584', 3, type, temperatureC)
    case 'astm-standard':
      return toleranceC('astm-e230', 'standard', type, temperatureC)
    case 'astm-special':
      return toleranceC('astm-e230', 'special', type, temperatureC)
  }
}

function ofInfrared(instrument: Instrument, newest: Newest, calibratedUC: number | null | undefined): Sureness {
  const scene = sceneOf(instrument)
  const emissivityU = instrument.infrared?.emissivityU
  const interpretation = interpretationOf(instrument, 'temperature')
  if (scene === null || interpretation === null || emissivityU === undefined) return nothingKnown
  const alone: Interpretation = { ...interpretation, infrared: null }
  const indicatedC = interpreted(alone, newest.rawC, newest.measuredAt) as number
  const indicatedUC = calibratedUC ?? uniformU(Math.max(infraredHalfC, infraredShare * Math.abs(indicatedC)))
  const uC = infraredUncertaintyC(scene, indicatedC, { emissivityU, reflectedUC, indicatedUC })
  return typeof uC === 'number' ? expanded(uC, 'infrared') : { expandedC: null, from: 'infrared' }
}

function ofThermocouple(instrument: Instrument, newest: Newest, uC: number | null | undefined): Sureness {
  const from = uC === undefined ? 'class' : 'check'
  const { thermocouple: type, toleranceClass } = instrument
  const interpretation = interpretationOf(instrument, 'temperature')
  const temperatureC = interpretation ? interpreted(interpretation, newest.rawC, newest.measuredAt) : newest.rawC
  if (type === undefined || typeof temperatureC !== 'number' || uC === null)
    return uC === undefined ? nothingKnown : { expandedC: uC === null ? null : coverageFactor * uC, from }
  const { junctionC } = newest
  const all = thermocoupleUncertaintyC({
    type,
    temperatureC,
    toleranceC: classC(toleranceClass, type, temperatureC),
    checkUC: uC ?? null,
    junction: junctionC === null ? null : { atC: junctionC, uC: uniformU(junctionHalfC) },
  })
  if (all !== null) return expanded(all, from)
  return uC === undefined ? nothingKnown : { expandedC: null, from }
}

/** Null newest: it has not spoken, so nothing can be said. */
export function surenessOf(instrument: Instrument, newest: Newest | null): Sureness {
  if (newest === null) return nothingKnown
  const uC = checkUC(instrument, newest)
  if (instrument.kind === 'infrared') return ofInfrared(instrument, newest, uC)
  if (instrument.kind === 'thermocouple') return ofThermocouple(instrument, newest, uC)
  if (uC === undefined) return nothingKnown
  return { expandedC: uC === null ? null : coverageFactor * uC, from: 'check' }
}
