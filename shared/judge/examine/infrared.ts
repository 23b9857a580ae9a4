/** An infrared instrument against the probe in the wax: emissivity, metal, a spot too large, the skin, or blind. Judged in radiance, where they are shares. */
import type { Doubt, DoubtKind, Evidence } from '../../contract/index.ts'
import { bandRadiance, bandRadianceSlope } from '../../physics/radiance.ts'
import { type Course, changesOf, courseMax, lately, upTo } from './course.ts'
import type { Examination, Optics, Track, Watch } from './exam.ts'
import {
  followed,
  newOptics,
  slopeOf,
  unseen,
  awayFromBest,
  clearShare,
  nearBest,
  settledMinutes,
  tooMuch,
} from './optics.ts'
import { lineThrough, median, quantile } from './robust.ts'
import { type Frame, ambientOf, depthOf } from './roles.ts'
import type { ExaminedInstrument, ExaminedStation } from './station.ts'
import { isTold, type Look, type Sign } from './suspicion.ts'

/** Good enough: a probe of ±1.5 °C, an instrument of ±0.5 °C and what skin is left when stirred may show as much at 100 °C without any
 *  fault; the emissivities of 0.90 to 0.92 that the trade reports against a setting of 0.95 give 0.947 to 0.968. Once told, it is well
 *  again only from the second on. */
const goodShare = 0.979
const wellShare = 0.988
/** Surely too little, whatever the honest offsets. Above, the slope against the probe, which no constant offset bends, must agree. */
const surelyLowShare = 0.962
const goodSlope = 0.988
const clearMinutesMin = 120
const clearMinutesLong = 360
/** The skin of still wax stands several degrees below the bulk (trade arithmetic, rough). */
const skinC = 2.6
const skinNeed = 20
/** A probe at the bottom stands above the wax at the top by so much, unstirred. */
const deepC = 3
/** So long without a single return to its best, hot all the time, is no skin: somebody would have stirred. Minutes. */
const unstirredMinutes = 300
/** Bright metal shows a third and less of what wax does (emissivity 0.1 to 0.3). Between lies what a lid shows (rough, from memory). */
const metalShare = 0.36
const lidShare = 0.6
/** Minutes of a low share before anything is said, and before it is called steady. */
const lowMinutesMin = 10
const steadyMinutes = 45
/** A lid stays on over a night; longer than this over hot wax, nobody could have worked. Minutes. */
const lidMinutesMax = 16 * 60
const metalMinutes = 180
const metalMinutesAfterClear = 300
/** Changes of the probe from which on it can be told whether the instrument follows, °C in five minutes. */
const tellingC = 0.45
const drift = 0.12
/** It follows where its changes are the same share of the probe's as its level is; a lid lags, vapour and film go their own way. */
const followsWithin = 0.2
const followsCorrelation = 0.8
const straysBeyond = 0.35
const straysCorrelation = 0.55
const leap = 0.1
const need = 6

