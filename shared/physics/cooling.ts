/** How a pot gives its heat away, and how cold wax brings it down. Laws of nature; no pot is known here by name. */

/**
 * Loss of heat from a hot surface to still air, as a share of what it is at 60 °C above the air.
 *
 * Natural convection goes with ΔT^1.25 and radiation with the difference of fourth powers; a pot loses by both and by conduction, so
 * its loss goes with about ΔT^1.2. Range: ΔT 0…200 °C. Source: natural convection exponent 1.25 for laminar flow over surfaces,
 * standard heat-transfer texts (from memory); radiation: Stefan–Boltzmann. Within 9 % of ΔT^1.25 convection and grey radiation in equal
 * parts at 20 °C air over ΔT 20…120 °C (computed in tests/physics/cooling.test.ts).
 */
export const lossExponent = 1.2

/** °C/s that the wax falls per (°C above the air)^1.2, from the scale of a pot; 0 where it is no warmer than the air. */
export function coolingRate(waxC: number, airC: number, scale: number): number {
  const above = waxC - airC
  return above <= 0 ? 0 : scale * above ** lossExponent
}

/**
 * Seconds in which wax at `fromC` cools to `toC` in air of `airC`, for a body without phase change whose rate is `coolingRate`.
 * Closed form of dT/dt = −s·(T−A)^n: t = ((to−A)^(1−n) − (from−A)^(1−n)) / (s·(n−1)). Infinity where `toC` is not above the air.
 */
export function coolingSeconds(fromC: number, toC: number, airC: number, scale: number): number {
  const [from, to] = [fromC - airC, toC - airC]
  if (to <= 0 || scale <= 0) return Infinity
  if (from <= to) return 0
  const m = 1 - lossExponent
  return (to ** m - from ** m) / (-m * scale)
}

/** What a kilogram of wax takes up, J/kg·K and J/kg; the latent heat evenly over the band in which it congeals. */
export interface WaxHeat {
  liquidJPerKgK: number
  solidJPerKgK: number
  latentJPerKg: number
  congealsFromC: number
  congealsToC: number
}

/** A paraffin blend: heat capacities and latent heat from memory, no source; congeals where the data sheet says, else 57 to 66 °C. */
export function plainWax(congealing: { fromC: number; toC: number } | null): WaxHeat {
  const { fromC, toC } = congealing ?? { fromC: 57, toC: 66 }
  return { liquidJPerKgK: 2_400, solidJPerKgK: 2_100, latentJPerKg: 180_000, congealsFromC: fromC, congealsToC: toC }
}

/** J that a kilogram holds above `fromC` when it is at `toC` (negative the other way round). */
export function heatBetween(wax: WaxHeat, fromC: number, toC: number): number {
  return enthalpy(wax, toC) - enthalpy(wax, fromC)
}

function enthalpy(wax: WaxHeat, t: number): number {
  const { congealsFromC: low, congealsToC: high } = wax
  const solid = Math.min(t, low) * wax.solidJPerKgK
  const bandC = Math.min(Math.max(t, low), high) - low
  const inBand =
    (bandC * (wax.solidJPerKgK + wax.liquidJPerKgK)) / 2 +
    (high > low ? (bandC / (high - low)) * wax.latentJPerKg : t >= high ? wax.latentJPerKg : 0)
  return solid + inBand + Math.max(0, t - high) * wax.liquidJPerKgK
}

/**
 * Kilograms of solid wax at `coldC` that bring `waxKg` at `fromC` down to `toC`, once all of it has melted and mixed; the pot itself
 * counts with `potJPerK`, losses meanwhile do not count. Energy balance: what the pot gives is what the cold wax takes.
 * Null where `toC` lies within or below the congealing band (then it would not all melt), or is not below `fromC`.
 */
export function coldWaxKg(
  wax: WaxHeat,
  waxKg: number,
  fromC: number,
  toC: number,
  coldC: number,
  potJPerK = 0,
): number | null {
  if (!(toC < fromC) || toC <= wax.congealsToC || coldC >= toC) return null
  const given = waxKg * heatBetween(wax, toC, fromC) + potJPerK * (fromC - toC)
  return given / heatBetween(wax, coldC, toC)
}
