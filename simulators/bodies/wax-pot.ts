/** A wax pot as a body: element, wax at the bottom, wax at the top, a thermostat that switches, a lid, and a relay that may weld. */
import { rk4 } from './integrate.ts'
import { figureWax, type HeatCurve, heatCurve, liquidShare, type Wax } from './wax.ts'

export interface WaxPotSpec {
  wax: Wax
  waxKg: number
  /** Heat capacity of the pot itself, J/K. */
  metalJPerK: number
  heaterW: number
  elementJPerK: number
  elementToWaxWPerK: number
  lidOffWPerK: number
  lidOnWPerK: number
  /** Between bottom and top: while the wax is solid, while it is liquid and still, while somebody stirs. */
  solidMixWPerK: number
  stillMixWPerK: number
  stirredMixWPerK: number
  hysteresisC: number
}

/** All that a pot is at one moment. Energies are in J above 0 °C; the two sums count since the beginning. */
export interface WaxPotState {
  elementC: number
  bottomJ: number
  topJ: number
  /** 1 while the thermostat's relay is closed. */
  relay: number
  suppliedJ: number
  lostJ: number
}

export interface WaxPotControls {
  /** Somebody (or a timer) wants it hot. */
  on: boolean
  setPointC: number
  lidOn: boolean
  stirred: boolean
  ambientC: number
  /** Mains present, and not isolated at the wall. */
  mains: boolean
  /** The relay's contacts have welded: it stays closed whatever the thermostat says. */
  welded: boolean
}

/** Share of the loss that leaves through the surface of the wax; the rest leaves through the wall and floor. */
const topShare = 0.65

export interface WaxPot {
  spec: WaxPotSpec
  curve: HeatCurve
}

export function waxPot(spec: WaxPotSpec): WaxPot {
  return { spec, curve: heatCurve(spec.wax, spec.waxKg / 2, spec.metalJPerK / 2) }
}

/**
 * A plausible pot for so much wax and such a heater. Loss coefficients are chosen so that the wax cools as the trade's
 * arithmetic has it (1.5 kg 0.6–0.9, 6 kg 0.3–0.4, 40 kg 0.1–0.15 °C/min with the lid off); everything else scales with the
 * surface. Common practice, no source.
 */
export function potFor(waxKg: number, heaterW: number, wax: Wax = figureWax): WaxPot {
  const surface = (waxKg / 6) ** (2 / 3)
  const lidOffWPerK = 1.25 * (waxKg / 6) ** 0.5
  return waxPot({
    wax,
    waxKg,
    heaterW,
    metalJPerK: 1_300 * surface,
    elementJPerK: 900 * (heaterW / 600),
    elementToWaxWPerK: 14 * (heaterW / 600),
    lidOffWPerK,
    lidOnWPerK: 0.55 * lidOffWPerK,
    solidMixWPerK: 16 * surface,
    stillMixWPerK: 60 * surface,
    stirredMixWPerK: 500 * surface,
    hysteresisC: 2,
  })
}

export function potAt(pot: WaxPot, temperatureC: number): WaxPotState {
  const half = pot.curve.energyJ(temperatureC)
  return { elementC: temperatureC, bottomJ: half, topJ: half, relay: 0, suppliedJ: 0, lostJ: 0 }
}

export function bottomC(pot: WaxPot, state: WaxPotState): number {
  return pot.curve.temperatureC(state.bottomJ)
}
export function topC(pot: WaxPot, state: WaxPotState): number {
  return pot.curve.temperatureC(state.topJ)
}
/** At mid-depth, where a probe belongs. */
export function middleC(pot: WaxPot, state: WaxPotState): number {
  return (bottomC(pot, state) + topC(pot, state)) / 2
}
/** Heat held by element, wax and pot, J above 0 °C. */
export function storedJ(pot: WaxPot, state: WaxPotState): number {
  return pot.spec.elementJPerK * state.elementC + state.bottomJ + state.topJ
}
export function heatingW(pot: WaxPot, state: WaxPotState, controls: WaxPotControls): number {
  return controls.mains && state.relay === 1 ? pot.spec.heaterW : 0
}

/** The thermostat sits at the bottom, beside the element. */
function relayAfter(pot: WaxPot, state: WaxPotState, controls: WaxPotControls): number {
  if (controls.welded) return 1
  if (!controls.on) return 0
  const feltC = bottomC(pot, state)
  if (feltC >= controls.setPointC) return 0
  return feltC <= controls.setPointC - pot.spec.hysteresisC ? 1 : state.relay
}

/** The pot `dtS` seconds later. The relay switches between steps, never within one; steps of 5 s are fine enough for a pot. */
export function stepWaxPot(pot: WaxPot, state: WaxPotState, controls: WaxPotControls, dtS: number): WaxPotState {
  const { spec, curve } = pot
  const switched = { ...state, relay: relayAfter(pot, state, controls) }
  const heaterW = heatingW(pot, switched, controls)
  const lossWPerK = controls.lidOn ? spec.lidOnWPerK : spec.lidOffWPerK
  return rk4(
    switched,
    (now) => {
      const bottom = curve.temperatureC(now.bottomJ)
      const top = curve.temperatureC(now.topJ)
      const liquid = Math.min(liquidShare(spec.wax, bottom), liquidShare(spec.wax, top))
      const calm = spec.solidMixWPerK + (spec.stillMixWPerK - spec.solidMixWPerK) * liquid
      const upW = (controls.stirred && liquid > 0 ? spec.stirredMixWPerK : calm) * (bottom - top)
      const intoWaxW = spec.elementToWaxWPerK * (now.elementC - bottom)
      const topLossW = topShare * lossWPerK * (top - controls.ambientC)
      const bottomLossW = (1 - topShare) * lossWPerK * (bottom - controls.ambientC)
      return {
        elementC: (heaterW - intoWaxW) / spec.elementJPerK,
        bottomJ: intoWaxW - upW - bottomLossW,
        topJ: upW - topLossW,
        relay: 0,
        suppliedJ: heaterW,
        lostJ: topLossW + bottomLossW,
      }
    },
    dtS,
  )
}
