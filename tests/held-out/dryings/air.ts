/** Moist air for the held-out dryings. Own formulas (Buck 1996, from memory), so that a slip in the product's psychrometrics cannot hide in its own scenes. */

const waterGas = 461.5
const dryAirGas = 287.05
/** J/kgK of moist air at room temperature, and of liquid water. */
const airJPerKgK = 1_010
export const waterJPerKgK = 4_186
/** Of evaporation near 17 °C, J/kg: held constant so that the books of heat close exactly. */
export const latentJPerKg = 2.46e6

/** Pressure of water vapour over water, Pa. */
export function saturationPa(celsius: number): number {
  return 611.21 * Math.exp((18.678 - celsius / 234.5) * (celsius / (257.14 + celsius)))
}

/** Its slope, Pa/K. */
export function saturationSlope(celsius: number, saturated = saturationPa(celsius)): number {
  const reach = 257.14 + celsius
  const exponentSlope = -celsius / 234.5 / reach + ((18.678 - celsius / 234.5) * 257.14) / (reach * reach)
  return saturated * exponentSlope
}

/** kg/m³ of vapour for each Pa at the air's temperature. */
export function vapourPerPa(celsius: number): number {
  return 1 / (waterGas * (celsius + 273.15))
}

/** J/m³K of air: what a draught carries. */
export function airJPerM3K(celsius: number, pressurePa: number): number {
  return (airJPerKgK * pressurePa) / (dryAirGas * (celsius + 273.15))
}

/**
 * The temperature at which air that takes up water without heat from elsewhere is saturated.
 * Newton on the balance of heat; `guess` saves steps when one instant follows another.
 */
export function wetBulbC(airC: number, vapourPa: number, pressurePa: number, guess = airC - 5): number {
  const ratio = (0.621945 * vapourPa) / (pressurePa - vapourPa)
  let wet = Math.min(airC, guess)
  for (let i = 0; i < 12; i++) {
    const sat = saturationPa(wet)
    const satRatio = (0.621945 * sat) / (pressurePa - sat)
    const slope = (0.621945 * pressurePa * saturationSlope(wet, sat)) / (pressurePa - sat) ** 2
    const missed = (2501 - 2.326 * wet) * satRatio - 1.006 * (airC - wet) - ratio * (2501 + 1.86 * airC - 4.186 * wet)
    const step = missed / ((2501 - 2.326 * wet) * slope - 2.326 * satRatio + 1.006 + 4.186 * ratio)
    wet -= step
    if (Math.abs(step) < 1e-7) break
  }
  return wet
}
