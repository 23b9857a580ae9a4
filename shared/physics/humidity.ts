/** Moist air: saturation, dew point, wet bulb and the rest, by the relations of the ASHRAE Handbook – Fundamentals (2017), chapter 1, SI. */
import { kelvinOf } from './temperature.ts'

/** Ratio of the molar masses of water and dry air (ASHRAE 2017, ch. 1). */
const massRatio = 0.621945
/** Below the triple point the vapour meets ice. The two saturation lines differ by less than 0.02 % here. */
const triplePointC = 0.01
const saturationFromC = -100
const saturationToC = 200

/** Where the solvers stop, °C: far below what any probe tells apart. */
const solvedC = 1e-9

/**
 * Pressure of saturated water vapour, Pa, over ice below 0.01 °C and over liquid water from there.
 * Range −100…200 °C; outside null. Source: ASHRAE 2017, ch. 1, eqs. 5 and 6 (Hyland and Wexler 1983).
 * Measured agreement: with the Handbook's table 3 within 0.02 %, with IAPWS-95 within 0.03 %.
 */
export function saturationPressurePa(temperatureC: number): number | null {
  return temperatureC >= saturationFromC && temperatureC <= saturationToC ? saturation(temperatureC) : null
}

function saturation(temperatureC: number): number {
  const t = kelvinOf(temperatureC)
  if (temperatureC < triplePointC)
    return Math.exp(
      -5.6745359e3 / t +
        6.3925247 +
        t * (-9.677843e-3 + t * (6.2215701e-7 + t * (2.0747825e-9 + t * -9.484024e-13))) +
        4.1635019 * Math.log(t),
    )
  return Math.exp(
    -5.8002206e3 / t +
      1.3914993 +
      t * (-4.8640239e-2 + t * (4.1764768e-5 + t * -1.4452093e-8)) +
      6.5459673 * Math.log(t),
  )
}

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
 * Dew point, °C (frost point below 0.01 °C): where this air would be saturated.
 * Range: air −100…200 °C, relative humidity above 0 up to 100 %; outside null, as is a dew point below −100 °C.
 * The exact inverse of `saturationPressurePa`; measured agreement with the checked rows within 0.001 °C.
 */
export function dewPointC(temperatureC: number, relativeHumidity: number): number | null {
  const vapour = vapourPressurePa(temperatureC, relativeHumidity)
  if (vapour === null || vapour < saturation(saturationFromC)) return null
  return solveRising((t) => Math.log(saturation(t) / vapour), saturationFromC, temperatureC)
}

/**
 * Thermodynamic wet bulb, °C, at `pressurePa`.
 * Range: air −100…200 °C (below the boiling point at that pressure), relative humidity 0…100 %; outside null.
 * Source: ASHRAE 2017, ch. 1, eqs. 33 (water) and 35 (ice), solved to 1e-9 °C; measured agreement with the checked rows within
 * 0.001 °C. Real-gas calculations differ by up to 0.024 °C.
 */
export function wetBulbC(temperatureC: number, relativeHumidity: number, pressurePa: number): number | null {
  const ratio = humidityRatio(temperatureC, relativeHumidity, pressurePa)
  if (ratio === null || saturation(temperatureC) >= pressurePa) return null
  return solveRising((t) => ratioAtWetBulb(temperatureC, t, pressurePa) - ratio, saturationFromC, temperatureC)
}

/** Humidity ratio of air at `t` whose wet bulb is `wet`. */
function ratioAtWetBulb(t: number, wet: number, pressurePa: number): number {
  const full = saturation(wet)
  const fullRatio = (massRatio * full) / (pressurePa - full)
  return wet >= 0
    ? ((2501 - 2.326 * wet) * fullRatio - 1.006 * (t - wet)) / (2501 + 1.86 * t - 4.186 * wet)
    : ((2830 - 0.24 * wet) * fullRatio - 1.006 * (t - wet)) / (2830 + 1.86 * t - 2.1 * wet)
}

/** Where a rising function crosses zero between two ends: regula falsi (Illinois), with halving where that stalls. */
function solveRising(excess: (x: number) => number, from: number, to: number): number {
  let [low, high] = [from, to]
  let [below, above] = [excess(low), excess(high)]
  if (above <= 0) return high
  if (below >= 0) return low
  for (let i = 0; i < 200 && high - low > solvedC; i++) {
    const guess = i % 3 === 2 ? (low + high) / 2 : high - (above * (high - low)) / (above - below)
    const x = guess > low && guess < high ? guess : (low + high) / 2
    const y = excess(x)
    if (y === 0) return x
    if (y > 0) {
      high = x
      above = y
      below /= 2
    } else {
      low = x
      below = y
      above /= 2
    }
  }
  return (low + high) / 2
}
