/** Checks, calibrations and comparisons of instruments in words: what was found, or why nothing could be, and what to do. */
import type { Check, CheckReference } from '../contract/index.ts'
import type { EpochMs } from '../time.ts'
import { count, duration, limitTemperature, moment, type Speech, temperature, temperatureDifference } from './speech.ts'

/** Why an instrument cannot be held against anything just now. */
export type NotStill =
  | { why: 'no-temperature' }
  | { why: 'silent'; quietMs: number | null }
  | { why: 'too-few'; readings: number; needed: number; overMs: number }
  | { why: 'moving'; spreadC: number; spreadMaxC: number; overMs: number }
  | { why: 'no-answer'; because: string }

export function notStillSays(name: string, not: NotStill, speech: Speech): string {
  switch (not.why) {
    case 'no-temperature':
      return `${name} measures no temperature; only that can be checked here.`
    case 'silent':
      return not.quietMs === null
        ? `${name} has sent no temperature yet; wait until it does.`
        : `${name} has sent no usable temperature for ${duration(not.quietMs)}; wait until it does.`
    case 'too-few':
      return `${name} has sent only ${count(not.readings, 'reading')} in the last ${duration(not.overMs)}; wait until there are ${count(not.needed, '', '').trim()}.`
    case 'moving':
      return `${name} moved by ${temperatureDifference(not.spreadC, speech)} in the last ${duration(not.overMs)}; wait until it stands still within ${temperatureDifference(not.spreadMaxC, speech)}.`
    case 'no-answer':
      return `${name} gives no temperature: ${not.because}.`
  }
}

function inReference(reference: CheckReference, probe: string, speech: Speech, isC: number): string {
  const is = temperature(isC, speech)
  if (reference === 'ice-point') return `melting ice is ${is}`
  return reference === 'boiling-point' ? `water boils here at ${is}` : `${probe} says ${is}`
}

export interface CheckTold {
  name: string
  /** Of the probe that was the reference. */
  probeName?: string
  check: Check
  /** What it means less what is. */
  differenceC: number
  /** In a kiln two points near room temperature say little. */
  inKiln: boolean
  /** Whether anybody knows how sure the reference probe is. */
  probeIsSure: boolean
}

/** What a check found. Within the doubt of the comparison nobody can tell a difference. */
export function checkFoundSays(told: CheckTold, speech: Speech): string {
  const { name, probeName = '', check, differenceC, inKiln, probeIsSure } = told
  const doubtC = 2 * check.uC
  const size = temperatureDifference(Math.abs(differenceC), speech)
  const reads = temperature(check.isC + differenceC, speech)
  const is = inReference(check.reference, probeName, speech, check.isC)
  const found =
    Math.abs(differenceC) <= doubtC
      ? `${name} agrees: it says ${reads}, and ${is}.`
      : `${name} is ${size} too ${differenceC > 0 ? 'high' : 'low'}: it says ${reads}, and ${is}.`
  const sure = `The comparison is sure to ± ${temperatureDifference(doubtC, speech)}.`
  const little =
    inKiln && check.reference !== 'probe' ? [`It says little of how ${name} reads when the kiln is hot.`] : []
  const unsure =
    check.reference === 'probe' && !probeIsSure ? [`How sure ${probeName} is itself, nobody has said.`] : []
  return [found, sure, ...little, ...unsure].join(' ')
}

/** What a new calibration changes. */
export function calibrationSays(name: string, at: EpochMs, now: EpochMs, isPast: boolean, speech: Speech): string {
  if (!isPast) return `From now on ${name} is read by these points; what is stored stays as it was sent.`
  return (
    `This is an amendment: what ${name} has measured since ${moment(at, now, speech)} means something else now. ` +
    'Charts, sums and records are told by it from now on; what is stored stays as it was sent, and alarms that were announced stay as they were.'
  )
}

export function emissivitySays(
  found: { emissivity: number; u: number; pairs: number },
  reflectedC: number,
  speech: Speech,
): string {
  const { emissivity, u, pairs } = found
  return (
    `What it looks at has an emissivity of ${emissivity.toFixed(2)} ± ${(2 * u).toFixed(2)}, from ${count(pairs, 'pair')} of readings, ` +
    `with ${limitTemperature(reflectedC, speech)} mirrored in it.`
  )
}

const comparisonRefusals = {
  'too-few-pairs':
    'There are fewer than three moments at which both have spoken; let both measure the same place for some minutes.',
  'too-close-to-background':
    'It is too close to its surroundings for its emissivity to show; compare where it is at least 20 °C warmer.',
  scattered:
    'The two contradict each other from one moment to the next; stir, take the lid off, and aim where the probe is.',
  'emissivity-too-low':
    'It looks at something that mirrors more than it sends out, such as bright metal; aim at the wax or the shell.',
  'above-one': 'It sees more than a black body would send: the probe reads low, or something hotter is mirrored there.',
  'out-of-range': 'One of the values or settings cannot be; look at both instruments.',
} as const

export function comparisonRefusalSays(refusal: keyof typeof comparisonRefusals): string {
  return comparisonRefusals[refusal]
}
