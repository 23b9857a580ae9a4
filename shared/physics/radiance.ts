/** What a black body sends out between 8 and 14 µm, the band in which most infrared thermometers of a workshop see. */
import { kelvinOf } from './temperature.ts'

/** Planck's h, J·s, the speed of light, m/s, and Boltzmann's k, J/K: exact by definition (CODATA 2018). */
const planck = 6.62607015e-34
const light = 299_792_458
const boltzmann = 1.380649e-23
const um = 1e-6

/** Second radiation constant h·c/k, m·K. */
const c2 = (planck * light) / boltzmann
/** 2k⁴/(h³c²), W/(m²·sr·K⁴): what stands before the integral of x³/(eˣ − 1). */
const scale = (2 * boltzmann ** 4) / (planck ** 3 * light ** 2)

const shortest = 8 * um
const longest = 14 * um

export const radianceFromC = -100
export const radianceToC = 2_000

/** Integral of x³/(eˣ − 1) from `x` to infinity: the sum over n of e^(−nx)·(x³/n + 3x²/n² + 6x/n³ + 6/n⁴). */
function tail(x: number): number {
  const each = Math.exp(-x)
  let [sum, power] = [0, 1]
  for (let n = 1; n <= 10_000; n++) {
    power *= each
    const term = (power / n) * (x * x * x + (3 * x * x + (6 * x + 6 / n) / n) / n)
    sum += term
    if (term <= sum * 1e-17) break
  }
  return sum
}

/**
 * Share of a black body's radiation below a wavelength, 0…1, from wavelength times temperature, µm·K.
 * Range: above 0; at and below 0 null. Source: Planck's law, integrated as a series (constants: CODATA 2018).
 * Measured agreement with the 64 rows of a printed radiation function (Mechanical Engineers' Handbook, vol. 4, table 16): within
 * 5.5e-4 of each value, and from 1,500 µm·K up, where everything warmer than −85 °C lies, within one unit of its last digit.
 */
export function blackbodyFraction(wavelengthTimesTemperatureUmK: number): number | null {
  const x = c2 / (wavelengthTimesTemperatureUmK * um)
  return x > 0 && x < Number.POSITIVE_INFINITY ? (15 / Math.PI ** 4) * tail(x) : null
}

/**
 * The same radiance as `bandRadiance`, by the series itself: some hundred times slower, and what the table is made of and checked by.
 * Range: above −273.15 °C; outside null. Agrees with numerical integration to 1e-14 of the value.
 */
export function bandRadianceBySeries(temperatureC: number): number | null {
  const t = kelvinOf(temperatureC)
  return t > 0 && t < Number.POSITIVE_INFINITY ? radianceOf(t, within(t)) : null
}

function radianceOf(t: number, integral: number): number {
  return scale * t ** 4 * integral
}

/** The integral between the two ends of the band, for `t` in kelvin. */
function within(t: number): number {
  return tail(c2 / (longest * t)) - tail(c2 / (shortest * t))
}

/** x⁴/(eˣ − 1): what the edge of the band adds to the slope. */
function edge(x: number): number {
  return x ** 4 / Math.expm1(x)
}

function slopeOf(t: number, integral: number): number {
  return scale * t ** 3 * (4 * integral + edge(c2 / (longest * t)) - edge(c2 / (shortest * t)))
}

/** Radiance and its slope at every whole degree: between two of them runs the cubic that fits both at both. */
const nodes = radianceToC - radianceFromC + 1
const values = new Float64Array(nodes)
const slopes = new Float64Array(nodes)
for (let i = 0; i < nodes; i++) {
  const t = kelvinOf(radianceFromC + i)
  const integral = within(t)
  values[i] = radianceOf(t, integral)
  slopes[i] = slopeOf(t, integral)
}
const lowest = values[0] as number
const highest = values[nodes - 1] as number

function cellOf(temperatureC: number): number {
  return Math.min(nodes - 2, Math.floor(temperatureC - radianceFromC))
}

