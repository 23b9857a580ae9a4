/** What every house can make for itself to check an instrument by: melting ice and boiling water. */
import { pressureAtPa } from './humidity.ts'
import { saturationTemperatureC } from './saturation.ts'
import { uniformU } from './tolerance.ts'

/** A temperature that is known without an instrument, and its standard uncertainty. */
export interface FixedPoint {
  isC: number
  uC: number
}

/**
 * Crushed ice of clean water, wetted through with clean water, in an insulated flask: 0 °C.
 * The ice point is 0.0 °C almost exactly (MSL Technical Guide 1, 2017); made with some care it is met within ±0.01 °C (uniform).
 * A mug with a few cubes is not an ice point: it can be a degree off. For a thermocouple the check says little: what
 * is 0.25 °C here can be many degrees at 800 °C.
 */
export const icePoint: FixedPoint = { isC: 0, uC: uniformU(0.01) }

/** The weather moves the pressure of a place by some 3 % to either side (common practice, no source). */
const weatherShare = 0.03
/** How well a barometer on site is read, Pa (common practice, no source): 1 hPa. */
export const barometerUPa = 100
/** Water that boils hard is a little above its boiling point, and so is water that is not pure; ours, no source: ±0.1 °C. */
const boilingHalfC = 0.1

/**
 * Boiling point of pure water, °C, where the air presses with `pressurePa` (standard uncertainty `uPa`).
 * Range: 30,000…120,000 Pa; outside null. Source: the saturation line of Hyland and Wexler (saturation.ts), turned round.
 * Measured agreement: 100,000 Pa, IAPWS-IF97 table 36 (372.755919 K), within 0.001 °C; 101,325 Pa gives 99.974 °C.
 * The probe hangs in the steam just above the water, or in the water off the bottom.
 */
export function boilingPoint(pressurePa: number, uPa: number = barometerUPa): FixedPoint | null {
  if (!(pressurePa >= 30_000 && pressurePa <= 120_000) || !(uPa >= 0)) return null
  const at = (pa: number) => saturationTemperatureC(pa) as number
  const perPa = (at(pressurePa * 1.001) - at(pressurePa * 0.999)) / (pressurePa * 0.002)
  return { isC: at(pressurePa), uC: Math.hypot(perPa * uPa, uniformU(boilingHalfC)) }
}

/**
 * The same where only the elevation of the site is known, m: the standard atmosphere there, and the weather as its uncertainty, which
 * is half a degree. Range −1,500…9,000 m; outside null. Measured agreement with five rows of ASHRAE 2017, ch. 1, table 1: their pressures
 * within 1 Pa, which is less than 0.001 °C.
 */
export function boilingPointAt(elevationM: number): FixedPoint | null {
  const pressurePa = elevationM >= -1_500 && elevationM <= 9_000 ? pressureAtPa(elevationM) : null
  return pressurePa === null ? null : boilingPoint(pressurePa, uniformU(weatherShare * pressurePa))
}
