/** Wax as heat: how much energy a mass of it holds, melting over a band instead of at a point. */

export interface Wax {
  /** Solid below, liquid above; between them the latent heat is taken up evenly, °C. */
  congealFromC: number
  meltedAtC: number
  solidJPerKgK: number
  liquidJPerKgK: number
  latentJPerKg: number
}

/** An invented figure wax. Heat capacities and latent heat are of the size known for paraffin blends (from memory, no source);
 *  liquid 2.4 kJ/kg·K is the value the demo's cooling rates assume. */
export const figureWax: Wax = {
  congealFromC: 57,
  meltedAtC: 66,
  solidJPerKgK: 2_100,
  liquidJPerKgK: 2_400,
  latentJPerKg: 220_000,
}

/** Energy against temperature, J above 0 °C, for some wax together with the metal that goes with it. Strictly rising. */
export interface HeatCurve {
  energyJ(temperatureC: number): number
  temperatureC(energyJ: number): number
}

export function heatCurve(wax: Wax, waxKg: number, metalJPerK: number): HeatCurve {
  const solidJPerK = waxKg * wax.solidJPerKgK + metalJPerK
  const liquidJPerK = waxKg * wax.liquidJPerKgK + metalJPerK
  const bandC = wax.meltedAtC - wax.congealFromC
  const bandJPerK = (solidJPerK + liquidJPerK) / 2 + (waxKg * wax.latentJPerKg) / bandC
  const atCongealJ = solidJPerK * wax.congealFromC
  const atMeltedJ = atCongealJ + bandJPerK * bandC
  return {
    energyJ: (t) => {
      if (t <= wax.congealFromC) return solidJPerK * t
      if (t <= wax.meltedAtC) return atCongealJ + bandJPerK * (t - wax.congealFromC)
      return atMeltedJ + liquidJPerK * (t - wax.meltedAtC)
    },
    temperatureC: (energy) => {
      if (energy <= atCongealJ) return energy / solidJPerK
      if (energy <= atMeltedJ) return wax.congealFromC + (energy - atCongealJ) / bandJPerK
      return wax.meltedAtC + (energy - atMeltedJ) / liquidJPerK
    },
  }
}

/** How much of the wax is liquid at this temperature, 0…1. */
export function liquidShare(wax: Wax, temperatureC: number): number {
  return Math.min(1, Math.max(0, (temperatureC - wax.congealFromC) / (wax.meltedAtC - wax.congealFromC)))
}
