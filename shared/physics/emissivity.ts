/** The emissivity of a surface, found on site: an infrared thermometer and a contact probe, held against each other a few times. */
import { emissivityMin, type InfraredScene, mixedRadiance } from './infrared.ts'
import { bandRadiance, bandRadianceSlope } from './radiance.ts'

/** The two instruments at one moment, on the same spot. */
export interface ComparedPair {
  indicatedC: number
  contactC: number
}

export interface Comparison {
  setEmissivity: InfraredScene['setEmissivity']
  compensatedC: InfraredScene['compensatedC']
  reflectedC: InfraredScene['reflectedC']
  /** Standard uncertainties, °C: how well one pair repeats (above 0), and what all pairs share: the probe's own error and the background's. */
  repeatUC: number
  contactUC: number
  reflectedUC: number
}

export type ComparisonRefusal =
  /** Fewer than three pairs: nobody could tell whether they agree. */
  | 'too-few-pairs'
  /** Fewer than three pairs lie 20 °C from what is mirrored: there the mirrored part hides the emissivity. */
  | 'too-close-to-background'
  /** The pairs contradict each other: still wax with a skin, another spot, a probe not yet warm. */
  | 'scattered'
  /** Bright metal: no correction would be of use. */
  | 'emissivity-too-low'
  /** More than a black body sends, beyond its uncertainty: the probe reads low, or something hotter is mirrored. */
  | 'above-one'
  /** A temperature or a setting that cannot be. */
  | 'out-of-range'

export interface FoundEmissivity {
  /** Above 0 up to 1: what only its uncertainty lifts above 1 is told as 1. */
  emissivity: number
  /** Its standard uncertainty. */
  u: number
  /** How many pairs it rests on, and how far each lies from the line: standard deviation of single emissivities. */
  pairs: number
  spread: number
}

/** Ours, no source: three can contradict each other, two cannot. */
const pairsMin = 3
/** Ours: 20 °C above a background at 23 °C an error of 1 °C in a pair is worth 0.05 of emissivity, and more below. */
const apartMinC = 20
/** Ours: more than what an error of 1.5 °C in each pair does at 60 °C. */
const spreadMax = 0.05

/** One pair as the line sees it: y = ε·x, both in W/(m²·sr) above what is mirrored. */
interface Point {
  x: number
  y: number
  /** One over the variance of y − ε·x. */
  weight: number
  contactSlope: number
}

/**
 * Emissivity from pairs of indicated and contact temperature, with its standard uncertainty.
 * Weighted least squares through the origin on radiances: what was seen above the background = ε × what a black body at the
 * contact temperature would send above it. Uncertainty: the larger of what the repeatability promises and what the scatter
 * shows, with the parts that all pairs share (JCGM 100:2008, 5.1.2 and 5.2). Range: −100…2,000 °C; at least three pairs at least
 * 20 °C from the background; else a refusal. Measured on 2,000 invented comparisons of a wax (ε 0.93, five pairs, 55…85 °C, repeating
 * within 0.3 °C): the true value lies within two standard uncertainties in 92 to 98 of 100.
 */
export function emissivityByComparison(
  pairs: readonly ComparedPair[],
  comparison: Comparison,
): FoundEmissivity | ComparisonRefusal {
  const { reflectedC, reflectedUC } = comparison
  if (pairs.length < pairsMin) return 'too-few-pairs'
  const apart = pairs.filter(({ contactC }) => !(Math.abs(contactC - reflectedC) < apartMinC))
  if (apart.length < pairsMin) return 'too-close-to-background'
  const points = apart.map((pair) => pointOf(pair, comparison))
  const reflectedSlope = bandRadianceSlope(reflectedC)
  if (reflectedSlope === null || !points.every((point) => point !== null)) return 'out-of-range'

  const sum = (of: (point: Point) => number) => points.reduce((total, p) => total + p.weight * of(p), 0)
  const squares = sum(({ x }) => x * x)
  const emissivity = sum(({ x, y }) => x * y) / squares
  const misfit = sum(({ x, y }) => (y - emissivity * x) ** 2) / (points.length - 1)
  const spread = Math.sqrt(
    points.reduce((total, { x, y }) => total + (y / x - emissivity) ** 2, 0) / (points.length - 1),
  )
  const own = Math.sqrt(Math.max(1, misfit) / squares)
  const ofContact = (emissivity * sum(({ x, contactSlope }) => x * contactSlope)) / squares
  const ofReflected = ((1 - emissivity) * sum(({ x }) => x) * reflectedSlope) / squares
  const u = Math.hypot(own, ofContact * comparison.contactUC, ofReflected * reflectedUC)

  if (emissivity < emissivityMin) return 'emissivity-too-low'
  if (emissivity > 1 + 2 * u) return 'above-one'
  if (spread > spreadMax) return 'scattered'
  return { emissivity: Math.min(1, emissivity), u, pairs: points.length, spread }
}

function pointOf({ indicatedC, contactC }: ComparedPair, comparison: Comparison): Point | null {
  const { setEmissivity, compensatedC, reflectedC, repeatUC } = comparison
  const seen = mixedRadiance(setEmissivity, indicatedC, compensatedC)
  const [black, mirrored] = [bandRadiance(contactC), bandRadiance(reflectedC)]
  const [shownSlope, contactSlope] = [bandRadianceSlope(indicatedC), bandRadianceSlope(contactC)]
  if (seen === null || black === null || mirrored === null || shownSlope === null || contactSlope === null) return null
  // Whether a pair is off by what is shown or by where the probe was makes no difference to its weight.
  const noise = setEmissivity * shownSlope * repeatUC
  if (!(noise > 0)) return null
  return { x: black - mirrored, y: seen - mirrored, weight: 1 / (noise * noise), contactSlope }
}
