/** Moist air: saturation, dew point, wet bulb and the rest, by the relations of the ASHRAE Handbook – Fundamentals (2017), chapter 1, SI. */
import {
  overIce,
  overWater,
  type SaturationLine,
  saturation,
  saturationFromC,
  saturationPressurePa,
  saturationTemperatureC,
} from './saturation.ts'
import { kelvinOf } from './temperature.ts'

/** Ratio of the molar masses of water and dry air (ASHRAE 2017, ch. 1). */
const massRatio = 0.621945
/** Gas constant of dry air, kJ/(kg·K) (ASHRAE 2017, ch. 1). */
const dryAirGas = 0.287042

/** Where the solver stops, °C: far below what any probe tells apart. */
const solvedC = 1e-9

/**
 * Air pressure of the standard atmosphere at `elevationM`, Pa.
 * Range −5,000…11,000 m; outside null. Source: ASHRAE 2017, ch. 1, eq. 3. The day's weather moves it by some 3 %.
 */
export function pressureAtPa(elevationM: number): number | null {
  return elevationM >= -5_000 && elevationM <= 11_000 ? 101_325 * (1 - 2.25577e-5 * elevationM) ** 5.2559 : null
}

/** Partial pressure of the vapour, Pa, at `relativeHumidity` (%, 0…100); outside, or outside the saturation range, null. */
export function vapourPressurePa(temperatureC: number, relativeHumidity: number): number | null {
  const full = saturationPressurePa(temperatureC)
  return full === null || !(relativeHumidity >= 0 && relativeHumidity <= 100) ? null : (full * relativeHumidity) / 100
}

/** Vapour pressure deficit, Pa: what the air could still take up. Same range as `vapourPressurePa`. */
export function vapourDeficitPa(temperatureC: number, relativeHumidity: number): number | null {
  const vapour = vapourPressurePa(temperatureC, relativeHumidity)
  return vapour === null ? null : saturation(temperatureC) - vapour
}

/** Water per dry air, kg/kg (ASHRAE 2017, ch. 1, eq. 20). Null where the vapour would fill the whole pressure, or out of range. */
export function humidityRatio(temperatureC: number, relativeHumidity: number, pressurePa: number): number | null {
  const vapour = vapourPressurePa(temperatureC, relativeHumidity)
  return vapour === null ? null : ratioAt(vapour, pressurePa)
}

function ratioAt(vapourPa: number, pressurePa: number): number | null {
  return pressurePa > vapourPa ? (massRatio * vapourPa) / (pressurePa - vapourPa) : null
}

/** Relative humidity, %, of air that holds `ratio` kg of water per kg of dry air. Over 100 % means that it cannot: fog. Null out of range. */
export function relativeHumidityOf(temperatureC: number, ratio: number, pressurePa: number): number | null {
  const full = saturationPressurePa(temperatureC)
  return full === null || !(ratio >= 0) ? null : (100 * ((pressurePa * ratio) / (massRatio + ratio))) / full
}

/**
 * Enthalpy of moist air, kJ per kg of dry air, from 0 °C (ASHRAE 2017, ch. 1, eq. 30). Null as `humidityRatio`.
 * Measured agreement with psychrolib 1.1.1 over a grid: within 1e-9 kJ/kg.
 */
export function enthalpyKjPerKg(temperatureC: number, relativeHumidity: number, pressurePa: number): number | null {
  const ratio = humidityRatio(temperatureC, relativeHumidity, pressurePa)
  return ratio === null ? null : 1.006 * temperatureC + ratio * (2_501 + 1.86 * temperatureC)
}

/**
 * Volume of moist air that holds 1 kg of dry air, m³ (ASHRAE 2017, ch. 1, eq. 26). Null as `humidityRatio`.
 * Measured agreement with psychrolib 1.1.1 over a grid: within 1e-12 of the value.
 */
export function specificVolumeM3PerKg(
  temperatureC: number,
  relativeHumidity: number,
  pressurePa: number,
): number | null {
  const ratio = humidityRatio(temperatureC, relativeHumidity, pressurePa)
  return ratio === null ? null : (dryAirGas * kelvinOf(temperatureC) * (1 + 1.607858 * ratio)) / (pressurePa / 1_000)
}

/**
 * Dew point, °C (frost point below 0.01 °C): where this air would be saturated.
 * Range: air −100…200 °C, relative humidity above 0 up to 100 %; outside null, as is a dew point below −100 °C.
 * The exact inverse of `saturationPressurePa`; measured agreement with the checked rows within 0.001 °C.
 */
