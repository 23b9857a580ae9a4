/** What a surface sends between 8 and 14 µm, and what an infrared thermometer makes of it, by Planck's law. */

/** First and second radiation constants, CODATA 2018: 2hc² (W m²/sr) and hc/k (m K). */
const c1L = 1.191_042_972e-16
const c2 = 1.438_776_877e-2
const kelvin = 273.15

/** The table reaches from well below any sky to above any kiln. */
const lowestC = -80
const highestC = 1_500
const stepC = 1
const table = Float64Array.from({ length: (highestC - lowestC) / stepC + 1 }, (_, i) => integral(lowestC + i * stepC))

/** Simpson's rule over 48 strips, W/(m² sr); the strips are narrow enough for seven digits. */
function integral(celsius: number): number {
  const t = celsius + kelvin
  const strips = 48
  const width = 6e-6 / strips
  let sum = 0
  for (let i = 0; i <= strips; i++) {
    const wavelength = 8e-6 + i * width
    const weight = i === 0 || i === strips ? 1 : i % 2 === 1 ? 4 : 2
    sum += (weight * c1L) / (wavelength ** 5 * Math.expm1(c2 / (wavelength * t)))
  }
  return (sum * width) / 3
}

/** Of a black surface, W/(m² sr); straight between whole degrees, which errs by less than 0.002 °C. */
export function radiance(celsius: number): number {
  const place = Math.max(0, Math.min(table.length - 2, (celsius - lowestC) / stepC))
  const i = Math.floor(place)
  return table[i]! + (table[i + 1]! - table[i]!) * (place - i)
}

/** The inverse; an end of the table where there is no answer within it. */
export function blackC(sent: number): number {
  let low = 0
  let high = table.length - 1
  if (sent <= table[0]!) return lowestC
  if (sent >= table[high]!) return highestC
  while (high - low > 1) {
    const middle = (low + high) >> 1
    if (table[middle]! > sent) high = middle
    else low = middle
  }
  return lowestC + stepC * (low + (sent - table[low]!) / (table[high]! - table[low]!))
}

/** A grey, opaque surface and what is mirrored in it. */
export function grey(emissivity: number, surfaceC: number, mirroredC: number): number {
  return emissivity * radiance(surfaceC) + (1 - emissivity) * radiance(mirroredC)
}

/** What an instrument shows that is set so; where it takes off no background, it takes all of it for the object's. */
export function shownC(received: number, setEmissivity: number, compensatedC: number | undefined): number {
  const own = compensatedC === undefined ? received : received - (1 - setEmissivity) * radiance(compensatedC)
  return blackC(own / setEmissivity)
}
