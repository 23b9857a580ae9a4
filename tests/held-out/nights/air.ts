/** Moist air for held-out rooms, by formulas of their own: Magnus over water (WMO, guide no. 8: 6.112 hPa, 17.62, 243.12 °C). Nothing of ours. */

/** hPa. */
export const saturationHPa = (c: number): number => 6.112 * Math.exp((17.62 * c) / (243.12 + c))

/** g of water in a kg of dry air, at 1013.25 hPa. */
export function gramsOf(c: number, humidity: number): number {
  const vapour = (saturationHPa(c) * humidity) / 100
  return (621.97 * vapour) / (1013.25 - vapour)
}

export function humidityOf(c: number, grams: number): number {
  const vapour = (1013.25 * grams) / (621.97 + grams)
  return (100 * vapour) / saturationHPa(c)
}

/** By the psychrometer equation (A = 6.53e-4 /K, aspirated; from memory), bisected. */
export function wetOf(c: number, humidity: number): number {
  const vapour = (saturationHPa(c) * humidity) / 100
  let [low, high] = [c - 30, c]
  for (let i = 0; i < 40; i++) {
    const middle = (low + high) / 2
    if (saturationHPa(middle) - 6.53e-4 * 1013.25 * (c - middle) > vapour) high = middle
    else low = middle
  }
  return (low + high) / 2
}
