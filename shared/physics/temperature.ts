/** Temperature scales: what every law of nature here shares. */

/** 0 °C in kelvin. Exact by the definition of the degree Celsius (SI brochure, 9th edition, 2019). */
export const zeroCelsiusK = 273.15

export function kelvinOf(temperatureC: number): number {
  return temperatureC + zeroCelsiusK
}

export function celsiusOf(temperatureK: number): number {
  return temperatureK - zeroCelsiusK
}
