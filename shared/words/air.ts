/** Air told by what follows from its temperature and humidity: worked out where it is shown, never stored. */
import { enthalpyKjPerKg, humidityRatio, pressureAtPa, vapourDeficitPa } from '../physics/humidity.ts'
import { derivedAir } from '../physics/climate.ts'
import { type Speech, temperature, temperatureDifference } from './speech.ts'

export interface Air {
  dewPointC: number
  wetBulbC: number
  /** How far the wet bulb lies below the air, °C: what a wet shell can be cooled by. */
  depressionC: number
  /** What the air could still take up, Pa. */
  deficitPa: number
  /** Water in a kilogram of dry air, g. */
  waterGPerKg: number
  /** Of moist air per kilogram of dry air, from 0 °C, kJ. */
  enthalpyKjPerKg: number
}

/** Null where one of them cannot be told: dry or more than saturated air, or no site's height. */
export function airOf(temperatureC: number, relativeHumidity: number, elevationM: number): Air | null {
  const pressurePa = pressureAtPa(elevationM)
  if (pressurePa === null) return null
  const { dewPointC, wetBulbC } = derivedAir(temperatureC, relativeHumidity, pressurePa)
  const deficitPa = vapourDeficitPa(temperatureC, relativeHumidity)
  const ratio = humidityRatio(temperatureC, relativeHumidity, pressurePa)
  const enthalpy = enthalpyKjPerKg(temperatureC, relativeHumidity, pressurePa)
  if (dewPointC === null || wetBulbC === null || deficitPa === null || ratio === null || enthalpy === null) return null
  return {
    dewPointC,
    wetBulbC,
    depressionC: temperatureC - wetBulbC,
    deficitPa,
    waterGPerKg: 1_000 * ratio,
    enthalpyKjPerKg: enthalpy,
  }
}

/** `Dew point 9.6 °C; wet bulb 14.5 °C, 7.5 °C below the air; room for 1455 Pa more vapour; 7.4 g of water in each kilogram of dry air.` */
export function airSays(air: Air, speech: Pick<Speech, 'unit'>): string {
  const below = temperatureDifference(air.depressionC, speech)
  return (
    `Dew point ${temperature(air.dewPointC, speech)}; wet bulb ${temperature(air.wetBulbC, speech)}, ${below} below the air; ` +
    `room for ${air.deficitPa.toFixed(0)} Pa more vapour; ${air.waterGPerKg.toFixed(1)} g of water in each kilogram of dry air.`
  )
}
