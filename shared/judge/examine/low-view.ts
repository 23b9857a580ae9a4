/** An infrared instrument that shows too little for any wax: metal, or a lid, vapour or a film, which make it blind. */
import type { Doubt, Evidence } from '../../contract/index.ts'
import { type Course, upTo } from './course.ts'
import type { Departure, Examination, Optics, Track } from './exam.ts'
import { type Lag, lagBetween } from './lag.ts'
import type { Frame } from './roles.ts'
import { isTold, type Sign } from './suspicion.ts'

/** Steady enough, spread over the middle; and two probes agree within, °C. */
const steadyWander = 0.3
const agreeC = 5
/** It is no metal from here on, whatever the metal. */
const metalBelow = 0.55
/** What is fixed in its view shows a steady share; vapour comes and goes: spread over the middle, as a share. */
const restless = 0.8
/** A lid warms up under the eye of the instrument, a film grows: its first minutes stand below, or above, what follows. */
const warmed = 0.68
const slid = 1.35
const slidByMinute = 1.08
/** Minutes before one is believed whose beginning was not seen. */
const lookFromUnseen = 45
/** A lid stays on for a night and over a weekend; not for longer, over hot wax. Minutes. */
const lidMinutesMax = 72 * 60
/** A lid comes off some time: so long over hot wax, nobody could have worked. Minutes. */
export const lidHotMinutes = 300
/** A lid follows the wax late, metal and a film do not. Minutes. */
const lidLag = 3.2
const clearly = 1.6
const atOnce = 2.2
const followsLeft = 0.45
const telling = 0.1
const riseC = 2.5
const riseMinutes = 15
/** A lid over hot wax is warm itself: it shows more than this share (rough, own arithmetic). */
const lidFrom = 0.13
const need = 4
const blindNeed = 4

/** What is known of a departure. */
export interface View {
  /** Of its last half hour: the middle, and how restless it is. */
  middle: number
  spread: number
  /** Its first minutes against what followed. */
  early: number
  evidence: Evidence[]
}

/** Held against a probe that is itself in doubt, nobody is accused. */
export function isDoubted({ watch }: Examination, i: number): boolean {
  return (
    isTold(watch.suspicions, i, ['single', 'pair', 'clocks', 'noise']) ||
    watch.suspicions.some(
      (s) => s.instrument === i && s.family === 'immersion' && s.kind !== 'not-stirred' && (s.told || s.count >= 3),
    )
  )
}

/** Neither wax nor metal: rim and bench beside the wax, or a probe of a wrong type, unless another one bears it out. */
function oddSign(
  exam: Examination,
  frame: Frame,
  minutes: number,
  evidence: readonly Evidence[],
  probe: number,
): Sign | undefined {
  const agrees = (i: number) => Math.abs((frame.values[i] as number) - (frame.values[probe] as number)) <= agreeC
  const borneOut = frame.roles.some(
    (role, i) => role === 'wax' && i !== probe && frame.values[i] !== null && !isDoubted(exam, i) && agrees(i),
  )
  if (!borneOut && minutes < lidHotMinutes) return undefined
  const [share] = evidence as readonly [Evidence]
  const ruledOut = [{ kind: 'emissivity', evidence: share }] as const
  return { kind: 'spot-too-large', against: probe, need, evidence, ruledOut }
}

/** Too little for wax: metal, or something that is no wall of the pot at all. */
export function lowSign(
  exam: Examination,
  frame: Frame,
  { instrument, fromCold, hotMinutes }: Optics,
  { minutes, before, first }: Departure,
  view: View,
  probe: number,
): Sign | undefined {
  const { middle, spread, early, evidence } = view
  const [ratio, wander] = [early / Math.max(0.02, middle), spread / Math.max(0.05, middle)]
  const began: Evidence = { what: 'first minutes against later', value: ratio, unit: '', usual: 1 }
  const wandering: Evidence = { what: 'drift of the share', value: wander, unit: '', usual: 0 }
  if (wander > restless) return blind(probe, [...evidence, wandering], middle)
  if (first.length >= 4 && (ratio < warmed || (ratio > slid && slides(first))))
    return blind(probe, [...evidence, began], middle)
  const course = (j: number): Course => upTo(exam.watch.tracks[j] as Track, frame.index).slice(-Math.min(minutes, 120))
  const lag = lagBetween(course(instrument), course(probe), 12)
  if (lag !== null && lag.minutes >= lidLag && lag.unshifted >= Math.max(clearly * lag.left, lag.left + telling))
    return blind(
      probe,
      [...evidence, { what: 'later than the wax by', value: lag.minutes, unit: 'min', usual: 0 }],
      middle,
    )
  if (middle > metalBelow) return wander < steadyWander ? oddSign(exam, frame, minutes, evidence, probe) : undefined
  // A pot that warmed up under its lid: nobody has seen the beginning.
  if (fromCold && hotMinutes < lidHotMinutes) return hotMinutes >= 20 ? blind(probe, evidence, middle) : undefined
  // A lid that stays warm looks as steady as metal: only what follows the wax at once is none, or what is less than any lid.
  const follows =
    lag !== null && lag.minutes < atOnce && lag.left <= followsLeft && tells(lag) && hasRisen(course(probe))
  const isBare = middle < lidFrom && (before !== null || minutes >= lookFromUnseen)
  if (!follows && !isBare && minutes < lidMinutesMax) return undefined
  const ruledOut: Doubt['ruledOut'] = [
    { kind: 'blind', evidence: before === null ? wandering : began },
    { kind: 'emissivity', evidence: evidence[0] as Evidence },
  ]
  return { kind: 'sees-metal', against: probe, need, evidence: [...evidence, wandering], ruledOut }
}

/** Minute by minute less. */
function slides(first: readonly number[]): boolean {
  const [, a, b, c] = first as readonly [number, number, number, number]
  return a > slidByMinute * b && b > c
}

/** Six minutes later the line would fit clearly worse: there were events to tell by. */
function tells({ late, left }: Lag): boolean {
  return late >= Math.max(clearly * left, left + telling)
}

/** The wax was heated meanwhile: what only cools tells no metal from a lid. */
function hasRisen(probe: Course): boolean {
  for (let k = riseMinutes; k < probe.length; k++) {
    const [before, after] = [probe[k - riseMinutes], probe[k]]
    if (before != null && after != null && after - before >= riseC) return true
  }
  return false
}

export function blind(probe: number, evidence: Evidence[], share: number): Sign {
  return {
    kind: 'blind',
    against: probe,
    need: blindNeed,
    evidence,
    ruledOut: [{ kind: 'sees-metal', evidence: { what: 'share above surroundings', value: share, unit: '' } }],
  }
}
