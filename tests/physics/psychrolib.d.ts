/** What of psychrolib is used here: it comes without types. SI units; relative humidity from 0 to 1. */
declare module 'psychrolib' {
  interface Psychrolib {
    SI: number
    SetUnitSystem(system: number): void
    GetTDewPointFromRelHum(temperatureC: number, relativeHumidity: number): number
    GetTWetBulbFromRelHum(temperatureC: number, relativeHumidity: number, pressurePa: number): number
    GetHumRatioFromTWetBulb(temperatureC: number, wetBulbC: number, pressurePa: number): number
    GetHumRatioFromRelHum(temperatureC: number, relativeHumidity: number, pressurePa: number): number
    GetVaporPressureDeficit(temperatureC: number, humidityRatio: number, pressurePa: number): number
    GetMoistAirEnthalpy(temperatureC: number, humidityRatio: number): number
    GetMoistAirVolume(temperatureC: number, humidityRatio: number, pressurePa: number): number
    GetSatVapPres(temperatureC: number): number
  }
  const psychrolib: Psychrolib
  export default psychrolib
}
