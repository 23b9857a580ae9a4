/** A kiln as a body: elements or burner heat the air, the air heats wall and load, the wall loses to the yard; a door and a vent. */
import { rk4 } from './integrate.ts'

export interface KilnSpec {
  powerW: number
  airJPerK: number
  wallJPerK: number
  loadJPerK: number
  airToWallWPerK: number
  airToLoadWPerK: number
  wallToYardWPerK: number
  /** Through the vent when it is fully open, and through the open door, W/K. */
  ventWPerK: number
  doorWPerK: number
}

/** All that a kiln is at one moment; the two sums count since the beginning. */
export interface KilnState {
  airC: number
  wallC: number
  loadC: number
  suppliedJ: number
  lostJ: number
}

export interface KilnControls {
  /** Share of full power, 0…1; below zero the vent opens instead, −1 fully. */
  duty: number
  mains: boolean
  doorOpen: boolean
  yardC: number
}

/** An electric kiln for solid moulds, and a gas kiln for shells. Sizes invented. */
export const mouldKiln: KilnSpec = {
  powerW: 24_000,
  airJPerK: 40_000,
  wallJPerK: 260_000,
  loadJPerK: 76_000,
  airToWallWPerK: 170,
  airToLoadWPerK: 18,
  wallToYardWPerK: 5,
  ventWPerK: 20,
  doorWPerK: 90,
}
export const shellKiln: KilnSpec = {
  powerW: 45_000,
  airJPerK: 30_000,
  wallJPerK: 120_000,
  loadJPerK: 12_000,
  airToWallWPerK: 160,
  airToLoadWPerK: 20,
  wallToYardWPerK: 6,
  ventWPerK: 30,
  doorWPerK: 120,
}

export function kilnAt(temperatureC: number): KilnState {
  return { airC: temperatureC, wallC: temperatureC, loadC: temperatureC, suppliedJ: 0, lostJ: 0 }
}
export function kilnStoredJ(spec: KilnSpec, state: KilnState): number {
  return spec.airJPerK * state.airC + spec.wallJPerK * state.wallC + spec.loadJPerK * state.loadC
}

/** The kiln `dtS` seconds later; steps of 5 s are fine enough for a kiln. */
export function stepKiln(spec: KilnSpec, state: KilnState, controls: KilnControls, dtS: number): KilnState {
  const duty = controls.mains ? Math.min(1, Math.max(-1, controls.duty)) : 0
  const heaterW = Math.max(0, duty) * spec.powerW
  const openWPerK = Math.max(0, -duty) * spec.ventWPerK + (controls.doorOpen ? spec.doorWPerK : 0)
  return rk4(
    state,
    (now) => {
      const toWallW = spec.airToWallWPerK * (now.airC - now.wallC)
      const toLoadW = spec.airToLoadWPerK * (now.airC - now.loadC)
      const wallLossW = spec.wallToYardWPerK * (now.wallC - controls.yardC)
      const openLossW = openWPerK * (now.airC - controls.yardC)
      return {
        airC: (heaterW - toWallW - toLoadW - openLossW) / spec.airJPerK,
        wallC: (toWallW - wallLossW) / spec.wallJPerK,
        loadC: toLoadW / spec.loadJPerK,
        suppliedJ: heaterW,
        lostJ: wallLossW + openLossW,
      }
    },
    dtS,
  )
}
