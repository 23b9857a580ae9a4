/** An infrared instrument against the probe in the wax: emissivity, metal, a spot too large, the skin, or blind. Judged in radiance, where they are shares. */
import type { Doubt, Evidence } from '../../contract/index.ts'
import { bandRadiance, bandRadianceSlope } from '../../physics/radiance.ts'
import { type Course, lately, upTo } from './course.ts'
import type { Departure, Examination, Optics, Track, Watch } from './exam.ts'
import { lagBetween } from './lag.ts'
import { followed, hotC, newOptics, tooMuch, unseen } from './optics.ts'
import { median, quantile } from './robust.ts'
import { type Frame, ambientOf, depthOf } from './roles.ts'
import type { ExaminedInstrument, ExaminedStation } from './station.ts'
import { isTold, type Look, type Sign } from './suspicion.ts'

/** Where the pot was seen cold, nothing is asked until it has been hot so long: a plug melts over hot wax. Else a little. Minutes. */
const settledFromCold = 60
const settled = 6
/** Surely too little for wax at its best, whatever the honest offsets of both (±1.5 °C and ±0.7 °C at 90 °C, an emissivity out by a
 *  hundredth) and the skin of thin wax that nobody stirs: these make 0.93 between them. */
const surelyLow = 0.925
const clearMin = 40
/** A fall of so much that stays: more than that skin over wax that is itself not mixed; and where it did not come at once, more still. */
const fallen = 0.046
const sunk = 0.07
/** The emissivity of wax, however one looks at it, leaves more than this; less is not only wax (common practice, no source). */
const waxFrom = 0.685
/** Nor is it metal from here on, whatever the metal. */
const metalBelow = 0.55
/** Between two stirrings by hand pass up to so many minutes; what has not come back by then is no skin. */
const unstirred = 33
/** A stirred pot brings it back for a moment: so far up at least, of what it lacks, and for no longer than this, minutes. */
const backShare = 0.35
const backLeast = 0.028
const backMinutesMax = 13
/** The skin of still wax stands several degrees below the bulk (trade arithmetic, rough), °C. */
const skinC = 3.5
/** A probe at the bottom stands above the wax at the top by so much, unstirred, °C. */
const deepC = 2
/** What is fixed in its view shows a steady share; vapour comes and goes: spread over the middle, as a share. */
const restless = 0.8
const restlessWax = 0.3
/** A lid warms up under the eye of the instrument, a film grows: its first minutes stand below, or above, what follows. */
const warmed = 0.68
const slid = 1.35
const slidByMinute = 1.08
/** Minutes before a departure is looked at, and before one is whose beginning was not seen. */
const lookFrom = 14
const lookFromUnseen = 45
/** A lid follows the wax late, metal and a film do not. Minutes. */
const lidLag = 3.2
const clearly = 1.6
/** A spot known to be wider than the wax explains any steady lack from here on. */
const wideShare = 0.975
const wideFrom = 10
const need = 4
const blindNeed = 4

/** The probe to hold it against: of those that can be believed the one nearest to what it sees. */
function probeFor(station: ExaminedStation, exam: Examination, frame: Frame, seen: number): number {
  const usable = frame.roles.flatMap((role, i) =>
    role === 'wax' && frame.values[i] !== null && !isDoubted(exam, i) ? [i] : [],
  )
  const highest = usable.sort(
    (a, b) =>
      depthOf(station.instruments[a] as ExaminedInstrument) - depthOf(station.instruments[b] as ExaminedInstrument),
  )
  const distance = (i: number) => Math.abs((frame.values[i] as number) - seen)
  const [first, ...rest] = highest
  if (first === undefined) return -1
  // Two that disagree: the instrument may be right with one of them, and is then not the one to doubt.
  return rest.reduce((best, i) => (distance(i) + 4 < distance(best) ? i : best), first)
}

/** Held against a probe that is itself in doubt, nobody is accused. */
function isDoubted({ watch }: Examination, i: number): boolean {
  return (
    isTold(watch.suspicions, i, ['single', 'pair', 'clocks', 'noise']) ||
    watch.suspicions.some(
      (s) => s.instrument === i && s.family === 'immersion' && s.kind !== 'not-stirred' && (s.told || s.count >= 3),
    )
  )
}

