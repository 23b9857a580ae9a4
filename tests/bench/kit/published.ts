/** Temperatures by the published methods, written down straightforwardly: what the product's quick ones are measured against. */
import { emfMv } from '../../../shared/physics/thermocouple.ts'

/** Type K back from a voltage, −200…1,372 °C (NIST SRD 60, inverse coefficients): Σ d[i]·Eⁱ, up to 0.06 °C off. */
const inverseK = [
  {
    toMv: 0,
    d: [0, 25.173462, -1.1662878, -1.0833638, -0.8977354, -0.37342377, -0.086632643, -0.010450598, -0.00051920577],
  },
  {
    toMv: 20.644,
    d: [
      0, 25.08355, 0.07860106, -0.2503131, 0.0831527, -0.01228034, 0.0009804036, -4.41303e-5, 1.057734e-6, -1.052755e-8,
    ],
  },
  { toMv: 54.886, d: [-131.8058, 48.30222, -1.646031, 0.05464731, -0.0009650715, 8.802193e-6, -3.11081e-8] },
]

/** By the inverse polynomial, with the cold end compensated in voltage. */
export function hotByPolynomialC(microvolts: number, junctionC: number): number {
  const mv = microvolts / 1_000 + (emfMv('K', junctionC) ?? Number.NaN)
  const piece = inverseK.find(({ toMv }) => mv <= toMv)
  return piece === undefined ? Number.NaN : piece.d.reduceRight((sum, d) => sum * mv + d, 0)
}

/** By halving the direct function to a millionth of a degree: as exact as ours. */
export function hotByHalvingC(microvolts: number, junctionC: number): number {
  const mv = microvolts / 1_000 + (emfMv('K', junctionC) ?? Number.NaN)
  return halved((t) => (emfMv('K', t) ?? Number.NaN) - mv, -270, 1_372)
}

/** Where a rising function crosses zero, to a millionth. */
function halved(excess: (x: number) => number, from: number, to: number): number {
  let [low, high] = [from, to]
  while (high - low > 1e-6) {
    const middle = (low + high) / 2
    if (excess(middle) > 0) high = middle
    else low = middle
  }
  return (low + high) / 2
}

const [planck, light, boltzmann] = [6.62607015e-34, 299_792_458, 1.380649e-23]

/** Planck's law from 8 to 14 µm by Simpson's rule, W/(m²·sr). 24 strips: within 1e-6 of the series. */
export function radianceByStrips(temperatureC: number): number {
  const strips = 24
  const width = 6e-6 / strips
  let sum = 0
  for (let i = 0; i <= strips; i++) {
    const length = 8e-6 + i * width
    const x = (planck * light) / (length * boltzmann * (temperatureC + 273.15))
    const spectral = (2 * planck * light ** 2) / (length ** 5 * Math.expm1(x))
    sum += spectral * (i === 0 || i === strips ? 1 : i % 2 === 1 ? 4 : 2)
  }
  return (sum * width) / 3
}

/** The infrared correction by strips and halving. */
export function correctedByStripsC(
  {
    setEmissivity,
    compensatedC,
    emissivity,
    reflectedC,
  }: Record<'setEmissivity' | 'compensatedC' | 'emissivity' | 'reflectedC', number>,
  indicatedC: number,
): number {
  const seen = setEmissivity * radianceByStrips(indicatedC) + (1 - setEmissivity) * radianceByStrips(compensatedC)
  const own = (seen - (1 - emissivity) * radianceByStrips(reflectedC)) / emissivity
  return halved((t) => radianceByStrips(t) - own, -100, 2_000)
}
