/** What an instrument really means, from its last check against a reference. */

export interface CheckPoint {
  readsC: number
  isC: number
}

/**
 * The true temperature, °C, where the instrument reads `valueC`.
 * Straight lines through the check points; beyond the first and the last the offset found there holds on, because a slope
 * carried outward from two checks invents what nobody measured. `points` must rise in `readsC`; without points the value stands.
 */
export function correct(points: readonly CheckPoint[], valueC: number): number {
  const first = points[0]
  const last = points[points.length - 1]
  if (first === undefined || last === undefined) return valueC
  if (valueC <= first.readsC) return valueC + (first.isC - first.readsC)
  if (valueC >= last.readsC) return valueC + (last.isC - last.readsC)
  for (let i = 1; i < points.length; i++) {
    const low = points[i - 1] as CheckPoint
    const high = points[i] as CheckPoint
    if (valueC > high.readsC) continue
    return low.isC + ((valueC - low.readsC) / (high.readsC - low.readsC)) * (high.isC - low.isC)
  }
  return valueC
}