export function lookAtInfrared(station: ExaminedStation, exam: Examination, frame: Frame): [Watch, readonly Look[]] {
  const looks: Look[] = []
  let optics = exam.watch.optics
  for (let i = 0; i < frame.roles.length; i++) {
    if (frame.roles[i] !== 'infrared') continue
    const seen = frame.values[i]
    const probe = seen == null ? -1 : probeFor(station, exam, frame, seen)
    const before = optics.find((o) => o.instrument === i) ?? newOptics(i)
    const after = probe < 0 || seen == null ? unseen(before) : followed(station, exam, frame, before, i, probe, seen)
    optics = optics.some((o) => o.instrument === i)
      ? optics.map((o) => (o.instrument === i ? after : o))
      : [...optics, after]
    if (probe < 0 || isTold(exam.watch.suspicions, i, ['single', 'pair', 'clocks'])) continue
    looks.push(...looked(station, exam, frame, after, probe))
  }
  return [optics === exam.watch.optics ? exam.watch : { ...exam.watch, optics }, looks]
}

/** Being blind is looked at by itself: a lid ends no doubt about what is seen without it. */
function looked(
  station: ExaminedStation,
  exam: Examination,
  frame: Frame,
  optics: Optics,
  probe: number,
): readonly Look[] {
  const share = optics.shares[optics.shares.length - 1]
  const { instrument, departure, hotMinutes, fromCold } = optics
  const probeC = frame.values[probe] as number
  if (share == null || share > tooMuch || probeC < hotC || hotMinutes < settled) return []
  const sees: Look = { family: 'blind', instrument, sign: null }
  if (departure === null) return [sees, { family: 'infrared', instrument, sign: bestSign(station, optics, probe) }]
  const sign = signOf(station, exam, frame, optics, departure, probe, share)
  const early = fromCold && hotMinutes < settledFromCold
  if (!sign) return share >= waxFrom && sign === null ? [sees, { family: 'infrared', instrument, sign }] : []
  const told = (kind: string) =>
    exam.watch.suspicions.some((s) => s.told && s.instrument === instrument && s.kind === kind)
  // What it was taken for stays, as long as it sees as little as then; but what wanders is no metal.
  if (sign.kind === 'sees-metal' && told('blind')) return []
  if (sign.kind === 'blind')
    return [
      { family: 'blind', instrument, sign },
      ...(told('sees-metal') ? [{ family: 'infrared', instrument, sign: null } as const] : []),
    ]
  return early ? [] : [sees, { family: 'infrared', instrument, sign }]
}

/** It sees as well as it ever does: is that well enough? */
function bestSign(station: ExaminedStation, { instrument, best, clear, shares }: Optics, probe: number): Sign | null {
  const middle = median(lately(shares, 40))
  const evidence = [{ what: 'share above surroundings', value: middle, unit: '', usual: 1 }]
  const place = station.instruments[instrument] as ExaminedInstrument
  if (isWide(place) && clear >= wideFrom && middle < wideShare) return wideSign(place, evidence, probe)
  if (clear < clearMin || best >= surelyLow || middle >= surelyLow) return null
  return emissivity(probe, [...evidence, { what: 'share when stirred', value: best, unit: '', usual: 1 }], clear)
}

function emissivity(probe: number, evidence: Evidence[], minutes: number): Sign {
  return {
    kind: 'emissivity',
    against: probe,
    need,
    evidence,
    ruledOut: [
      { kind: 'sees-skin', evidence: { what: 'minutes without a return', value: minutes, unit: 'min' } },
      { kind: 'sees-metal', evidence: evidence[0] as Evidence },
    ],
  }
}

/** What is known of a departure. */
interface View {
  /** Of its last half hour: the middle, and how restless it is. */
  middle: number
  spread: number
  /** Its first minutes against what followed. */
  early: number
  evidence: Evidence[]
}

function viewOf({ shares, best }: Optics, { minutes, first }: Departure): View {
  const recent = lately(shares, Math.min(30, minutes))
  const away = best > 0 ? recent.filter((s) => s < best - 0.02) : recent
  const middle = median(away.length > 0 ? away : recent)
  return {
    middle,
    spread: quantile(recent, 0.9) - quantile(recent, 0.1),
    early: median(first.length > 2 ? first.slice(1, 3) : first),
    evidence: [{ what: 'share above surroundings', value: middle, unit: '', usual: 1 }],
  }
}

/** Undefined: nobody can tell yet. */
function signOf(
  station: ExaminedStation,
  exam: Examination,
  frame: Frame,
  optics: Optics,
  departure: Departure,
  probe: number,
  share: number,
): Sign | null | undefined {
  const view = viewOf(optics, departure)
  const instrument = station.instruments[optics.instrument] as ExaminedInstrument
  const wide = isWide(instrument)
  if (wide && departure.minutes >= wideFrom && view.middle < wideShare && view.spread < restlessWax)
    return wideSign(instrument, view.evidence, probe)
  if (departure.minutes < lookFrom) return undefined
  if (view.middle < waxFrom)
    return share < waxFrom + 0.1 ? lowSign(exam, frame, optics, departure, view, probe) : undefined
  if (departure.near > 3) return undefined
  return waxSign(station, frame, optics, departure, view, probe)
}

