/** An infrared instrument against the probe in the wax: emissivity, metal, a spot too large, the skin, or blind. Judged in radiance, where they are shares. */
import type { Evidence } from '../../contract/index.ts'
import { bandRadiance, bandRadianceSlope } from '../../physics/radiance.ts'
import { lately } from './course.ts'
import type { Departure, Examination, Optics, Watch } from './exam.ts'
import { blind, isDoubted, lidHotMinutes, lowSign, type View } from './low-view.ts'
import { followed, hotC, newOptics, tooMuch, unseen } from './optics.ts'
import { median, quantile } from './robust.ts'
import { type Frame, ambientOf, depthOf } from './roles.ts'
import type { ExaminedInstrument, ExaminedStation } from './station.ts'
import { isTold, type Look, type Sign } from './suspicion.ts'

/** No wax is worked with above this, °C (published: it burns from 190 on). */
const burnsC = 200
/** Where the pot was seen cold, nothing is asked until it has been hot so long: a plug melts over hot wax. Else a little. Minutes. */
const settledFromCold = 60
const settled = 6
/** Surely too little for wax at its best, whatever the honest offsets of both (±1.5 °C and ±0.7 °C at 90 °C, an emissivity out by a
 *  hundredth) and the skin of thin wax that nobody stirs: these make 0.93 between them. */
const surelyLow = 0.925
const clearMin = 40
/** Over days and at every heat less is enough: emissivities of 0.90 to 0.92 against a setting of 0.95 show 0.95 to 0.97 (trade, own arithmetic). */
const longLow = 0.94
const longClear = 450
/** A fall of so much that stays: more than that skin over wax that is itself not mixed; and where it did not come at once, more still. */
const fallen = 0.05
const sunk = 0.07
/** The emissivity of wax, however one looks at it, leaves more than this; less is not only wax (common practice, no source). */
const waxFrom = 0.685
/** So little is hardly a matter of emissivity, where nobody wrote down how large the spot is. */
const waxSurely = 0.74
/** Between two stirrings by hand pass up to so many minutes; what has not come back by then is no skin. */
const unstirred = 33
/** Where a skin has been seen before, longer. */
const unstirredLong = 90
/** A stirred pot brings it back for a moment: so far up at least, of what it lacks, and for no longer than this, minutes. */
const backShare = 0.35
const backLeast = 0.028
const backMinutesMax = 13
/** Looked for in the last hours; and what a sound instrument comes back to where its best is not known yet. */
const backMinutes = 200
const usualBest = 0.95
const topSlack = 0.01
/** The skin of still wax stands several degrees below the bulk (trade arithmetic, rough), °C. */
const skinC = 3.5
/** A probe at the bottom stands above the wax at the top by so much, unstirred, °C. */
const deepC = 2
/** Wax shows a steady share; vapour comes and goes. */
const restlessWax = 0.3
/** Minutes before a departure is looked at. */
const lookFrom = 14
/** A spot known to be wider than the wax explains any steady lack from here on. */
const wideShare = 0.975
const wideFrom = 10
const need = 4

/** The probe to hold it against: of those that can be believed the one nearest to what it sees. */
function probeFor(station: ExaminedStation, exam: Examination, frame: Frame, seen: number): number {
  const usable = frame.roles.flatMap((role, i) =>
    role === 'wax' && frame.values[i] !== null && (frame.values[i] as number) < burnsC && !isDoubted(exam, i)
      ? [i]
      : [],
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
  if (departure === null)
    return [sees, { family: 'infrared', instrument, sign: bestSign(station, frame, optics, probe) }]
  const sign = signOf(station, exam, frame, optics, departure, probe, share)
  const early = fromCold && hotMinutes < settledFromCold
  if (!sign) return share >= waxFrom && sign === null ? [sees, { family: 'infrared', instrument, sign }] : []
  const told = (kind: string) =>
    exam.watch.suspicions.some((s) => s.told && s.instrument === instrument && s.kind === kind)
  // What it was taken for stays, as long as it sees as little as then; but what wanders is no metal.
  if (sign.kind === 'sees-metal' && told('blind') && departure.minutes < lidHotMinutes) return []
  if (sign.kind === 'blind')
    return [
      { family: 'blind', instrument, sign },
      ...(told('sees-metal') ? [{ family: 'infrared', instrument, sign: null } as const] : []),
    ]
  return early ? [] : [sees, { family: 'infrared', instrument, sign }]
}

/** It sees as well as it ever does: is that well enough? */
function bestSign(station: ExaminedStation, frame: Frame, optics: Optics, probe: number): Sign | null {
  const { instrument, best, clear, shares } = optics
  const middle = median(lately(shares, 40))
  const evidence = [{ what: 'share above surroundings', value: middle, unit: '', usual: 1 }]
  const place = station.instruments[instrument] as ExaminedInstrument
  if (isWide(place) && clear >= wideFrom && middle < wideShare) return wideSign(place, evidence, probe)
  const low = clear >= longClear ? longLow : surelyLow
  if (clear < clearMin || best >= low || middle >= low) return null
  const returns = returnsOf(lately(shares, backMinutes), middle, Math.max(best, usualBest))
  if (returns.count > 0) return skinSign(station, frame, optics, probe, middle, returns.top, evidence)
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
  const seesSkin = exam.watch.suspicions.some(
    (s) => s.told && s.instrument === optics.instrument && s.kind === 'sees-skin',
  )
  return waxSign(station, frame, optics, departure, view, probe, seesSkin)
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

function isUnknown({ infrared }: ExaminedInstrument): boolean {
  return infrared?.spotMm === undefined || infrared.targetMm === undefined
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

/** It came back when the pot was stirred: how far was it below? */
function skinSign(
  station: ExaminedStation,
  frame: Frame,
  { best }: Optics,
  probe: number,
  middle: number,
  top: number,
  evidence: readonly Evidence[],
): Sign | null {
  const reached = Math.max(Math.min(top, Math.max(best, usualBest) + topSlack), best)
  const lackC = inDegrees(station, frame, probe, reached - middle)
  const stirred: Evidence = { what: 'share when stirred', value: top, unit: '', usual: 1 }
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

/** Most of a view of wax: its setting, its angle, or the skin. */
function waxSign(
  station: ExaminedStation,
  frame: Frame,
  optics: Optics,
  { minutes, before }: Departure,
  view: View,
  probe: number,
  seesSkin: boolean,
): Sign | null | undefined {
  const { middle, spread, evidence } = view
  const good = Math.max(optics.best, usualBest)
  const returns = returnsOf(lately(optics.shares, backMinutes), middle, good)
  if (spread > restlessWax && returns.count === 0) return blind(probe, evidence, middle)
  if (returns.count > 0) return skinSign(station, frame, optics, probe, middle, returns.top, evidence)
  if (minutes < (seesSkin ? unstirredLong : unstirred)) return undefined
  if (middle < waxSurely && isUnknown(station.instruments[optics.instrument] as ExaminedInstrument))
    return { ...emissivity(probe, evidence, minutes), kind: 'spot-too-large' }
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
