/** The saturation line of water vapour, and the way back along it: over ice and over liquid water. */
import { celsiusOf, kelvinOf, zeroCelsiusK } from './temperature.ts'

export const saturationFromC = -100
export const saturationToC = 200
/** Below the triple point the vapour meets ice. The two lines differ by less than 0.02 % here. */
const triplePointC = 0.01
/** Where the solver stops, °C: far below what any probe tells apart. */
const solvedC = 1e-9

/** One of the two lines, with `t` in kelvin: the logarithm of the pressure in Pa, and its derivative. */
export interface SaturationLine {
  ln(t: number): number
  lnSlope(t: number): number
}

export const overWater: SaturationLine = {
  ln: (t) =>
    -5.8002206e3 / t +
    1.3914993 +
    t * (-4.8640239e-2 + t * (4.1764768e-5 + t * -1.4452093e-8)) +
    6.5459673 * Math.log(t),
  lnSlope: (t) => (5.8002206e3 / t + 6.5459673) / t - 4.8640239e-2 + t * (2 * 4.1764768e-5 + t * (3 * -1.4452093e-8)),
}

export const overIce: SaturationLine = {
  ln: (t) =>
    -5.6745359e3 / t +
    6.3925247 +
    t * (-9.677843e-3 + t * (6.2215701e-7 + t * (2.0747825e-9 + t * -9.484024e-13))) +
    4.1635019 * Math.log(t),
  lnSlope: (t) =>
    (5.6745359e3 / t + 4.1635019) / t -
    9.677843e-3 +
    t * (2 * 6.2215701e-7 + t * (3 * 2.0747825e-9 + t * (4 * -9.484024e-13))),
}

/**
 * Pressure of saturated water vapour, Pa, over ice below 0.01 °C and over liquid water from there.
 * Range −100…200 °C; outside null. Source: ASHRAE 2017, ch. 1, eqs. 5 and 6 (Hyland and Wexler 1983).
 * Measured agreement: with the Handbook's table 3 within 0.02 %, with IAPWS-95 within 0.03 %.
 */
export function saturationPressurePa(temperatureC: number): number | null {
  return temperatureC >= saturationFromC && temperatureC <= saturationToC ? saturation(temperatureC) : null
}

/** The same without a look at the range. */
export function saturation(temperatureC: number): number {
  const line = temperatureC < triplePointC ? overIce : overWater
  return Math.exp(line.ln(kelvinOf(temperatureC)))
}

const lowestPa = saturation(saturationFromC)
const triplePa = saturation(triplePointC)
const highestPa = saturation(saturationToC)

/**
 * Temperature, °C, at which water vapour of this pressure (Pa) is saturated: dew point or frost point; of air pressure: boiling point.
 * Range: pressures of −100…200 °C; outside null. The exact inverse of `saturationPressurePa`, to 1e-9 °C, but for 0.001 °C at
 * 0.01 °C, where the two lines miss each other.
 */
export function saturationTemperatureC(vapourPa: number): number | null {
  if (!(vapourPa >= lowestPa && vapourPa <= highestPa)) return null
  const [line, lowC, highC] =
    vapourPa < triplePa ? [overIce, saturationFromC, triplePointC] : [overWater, triplePointC, saturationToC]
  const ln = Math.log(vapourPa)
  // Magnus' formula turned round (0 °C: 610.8 Pa): some tenths of a degree off, and Newton does the rest.
  const magnus = ln - 6.4147
  let t = zeroCelsiusK + (237.3 * magnus) / (17.27 - magnus)
  for (let i = 0; i < 20; i++) {
    const step = (line.ln(t) - ln) / line.lnSlope(t)
    t -= step
    if (Math.abs(step) < solvedC) break
  }
  return Math.max(lowC, Math.min(highC, celsiusOf(t)))
}