/**
 * Radiance of a black body between 8 and 14 µm (flat response), W/(m²·sr).
 * Range −100…2,000 °C; outside null. Source: Planck's law, by a table of the series above and cubics between whole degrees.
 * Measured agreement with the series: within 1e-9 of the value, which is less than 1e-7 °C anywhere.
 */
export function bandRadiance(temperatureC: number): number | null {
  if (!(temperatureC >= radianceFromC && temperatureC <= radianceToC)) return null
  const cell = cellOf(temperatureC)
  return inCell(cell, temperatureC - radianceFromC - cell)
}

/** With `f` from 0 to 1 on its way from one whole degree to the next. */
function inCell(cell: number, f: number): number {
  const [low, high] = [values[cell] as number, values[cell + 1] as number]
  const [rise, lowSlope, highSlope] = [high - low, slopes[cell] as number, slopes[cell + 1] as number]
  return low + f * (lowSlope + f * (3 * rise - 2 * lowSlope - highSlope + f * (lowSlope + highSlope - 2 * rise)))
}

function slopeInCell(cell: number, f: number): number {
  const rise = (values[cell + 1] as number) - (values[cell] as number)
  const [lowSlope, highSlope] = [slopes[cell] as number, slopes[cell + 1] as number]
  return lowSlope + f * (2 * (3 * rise - 2 * lowSlope - highSlope) + 3 * f * (lowSlope + highSlope - 2 * rise))
}

/**
 * How fast that radiance grows with temperature, W/(m²·sr·K). Range as `bandRadiance`; outside null.
 * Measured agreement with the derivative of the series: within 1e-6 of the value.
 */
export function bandRadianceSlope(temperatureC: number): number | null {
  if (!(temperatureC >= radianceFromC && temperatureC <= radianceToC)) return null
  const cell = cellOf(temperatureC)
  return slopeInCell(cell, temperatureC - radianceFromC - cell)
}

/**
 * The power of the absolute temperature with which the radiance grows here: d ln L / d ln T, dimensionless.
 * Range as `bandRadiance`; outside null. From 4.6 at 23 °C down to 1.8 at 800 °C.
 */
export function localExponent(temperatureC: number): number | null {
  const [value, slope] = [bandRadiance(temperatureC), bandRadianceSlope(temperatureC)]
  return value === null || slope === null ? null : (kelvinOf(temperatureC) * slope) / value
}

/**
 * Temperature, °C, of a black body with this radiance between 8 and 14 µm, W/(m²·sr): the exact inverse of `bandRadiance`.
 * Range: radiances of −100…2,000 °C; outside null. Leads back to the same temperature within 1e-9 °C.
 */
export function temperatureOfRadianceC(radiance: number): number | null {
  if (!(radiance >= lowest && radiance <= highest)) return null
  const cell = cellOfRadiance(radiance)
  const low = values[cell] as number
  let f = (radiance - low) / ((values[cell + 1] as number) - low)
  // Within a degree the curve is nearly straight: each step squares an error that begins below 0.005 °C.
  for (let i = 0; i < 3; i++) f -= (inCell(cell, f) - radiance) / slopeInCell(cell, f)
  return radianceFromC + cell + f
}

/** For equal steps of the root of the radiance, which grows nearly evenly: the cell in which each step begins. */
const steps = 4_096
const root = (radiance: number): number => Math.sqrt(radiance)
const stepsPerRoot = steps / (root(highest) - root(lowest))
const beginnings = new Uint16Array(steps + 1)
for (let step = 0, cell = 0; step <= steps; step++) {
  while (cell < nodes - 2 && (root(values[cell + 1] as number) - root(lowest)) * stepsPerRoot <= step) cell++
  beginnings[step] = cell
}

function cellOfRadiance(radiance: number): number {
  let cell = beginnings[Math.floor((root(radiance) - root(lowest)) * stepsPerRoot)] as number
  // A rounded root may begin one cell too far on.
  if (cell > 0 && radiance < (values[cell] as number)) cell--
  while (cell < nodes - 2 && radiance > (values[cell + 1] as number)) cell++
  return cell
}
