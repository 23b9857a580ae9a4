/** A test piece: wax under a wet shell, chilled toward the wet bulb while water leaves, then warming again. A plain lumped body. */
import { vapourDeficitPa, wetBulbC } from '../../shared/physics/humidity.ts'
import { rk4 } from './integrate.ts'

export interface TestPieceSpec {
  /** How the wax follows its surroundings, s. */
  lagS: number
  /** Share of the wet-bulb depression that the wax feels while the shell is wet (heat leaks in from wax and room). */
  depressionShare: number
  /** Hours to dry at a deficit of 1,450 Pa (22 °C, 45 %). Later layers and pockets take longer. */
  dryHours: number
  /** Water it holds when dipped, kg. */
  waterKg: number
}

export interface TestPieceState {
  waxC: number
  /** Water left, as a share of what it held when dipped. */
  wet: number
}

/** Below this share the surface no longer stays wet, and the chill fades with what is left. */
const surfaceDryAt = 0.35
const referenceDeficitPa = 1_450

export interface Surrounding {
  airC: number
  wetBulbC: number
  deficitPa: number
}

/** What a test piece feels of the air: its temperature, its wet bulb, and what it could still take up. */
export function surrounding(airC: number, humidity: number, pressurePa: number): Surrounding {
  const damp = Math.min(100, humidity)
  return { airC, wetBulbC: wetBulbC(airC, damp, pressurePa) ?? airC, deficitPa: vapourDeficitPa(airC, damp) ?? 0 }
}

function leavingPerS(spec: TestPieceSpec, state: TestPieceState, air: Surrounding): number {
  const dullness = Math.min(1, state.wet / surfaceDryAt)
  return ((air.deficitPa / referenceDeficitPa) * dullness) / (spec.dryHours * 3_600)
}

/** Water that it gives to the room now, kg/s. */
export function evaporationKgPerS(spec: TestPieceSpec, state: TestPieceState, air: Surrounding): number {
  return leavingPerS(spec, state, air) * spec.waterKg
}

export function stepTestPiece(
  spec: TestPieceSpec,
  state: TestPieceState,
  air: Surrounding,
  dtS: number,
): TestPieceState {
  return rk4(
    state,
    (now) => {
      const chill = spec.depressionShare * Math.min(1, now.wet / surfaceDryAt) * (air.airC - air.wetBulbC)
      return { waxC: (air.airC - chill - now.waxC) / spec.lagS, wet: -leavingPerS(spec, now, air) }
    },
    dtS,
  )
}
