/** An infrared thermometer over a pot: what it shows depends on emissivity, on what the surface mirrors, and on what it can see. */
import { celsiusOf, kelvinOf } from '../../shared/physics/temperature.ts'

export interface InfraredView {
  surfaceC: number
  /** Of the surface, and as set on the instrument. */
  emissivity: number
  setEmissivity: number
  /** What the surface mirrors, and what the instrument takes that to be. */
  reflectedC: number
  compensatedC: number
}

/**
 * Indicated temperature, °C, of an opaque grey surface. Works with the total radiation (T⁴) instead of a band of wavelengths:
 * good enough for a demo, several tenths of a degree off a real 8–14 µm instrument, and never used to judge one.
 * Null where the signal is below what the instrument takes for reflection.
 */
export function indicatedC(view: InfraredView): number | null {
  const fourth = (t: number) => kelvinOf(t) ** 4
  const signal = view.emissivity * fourth(view.surfaceC) + (1 - view.emissivity) * fourth(view.reflectedC)
  const own = (signal - (1 - view.setEmissivity) * fourth(view.compensatedC)) / view.setEmissivity
  return own > 0 ? celsiusOf(own ** 0.25) : null
}

/** The skin of still wax is cooler than the wax beneath; a lid is cooler still, and all an instrument above it can see. Rough. */
export function seenSurfaceC(topC: number, ambientC: number, lidOn: boolean, stirred: boolean): number {
  if (lidOn) return ambientC + 0.4 * (topC - ambientC)
  return topC - (stirred ? 0.01 : 0.04) * (topC - ambientC)
}
