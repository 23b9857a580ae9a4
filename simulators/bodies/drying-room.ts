/** A drying room as a body: air, water in the air, the slow structure behind it, and the machines that keep it in band. */
import { relativeHumidityOf } from '../../shared/physics/humidity.ts'
import { rk4 } from './integrate.ts'

export interface DryingRoomSpec {
  airKg: number
  pressurePa: number
  /** Walls, floor and racks: the room's memory, J/K, and how well the air reaches them, W/K. */
  structureJPerK: number
  structureWPerK: number
  /** To the outside, W/K. */
  envelopeWPerK: number
  /** Air exchanged with the corridor, kg/s, through the gaps and through the open door. */
  leakKgPerS: number
  doorKgPerS: number
  fansW: number
  coolingW: number
  coolingBandC: number
  /** Air through the dehumidifier, kg/s, the water left in it, kg/kg, its own heat, W, its band, %. */
  dehumidifierKgPerS: number
  coilRatio: number
  dehumidifierW: number
  dehumidifierBand: number
  /** Which machines start again by themselves when the mains come back. Fans always do. */
  coolingRestarts: boolean
  dehumidifierRestarts: boolean
}

/** All that a room is at one moment. Switches are 0 or 1; the sums count since the beginning. */
export interface DryingRoomState {
  airC: number
  structureC: number
  /** Water per dry air, kg/kg. */
  ratio: number
  cooling: number
  drying: number
  /** Tripped by a power cut, waiting for a person to press reset. */
  coolingTripped: number
  dryingTripped: number
  heatInJ: number
  heatOutJ: number
  waterInKg: number
  waterOutKg: number
}

export interface DryingRoomControls {
  setC: number
  setHumidity: number
  mains: boolean
  fansOn: boolean
  doorOpen: boolean
  corridorC: number
  corridorRatio: number
  outsideC: number
  /** Water that the shells give off, kg/s. */
  evaporationKgPerS: number
}

/** Dry air, J/kg·K, and heat of evaporation near 20 °C, J/kg (ASHRAE 2017 ch. 1: 1.006 and 2501 − 2.4·20). */
export const airJPerKgK = 1_006
export const evaporationJPerKg = 2_453_000

/** A room of so many cubic metres with plausible walls and machines. Invented. */
export function roomFor(volumeM3: number, change: Partial<DryingRoomSpec> = {}): DryingRoomSpec {
  const airKg = 1.2 * volumeM3
  return {
    airKg,
    pressurePa: 101_325,
    structureJPerK: 36_000 * volumeM3,
    structureWPerK: 80 * volumeM3,
    envelopeWPerK: 0.8 * volumeM3,
    leakKgPerS: (0.06 * airKg) / 3_600,
    doorKgPerS: (10 * airKg) / 3_600,
    fansW: 9 * volumeM3,
    coolingW: 25 * volumeM3,
    coolingBandC: 0.8,
    dehumidifierKgPerS: airKg / 1_500,
    coilRatio: 0.0058,
    dehumidifierW: 6 * volumeM3,
    dehumidifierBand: 2,
    coolingRestarts: true,
    dehumidifierRestarts: true,
    ...change,
  }
}

export function roomAt(airC: number, ratio: number): DryingRoomState {
  return {
    airC,
    structureC: airC,
    ratio,
    cooling: 0,
    drying: 0,
    coolingTripped: 0,
    dryingTripped: 0,
    heatInJ: 0,
    heatOutJ: 0,
    waterInKg: 0,
    waterOutKg: 0,
  }
}

export function humidityOf(spec: DryingRoomSpec, state: DryingRoomState): number {
  return relativeHumidityOf(state.airC, state.ratio, spec.pressurePa) ?? 0
}
export function storedHeatJ(spec: DryingRoomSpec, state: DryingRoomState): number {
  return spec.airKg * airJPerKgK * state.airC + spec.structureJPerK * state.structureC
}

/** A person presses reset on whatever a power cut had tripped. */
export function reset(state: DryingRoomState, which: 'cooling' | 'dehumidifier'): DryingRoomState {
  return which === 'cooling' ? { ...state, coolingTripped: 0 } : { ...state, dryingTripped: 0 }
}

function switched(spec: DryingRoomSpec, state: DryingRoomState, controls: DryingRoomControls): DryingRoomState {
  if (!controls.mains)
    return {
      ...state,
      cooling: 0,
      drying: 0,
      coolingTripped: spec.coolingRestarts ? state.coolingTripped : 1,
      dryingTripped: spec.dehumidifierRestarts ? state.dryingTripped : 1,
    }
  const band = (value: number, set: number, width: number, before: number) =>
    value > set + width / 2 ? 1 : value < set - width / 2 ? 0 : before
  const cooling = band(state.airC, controls.setC, spec.coolingBandC, state.cooling)
  const drying = band(humidityOf(spec, state), controls.setHumidity, spec.dehumidifierBand, state.drying)
  return {
    ...state,
    cooling: state.coolingTripped === 1 ? 0 : cooling,
    drying: state.dryingTripped === 1 ? 0 : drying,
  }
}

/** The room `dtS` seconds later. Machines switch between steps; steps of 5 s are fine enough for a room. */
export function stepDryingRoom(
  spec: DryingRoomSpec,
  state: DryingRoomState,
  controls: DryingRoomControls,
  dtS: number,
): DryingRoomState {
  const start = switched(spec, state, controls)
  const exchangeKgPerS = spec.leakKgPerS + (controls.doorOpen ? spec.doorKgPerS : 0)
  const fansW = controls.mains && controls.fansOn ? spec.fansW : 0
  const none = { cooling: 0, drying: 0, coolingTripped: 0, dryingTripped: 0 }
  return rk4(
    start,
    (now) => {
      const condensedKgPerS = start.drying * spec.dehumidifierKgPerS * Math.max(0, now.ratio - spec.coilRatio)
      const machinesW = fansW + start.drying * spec.dehumidifierW + condensedKgPerS * evaporationJPerKg
      const envelopeW = spec.envelopeWPerK * (now.airC - controls.outsideC)
      const exchangeW = exchangeKgPerS * airJPerKgK * (now.airC - controls.corridorC)
      const shellsW = controls.evaporationKgPerS * evaporationJPerKg
      const outW = envelopeW + exchangeW + shellsW + start.cooling * spec.coolingW
      const toStructureW = spec.structureWPerK * (now.airC - now.structureC)
      const exchangedKgPerS = exchangeKgPerS * (controls.corridorRatio - now.ratio)
      return {
        ...none,
        airC: (machinesW - outW - toStructureW) / (spec.airKg * airJPerKgK),
        structureC: toStructureW / spec.structureJPerK,
        ratio: (exchangedKgPerS + controls.evaporationKgPerS - condensedKgPerS) / spec.airKg,
        heatInJ: machinesW,
        heatOutJ: outW,
        waterInKg: exchangedKgPerS + controls.evaporationKgPerS,
        waterOutKg: condensedKgPerS,
      }
    },
    dtS,
  )
}
