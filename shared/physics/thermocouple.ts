/** Thermocouples: the voltage a junction gives, and the temperature a voltage means, by the ITS-90 reference functions. */
import { branchFor, inverseC } from './inverse.ts'
import { its90, type ThermocoupleType } from './its90.ts'
import { pieceAt, pieceEmfMv, pieceSlope } from './reference-function.ts'

/**
 * Voltage of a junction at `temperatureC` against a reference junction at 0 °C, mV.
 * Range °C: K −270…1372, J −210…1200, N −270…1300, T −270…400, E −270…1000, R and S −50…1768.1, B 0…1820; outside null.
 * Source: NIST SRD 60, direct functions (its90.ts). Measured agreement with its tables: within 0.0005 mV, half their last digit.
 */
export function emfMv(type: ThermocoupleType, temperatureC: number): number | null {
  const piece = pieceAt(its90[type], temperatureC)
  return piece === null ? null : pieceEmfMv(piece, temperatureC)
}

/** Sensitivity at `temperatureC`, mV/°C: the derivative of the same function, over the same range; outside null. */
export function sensitivityMvPerC(type: ThermocoupleType, temperatureC: number): number | null {
  const piece = pieceAt(its90[type], temperatureC)
  return piece === null ? null : pieceSlope(piece, temperatureC)
}

/**
 * Temperature, °C, of a junction that gives `mv` against a reference junction at 0 °C.
 * Solves the direct function, because the published inverse polynomials are up to 0.06 °C off and do not lead back.
 * Range: that of `emfMv`, for type B from its turn near 21 °C up; outside null, and below the turn of
 * type B there is no single answer: null. Round trip through `emfMv` measured within 1e-6 °C over the whole range.
 */
export function temperatureOfEmfC(type: ThermocoupleType, mv: number): number | null {
  return inverseC(branchFor(type), mv)
}

/**
 * Temperature of the hot junction, °C, of a bare thermocouple that gives `microvolts` while its cold end is at `junctionC`.
 * Compensated in voltage, t = inverse(E + E(junction)), never by adding temperatures. Null where either end lies outside the
 * range of its type. Agrees with the two published worked examples for type K within 0.01 °C.
 */
export function hotJunctionC(type: ThermocoupleType, microvolts: number, junctionC: number): number | null {
  const atJunctionMv = emfMv(type, junctionC)
  return atJunctionMv === null ? null : temperatureOfEmfC(type, microvolts / 1_000 + atJunctionMv)
}
