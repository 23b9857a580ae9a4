/** Thermocouples as coarse tables, for leads that are reversed and types that are mistaken. Millivolts, cold end at 0
 * °C, rounded values of the reference functions of NIST SRD 60 from memory; the test holds their slopes against
 * published ones.
 */
import type { ThermocoupleType } from '../../../shared/contract/instrument.ts'

type Known = Exclude<ThermocoupleType, 'B'>

const atC = [-200, -100, -50, 0, 50, 100, 200, 300, 400, 500, 600, 700, 800, 900, 1_000, 1_100, 1_200]
const mV: Record<Known, readonly number[]> = {
  K: [
    -5.891, -3.554, -1.889, 0, 2.023, 4.096, 8.138, 12.209, 16.397, 20.644, 24.905, 29.129, 33.275, 37.326, 41.276,
    45.119, 48.838,
  ],
  J: [
    -7.89, -4.633, -2.431, 0, 2.585, 5.269, 10.779, 16.327, 21.848, 27.393, 33.102, 39.132, 45.494, 51.877, 57.953,
    63.792, 69.553,
  ],
  N: [
    -3.99, -2.407, -1.269, 0, 1.34, 2.774, 5.913, 9.341, 12.974, 16.748, 20.613, 24.527, 28.455, 32.371, 36.256, 40.087,
    43.846,
  ],
  T: [-5.603, -3.379, -1.819, 0, 2.036, 4.279, 9.288, 14.862, 20.872],
  E: [-8.825, -5.237, -2.787, 0, 3.048, 6.319, 13.421, 21.036, 28.946, 37.005, 45.093, 53.112, 61.017, 68.787, 76.373],
  R: [
    -0.3, -0.26, -0.188, 0, 0.296, 0.647, 1.469, 2.401, 3.408, 4.471, 5.583, 6.743, 7.95, 9.205, 10.506, 11.85, 13.228,
  ],
  S: [
    -0.3, -0.27, -0.194, 0, 0.299, 0.646, 1.441, 2.323, 3.259, 4.233, 5.239, 6.275, 7.345, 8.449, 9.587, 10.757, 11.951,
  ],
}

/** A smooth curve through uneven points: slopes from the parabola through three neighbours (cubic Hermite). */
function slopes(x: readonly number[], y: readonly number[]): number[] {
  return y.map((_, i) => {
    const a = Math.max(0, Math.min(y.length - 3, i - 1))
    const [x0, x1, x2] = [x[a]!, x[a + 1]!, x[a + 2]!]
    const [y0, y1, y2] = [y[a]!, y[a + 1]!, y[a + 2]!]
    const first = (y1 - y0) / (x1 - x0)
    const second = ((y2 - y1) / (x2 - x1) - first) / (x2 - x0)
    return first + second * (2 * x[i]! - x0 - x1)
  })
}

const mVPerC = Object.fromEntries(
  Object.entries(mV).map(([type, volts]) => [type, slopes(atC.slice(0, volts.length), volts)]),
) as Record<Known, number[]>

/** Scales end where the tables of the standard end: there an open input is pinned. */
export const scaleEndsC: Record<ThermocoupleType, readonly [low: number, high: number]> = {
  B: [0, 1_820],
  E: [-270, 1_000],
  J: [-210, 1_200],
  K: [-270, 1_372],
  N: [-270, 1_300],
  R: [-50, 1_768],
  S: [-50, 1_768],
  T: [-270, 400],
}

export function emf(type: Known, celsius: number): number {
  const volts = mV[type]
  let i = 0
  while (i < volts.length - 2 && atC[i + 1]! <= celsius) i++
  const width = atC[i + 1]! - atC[i]!
  const s = (celsius - atC[i]!) / width
  const [m0, m1] = [mVPerC[type][i]! * width, mVPerC[type][i + 1]! * width]
  const bow = (m0 + m1 - 2 * (volts[i + 1]! - volts[i]!)) * s + 3 * (volts[i + 1]! - volts[i]!) - 2 * m0 - m1
  return volts[i]! + s * (m0 + s * bow)
}

/** By halving within the scale of the type; beyond it the end of the scale, as an instrument shows it. */
export function fromEmf(type: Known, volts: number): number {
  let low = Math.max(-200, scaleEndsC[type][0])
  let high = Math.min(1_200 + 300, scaleEndsC[type][1])
  if (volts <= emf(type, low)) return scaleEndsC[type][0]
  if (volts >= emf(type, high)) return scaleEndsC[type][1]
  for (let i = 0; i < 22; i++) {
    const middle = (low + high) / 2
    if (emf(type, middle) > volts) high = middle
    else low = middle
  }
  return (low + high) / 2
}

/** What is shown when `built` sits in the kiln, `set` is set on the instrument and its terminals are at `coldC`. */
export function mistakenC(built: Known, set: Known, hotC: number, coldC: number): number {
  return fromEmf(set, emf(built, hotC) - emf(built, coldC) + emf(set, coldC))
}

/** The same where the two leads are exchanged. */
export function reversedC(type: Known, hotC: number, coldC: number): number {
  return fromEmf(type, 2 * emf(type, coldC) - emf(type, hotC))
}

export type { Known as KnownType }
