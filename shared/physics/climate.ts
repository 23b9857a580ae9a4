/** What follows from a climate probe's two values at one instant, as it is stored beside them. */
import { dewPointC, wetBulbC } from './humidity.ts'

/** To a thousandth of a degree: far below what any probe tells apart, and the same on every machine. */
const perDegree = 1_000

/** Never −0, which a store keeps as 0. */
function rounded(value: number | null): number | null {
  return value === null ? null : Math.round(value * perDegree) / perDegree + 0
}

export interface DerivedAir {
  dewPointC: number | null
  wetBulbC: number | null
}

/**
 * Dew point and wet bulb, °C to 0.001, of air at `temperatureC` and `relativeHumidity` (%) under `pressurePa`. Ranges as `dewPointC`
 * and `wetBulbC` in humidity.ts; null outside. The same arguments give the same bits, so what is stored can be made again.
 */
export function derivedAir(temperatureC: number, relativeHumidity: number, pressurePa: number): DerivedAir {
  return {
    dewPointC: rounded(dewPointC(temperatureC, relativeHumidity)),
    wetBulbC: rounded(wetBulbC(temperatureC, relativeHumidity, pressurePa)),
  }
}
