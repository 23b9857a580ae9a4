/** The cold end of a thermocouple: how its error reaches the hot end, and whether a voltage can be true at all. */
import { branchFor, roundingMv } from './inverse.ts'
import type { ThermocoupleType } from './its90.ts'
import { emfMv, sensitivityMvPerC } from './thermocouple.ts'

/**
 * By how much the hot end is wrong, °C, for each °C that the cold end is wrong: S(cold)/S(hot), dimensionless.
 * Range: both ends in that of their type (`emfMv`); outside null, and where the hot end gives no more voltage with more heat
 * (type B below 21 °C). Computed: type K at 1,000 °C 1.04, type S 0.52.
 */
export function junctionGain(type: ThermocoupleType, hotC: number, junctionC: number): number | null {
  const [hot, cold] = [sensitivityMvPerC(type, hotC), sensitivityMvPerC(type, junctionC)]
  return hot === null || cold === null || hot <= 0 ? null : cold / hot
}

export type EmfVerdict =
  | 'ok'
  /** Colder than its type can be: reversed leads, a short to something, an amplifier at its lower end. */
  | 'below-range'
  /** Hotter than its type can be: an open circuit that is pulled up, an amplifier at its upper end. */
  | 'above-range'
  /** Type B below 42 °C: one voltage, two temperatures. `hotJunctionC` gives the warmer, and it may be the other. */
  | 'two-valued'
  /** No number came. */
  | 'no-value'
  /** The cold end is no number, or where its type has no function: the voltage says nothing. */
  | 'junction-out-of-range'

/**
 * Whether `microvolts` from a bare thermocouple with its cold end at `junctionC` (°C) can mean a temperature, and if not, why.
 * `ok` exactly where `hotJunctionC` has one answer and no other. Range: any; infinite voltages are above or below. One voltage alone
 * does not tell every open circuit: an input that nothing pulls drifts, and a short reads like the cold end.
 */
export function emfVerdict(type: ThermocoupleType, microvolts: number, junctionC: number): EmfVerdict {
  if (Number.isNaN(microvolts)) return 'no-value'
  const atJunctionMv = emfMv(type, junctionC)
  if (atJunctionMv === null) return 'junction-out-of-range'
  const mv = microvolts / 1_000 + atJunctionMv
  const { lowMv, highMv } = branchFor(type)
  if (mv < lowMv - roundingMv) return 'below-range'
  if (mv > highMv + roundingMv) return 'above-range'
  return type === 'B' && mv <= 0 ? 'two-valued' : 'ok'
}

/** What a number says that is none of a measurement. */
export type ValueCode =
  /** A digital probe that has just got its power and has not measured yet: exactly 85. */
  | 'power-on'
  /** A digital probe that does not answer: exactly −127. */
  | 'not-connected'
  /** An input of 16 bits at its end: ±32,767, −32,768, 65,535, or a tenth, a hundredth or a sixteenth of the signed ones. */
  | 'scale-end'

const scaleEnds = new Set([65_535, ...[1, 10, 16, 100].flatMap((by) => [32_767 / by, -32_767 / by, -32_768 / by])])

/**
 * Whether a value is one of the numbers that stand for "no measurement" (common practice, no source). Any unit, exact.
 * A hint, not proof: wax can be 85 °C. It says more when it comes alone, first after a silence, or again and again digit for digit.
 */
export function codeOf(value: number): ValueCode | null {
  if (value === 85) return 'power-on'
  if (value === -127) return 'not-connected'
  return scaleEnds.has(value) ? 'scale-end' : null
}