export function dewPointC(temperatureC: number, relativeHumidity: number): number | null {
  const vapour = vapourPressurePa(temperatureC, relativeHumidity)
  const dewC = vapour === null ? null : saturationTemperatureC(vapour)
  return dewC === null ? null : Math.min(dewC, temperatureC)
}

/**
 * Thermodynamic wet bulb, °C, at `pressurePa`.
 * Range: air −100…200 °C (below the boiling point at that pressure), relative humidity 0…100 %; outside null.
 * Source: ASHRAE 2017, ch. 1, eqs. 33 (water) and 35 (ice), solved to 1e-9 °C; measured agreement with the checked rows within
 * 0.001 °C. Real-gas calculations differ by up to 0.024 °C. Within some tenths of 0 °C a wet bulb and an iced one may both be
 * true; then this is the wet one.
 */
export function wetBulbC(temperatureC: number, relativeHumidity: number, pressurePa: number): number | null {
  const ratio = humidityRatio(temperatureC, relativeHumidity, pressurePa)
  if (ratio === null || saturation(temperatureC) >= pressurePa) return null
  const wet = temperatureC >= 0 && wetBulbOver(water, temperatureC, 0, pressurePa).ratio <= ratio
  const [bulb, fromC, toC] = wet ? [water, 0, temperatureC] : [ice, saturationFromC, Math.min(0, temperatureC)]
  // Halfway between air and dew point, roughly: the curve is bent one way, so that Newton's steps never go astray.
  const magnus = Math.log(((relativeHumidity + 1) / 100) * saturation(temperatureC)) - 6.4147
  let t = (temperatureC + (237.3 * magnus) / (17.27 - magnus)) / 2
  for (let i = 0; i < 50; i++) {
    t = Math.max(fromC, Math.min(toC, t))
    const { ratio: here, slope } = wetBulbOver(bulb, temperatureC, t, pressurePa)
    const step = (here - ratio) / slope
    t -= step
    if (Math.abs(step) < solvedC) break
  }
  return Math.max(fromC, Math.min(toC, t))
}

/**
 * Humidity ratio, kg/kg, of air at `temperatureC` whose wet bulb shows `wetBulb` °C: what a pair of thermometers, one in a wet sock, means.
 * Range: both −100…200 °C, the wet bulb not above the air and below the boiling point; outside null, as for a bulb drier than dry air.
 * Source: ASHRAE 2017, ch. 1, eqs. 33 (water, from 0 °C) and 35 (ice).
 */
export function humidityRatioOfWetBulb(temperatureC: number, wetBulb: number, pressurePa: number): number | null {
  const full = saturationPressurePa(wetBulb)
  if (full === null || saturationPressurePa(temperatureC) === null) return null
  if (wetBulb > temperatureC || full >= pressurePa) return null
  const { ratio } = wetBulbOver(wetBulb >= 0 ? water : ice, temperatureC, wetBulb, pressurePa)
  return ratio >= 0 ? ratio : null
}

/** What covers the bulb: its saturation line, its heat of evaporation at 0 °C and how that changes with its own temperature. */
interface Cover {
  line: SaturationLine
  heat: number
  heatSlope: number
  ownHeat: number
}

const water: Cover = { line: overWater, heat: 2_501, heatSlope: 2.326, ownHeat: 4.186 }
const ice: Cover = { line: overIce, heat: 2_830, heatSlope: 0.24, ownHeat: 2.1 }

/** Humidity ratio of air at `t` °C whose covered bulb shows `wet` °C, and how it grows with `wet`. */
function wetBulbOver(cover: Cover, t: number, wet: number, pressurePa: number): { ratio: number; slope: number } {
  const { line, heat, heatSlope, ownHeat } = cover
  const kelvin = kelvinOf(wet)
  const full = Math.exp(line.ln(kelvin))
  const dry = pressurePa - full
  const fullRatio = (massRatio * full) / dry
  const fullSlope = (fullRatio * pressurePa * line.lnSlope(kelvin)) / dry
  const [evaporation, below] = [heat - heatSlope * wet, heat + 1.86 * t - ownHeat * wet]
  const ratio = (evaporation * fullRatio - 1.006 * (t - wet)) / below
  const slope = (evaporation * fullSlope - heatSlope * fullRatio + 1.006 + ownHeat * ratio) / below
  return { ratio, slope }
}