function wideSign(instrument: ExaminedInstrument, evidence: readonly Evidence[], probe: number): Sign {
  const { spotMm, targetMm } = instrument.infrared as { spotMm: number; targetMm: number }
  const perSpot = { what: 'target per spot', value: targetMm / spotMm, unit: '', usual: 2 }
  const ruledOut = [{ kind: 'emissivity', evidence: perSpot }] as const
  return { kind: 'spot-too-large', against: probe, need, evidence: [...evidence, perSpot], ruledOut }
}

/** A target should be twice as wide as the spot (leaflets of instruments); a narrower one than one and a half times lets the rim in. */
function isWide({ infrared }: ExaminedInstrument): boolean {
  return infrared?.spotMm !== undefined && infrared.targetMm !== undefined && infrared.targetMm < 1.5 * infrared.spotMm
}

/** Too little for wax: metal, or something that is no wall of the pot at all. */
function lowSign(
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
  if (lag !== null && lag.minutes >= lidLag && lag.unshifted >= clearly * lag.left)
    return blind(
      probe,
      [...evidence, { what: 'later than the wax by', value: lag.minutes, unit: 'min', usual: 0 }],
      middle,
    )
  if (middle > metalBelow) return undefined
  // A pot that warmed up under its lid: nobody has seen the beginning.
  if (fromCold) return hotMinutes >= 20 ? blind(probe, evidence, middle) : undefined
  if (before === null && minutes < lookFromUnseen && (lag === null || lag.minutes > 1.5)) return undefined
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

function blind(probe: number, evidence: Evidence[], share: number): Sign {
  return {
    kind: 'blind',
    against: probe,
    need: blindNeed,
    evidence,
    ruledOut: [{ kind: 'sees-metal', evidence: { what: 'share above surroundings', value: share, unit: '' } }],
  }
}

/** Times in which it came back toward its best for some minutes only, and how far: somebody stirred. */
function returnsOf(shares: readonly number[], middle: number, good: number): { count: number; top: number } {
  const from = middle + Math.max(backLeast, backShare * (good - middle))
  const tops: number[] = []
  let [run, top, low] = [0, 0, 0]
  for (const share of shares) {
    if (share >= from) {
      run++
      top = Math.max(top, share)
      continue
    }
    if (run > 0 && run <= backMinutesMax && low >= 3) tops.push(top)
    low = run > 0 ? 1 : low + 1
    run = 0
    top = 0
  }
  return { count: tops.length, top: tops.length === 0 ? 0 : median(tops) }
}

/** Most of a view of wax: its setting, its angle, or the skin. */
function waxSign(
  station: ExaminedStation,
  frame: Frame,
  optics: Optics,
  { minutes, before }: Departure,
  view: View,
  probe: number,
): Sign | null | undefined {
  const { middle, spread, evidence } = view
  const good = Math.max(optics.best, 0.95)
  const returns = returnsOf(lately(optics.shares, Math.min(minutes, 200)), middle, good)
  if (spread > restlessWax && returns.count === 0) return blind(probe, evidence, middle)
  if (returns.count > 0) {
    const lackC = inDegrees(station, frame, probe, Math.max(Math.min(returns.top, good + 0.01), optics.best) - middle)
    const stirred: Evidence = { what: 'share when stirred', value: returns.top, unit: '', usual: 1 }
    const deep = station.instruments[probe]?.place === 'wax-bottom' ? deepC : 0
    if (lackC < skinC + deep) return null
    return {
      kind: 'sees-skin',
      against: probe,
      need: 3,
      evidence: [{ what: 'below the wax by', value: lackC, unit: '°C', usual: 0 }, ...evidence, stirred],
      ruledOut: [{ kind: 'emissivity', evidence: stirred }],
    }
  }
  if (minutes < unstirred) return undefined
  const lack = good - middle
  const fell = before !== null && before - view.early >= 0.6 * lack
  const known = optics.best >= surelyLow && optics.clear >= clearMin / 2
  if (known ? lack < (fell ? fallen : sunk) : middle >= surelyLow) return null
  const more = optics.best > 0 ? [{ what: 'share when stirred', value: optics.best, unit: '', usual: 1 }] : []
  return emissivity(probe, [...evidence, ...more], minutes)
}

function inDegrees(station: ExaminedStation, frame: Frame, probe: number, lack: number): number {
  const probeC = frame.values[probe] as number
  const around = bandRadiance(ambientOf(station, frame.values)) as number
  return (lack * ((bandRadiance(probeC) as number) - around)) / (bandRadianceSlope(probeC) as number)
}