/** The probe to hold it against: of those that can be believed the one nearest to what it sees. */
function probeFor(station: ExaminedStation, exam: Examination, frame: Frame, seen: number): number {
  const usable = frame.roles.flatMap((role, i) =>
    role === 'wax' && frame.values[i] !== null && !liesHigh(exam, i) ? [i] : [],
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

function liesHigh({ watch }: Examination, i: number): boolean {
  return (
    isTold(watch.suspicions, i, ['single', 'pair']) ||
    watch.suspicions.some(
      (s) => s.instrument === i && s.family === 'immersion' && s.kind !== 'not-stirred' && (s.told || s.count >= 5),
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
    const after = probe < 0 || seen == null ? unseen(before) : followed(station, frame, before, i, probe, seen)
    optics = optics.some((o) => o.instrument === i)
      ? optics.map((o) => (o.instrument === i ? after : o))
      : [...optics, after]
    if (probe < 0 || isTold(exam.watch.suspicions, i, ['single', 'pair'])) continue
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
  const { instrument } = optics
  if (share == null || share > tooMuch || optics.hotMinutes < settledMinutes) return []
  if (share < clearShare) {
    const sign = lowSign(station, exam, frame, optics, probe)
    if (!sign) return []
    return [{ family: sign.kind === 'blind' ? 'blind' : 'infrared', instrument, sign }]
  }
  const told = (kind: DoubtKind) =>
    exam.watch.suspicions.some((s) => s.told && s.kind === kind && s.instrument === instrument)
  const ambient = ambientOf(station, frame.values)
  const probeC = frame.values[probe] as number
  const sign = clearSign(station, optics, probe, probeC, share, ambient, told('emissivity'), told('sees-skin'))
  const sees: Look = { family: 'blind', instrument, sign: null }
  return sign === undefined ? [sees] : [sees, { family: 'infrared', instrument, sign }]
}

function shareEvidence(share: number): Evidence {
  return { what: 'share above surroundings', value: share, unit: '', usual: 1 }
}

function clearSign(
  station: ExaminedStation,
  optics: Optics,
  probe: number,
  probeC: number,
  share: number,
  ambient: number,
  told: boolean,
  skinTold: boolean,
): Sign | null | undefined {
  if (optics.clear < 30) return undefined
  const now = median(lately(optics.shares, 20).filter((s) => s >= clearShare))
  const lack = optics.best - now
  const above = (bandRadiance(probeC) as number) - (bandRadiance(ambient) as number)
  const lackC = (lack * above) / (bandRadianceSlope(probeC) as number)
  const deep = station.instruments[probe]?.place === 'wax-bottom' ? deepC : 0
  const stillLow = share < optics.best - nearBest && lackC >= skinC + deep && lack >= awayFromBest
  const recentBest = optics.sinceBest < unstirredMinutes ? optics.best : bestLately(optics)
  const stays = recentBest < optics.best - nearBest
  if (stillLow && !stays) {
    if (optics.lifts === 0 && fellAtOnce(optics, lack)) return undefined
    return {
      kind: 'sees-skin',
      against: probe,
      need: skinNeed,
      evidence: [
        { what: 'below the wax by', value: lackC, unit: '°C', usual: 0 },
        shareEvidence(now),
        { what: 'share when stirred', value: optics.best, unit: '' },
      ],
      ruledOut: [
        { kind: 'emissivity', evidence: { what: 'share when stirred', value: optics.best, unit: '', usual: 1 } },
      ],
    }
  }
  // One that is known to see a skin is not also called badly set, unless it is low beyond doubt when stirred.
  if (skinTold && !stays && optics.best >= surelyLowShare) return null
  if (optics.clear < clearMinutesMin) return undefined
  return emissivitySign(
    station.instruments[optics.instrument] as ExaminedInstrument,
    optics,
    probe,
    stays ? recentBest : optics.best,
    now,
    told,
  )
}

function emissivitySign(
  instrument: ExaminedInstrument,
  optics: Optics,
  probe: number,
  best: number,
  now: number,
  told: boolean,
): Sign | null | undefined {
  const line = slopeOf(optics)
  // Where no honest offset can be told from it, the slope against the probe must not speak against it.
  const enough = line === null ? optics.clear >= clearMinutesLong : line.slope < goodSlope
  if (best >= (told ? wellShare : goodShare)) return null
  if (best >= surelyLowShare && !enough) return line === null ? undefined : null
  const evidence = [shareEvidence(now), { what: 'share when stirred', value: optics.best, unit: '', usual: 1 }]
  if (line) evidence.push({ what: 'slope against the probe', value: line.slope, unit: '', usual: 1 })
  const ruledOut: Doubt['ruledOut'] = [
    { kind: 'sees-skin', evidence: { what: 'share when stirred', value: optics.best, unit: '', usual: 1 } },
    { kind: 'sees-metal', evidence: shareEvidence(now) },
  ]
  // What is known of its place outweighs what is likely: it sees more than the wax.
  if (isWide(instrument))
    return {
      kind: 'spot-too-large',
      against: probe,
      need: 20,
      evidence: [...evidence, targetEvidence(instrument)],
      ruledOut,
    }
  return { kind: 'emissivity', against: probe, need: 20, evidence, ruledOut }
}

/** The upper edge of what it showed in its last four hours of clear view. */
function bestLately({ shares, best }: Optics): number {
  const recent = lately(shares, courseMax).filter((s) => s >= clearShare)
  return recent.length < 60 ? best : quantile(recent, 0.97)
}

/** Most of what it lacks was lost within two minutes: something was moved, or somebody stopped stirring. */
function fellAtOnce({ shares }: Optics, lack: number): boolean {
  for (let k = 2; k < shares.length; k++) {
    const [before, after] = [shares[k - 2], shares[k]]
    if (before != null && after != null && before >= clearShare && before - after >= 0.6 * lack) return true
  }
  return false
}

interface Following {
  /** Gain of its changes in radiance on the probe's; null where the probe moved too little to tell. */
  gain: number | null
  correlation: number
}

function followingOf(exam: Examination, index: number, optics: Optics, probe: number): Following {
  const course = (j: number) => upTo(exam.watch.tracks[j] as Track, index)
  const back = Math.min(courseMax, optics.lowMinutes)
  const tail = (j: number) => course(j).slice(-back)
  const line = lineThrough(...radianceChanges(tail(probe), tail(optics.instrument)))
  const [probeChanges] = changesOf(tail(probe), tail(probe), 5, back)
  const moved =
    probeChanges.length < 10 ? 0 : Math.sqrt(probeChanges.reduce((s, d) => s + d * d, 0) / probeChanges.length)
  if (line === null || moved < tellingC || line.deviationX === 0) return { gain: null, correlation: 0 }
  return { gain: line.slope, correlation: line.correlation }
}

/** How both changed in radiance over five minutes; not where their ratio leapt: there a lid was lifted, or laid on. */
function radianceChanges(probe: Course, seen: Course): [number[], number[]] {
  const radiance = (c: number | null) => (c === null ? null : bandRadiance(c))
  const [owns, seens] = [probe.map(radiance), seen.map(radiance)]
  const [xs, ys]: [number[], number[]] = [[], []]
  for (let k = 5; k < Math.min(owns.length, seens.length); k++) {
    const [x0, x1, y0, y1] = [owns[k - 5], owns[k], seens[k - 5], seens[k]]
    if (x0 == null || x1 == null || y0 == null || y1 == null) continue
    if (Math.abs((y1 * x0) / (x1 * y0) - 1) > leap) continue
    xs.push(x1 - x0)
    ys.push(y1 - y0)
  }
  return [xs, ys]
}

/** A probe that leaps is not one to measure a follower by: a top-up, or it touches the element. */
function probeLeaps(exam: Examination, probe: number): boolean {
  const { course } = exam.watch.tracks[probe] as Track
  const [changes] = changesOf(course, course, 5, 45)
  return changes.some((d) => d <= -4 || d >= 18)
}

/** Null never: a low share is never well. Undefined: it cannot be told yet what it is. */
function lowSign(
  station: ExaminedStation,
  exam: Examination,
  frame: Frame,
  optics: Optics,
  probe: number,
): Sign | undefined {
  if (optics.lowMinutes < lowMinutesMin || probeLeaps(exam, probe)) return undefined
  const shares = lately(optics.shares, Math.min(60, optics.lowMinutes))
  const middle = median(shares)
  const third = Math.max(3, Math.floor(shares.length / 3))
  const drifted = Math.abs(median(shares.slice(0, third)) - median(shares.slice(-third)))
  const spread = quantile(shares, 0.9) - quantile(shares, 0.1)
  const { gain, correlation } = followingOf(exam, frame.index, optics, probe)
  const off = gain === null ? 0 : Math.abs(gain - middle)
  const follows = gain !== null && off <= Math.max(followsWithin * middle, 0.02) && correlation >= followsCorrelation
  const strays = gain !== null && (off > Math.max(straysBeyond * middle, 0.04) || correlation < straysCorrelation)
  const evidence: Evidence[] = [shareEvidence(middle)]
  if (gain !== null)
    evidence.push(
      { what: 'share of the probe’s changes', value: gain, unit: '', usual: middle },
      { what: 'correlation of changes', value: correlation, unit: '', usual: 1 },
    )
  else evidence.push({ what: 'drift of the share', value: drifted, unit: '', usual: 0 })
  const wanders = Math.max(drifted, spread / 2) > Math.max(drift * middle, 0.02)
  if (wanders || strays) return blind(probe, evidence, middle)
  if (optics.lowMinutes < steadyMinutes) return undefined
  return steadySign(
    station.instruments[optics.instrument] as ExaminedInstrument,
    optics,
    probe,
    middle,
    evidence,
    follows,
  )
}

function blind(probe: number, evidence: Evidence[], share: number): Sign {
  return {
    kind: 'blind',
    against: probe,
    need,
    evidence,
    ruledOut: [{ kind: 'sees-metal', evidence: { what: 'share above surroundings', value: share, unit: '' } }],
  }
}

/** A target should be twice as wide as the spot (leaflets of instruments); a narrower one than one and a half times lets the rim in. */
function isWide({ infrared }: ExaminedInstrument): boolean {
  return infrared?.spotMm !== undefined && infrared.targetMm !== undefined && infrared.targetMm < 1.5 * infrared.spotMm
}

function targetEvidence({ infrared }: ExaminedInstrument): Evidence {
  return { what: 'target per spot', value: (infrared?.targetMm ?? 0) / (infrared?.spotMm ?? 1), unit: '', usual: 2 }
}

/** A steady share of the wax: metal, or a spot too large; or a lid, which looks the same for a night and is then lifted. */
function steadySign(
  instrument: ExaminedInstrument,
  optics: Optics,
  probe: number,
  share: number,
  evidence: Evidence[],
  follows: boolean,
): Sign | undefined {
  const wide = isWide(instrument)
  if (wide) evidence.push(targetEvidence(instrument))
  const long = optics.lowMinutes >= lidMinutesMax
  const lidlike = share < lidShare && !wide && !long
  if (lidlike && optics.fell && share >= metalShare) return blind(probe, evidence, share)
  const seenEnough =
    optics.lowMinutes >= (optics.clear >= 60 ? metalMinutesAfterClear : metalMinutes) && (follows || long)
  const ruledOut: Doubt['ruledOut'] = [
    { kind: 'blind', evidence: evidence[1] as Evidence },
    { kind: 'emissivity', evidence: evidence[0] as Evidence },
  ]
  // Under a lid even a spot that is too large sees less: what it saw at its best tells what it looks at.
  if (optics.bestLow - share > 0.15) return blind(probe, evidence, share)
  if (share < metalShare)
    return seenEnough ? { kind: 'sees-metal', against: probe, need, evidence, ruledOut } : undefined
  if (lidlike && optics.lowMinutes < 6 * 60) return undefined
  if (!wide && !seenEnough) return undefined
  return { kind: 'spot-too-large', against: probe, need, evidence, ruledOut }
}
