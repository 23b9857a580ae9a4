/** A thermocouple against a neighbour that should show the same: leads reversed, or the wrong type set or built in. */
import type { Evidence } from '../../contract/index.ts'
import { bandRadiance } from '../../physics/radiance.ts'
import { emfMv, temperatureOfEmfC } from '../../physics/thermocouple.ts'
import { type ThermocoupleType, thermocoupleTypes } from '../../physics/its90.ts'
import { changesOf, rangeOf, upTo } from './course.ts'
import type { Examination, Pairing, Track, Watch } from './exam.ts'
import { lineThrough, median, quantile } from './robust.ts'
import type { Frame } from './roles.ts'
import type { ExaminedInstrument, ExaminedStation } from './station.ts'
import { isTold, type Look, type Sign } from './suspicion.ts'

/** Falls while the other climbs: how far the other must climb, and how opposite the two must run, in the last hour and a half. */
const climbC = 12
const oppositeMinutes = 90
const oppositeCorrelation = -0.7
const oppositeSlope = -0.35
/** Reversed, it shows as far below its terminals as they lie below the truth: never above a warm workshop. °C. */
const reversedMaxC = 32
const frostC = -8
const reversedNeed = 5
/** So little it moves in some minutes: no loose contact. °C. */
const aliveC = 5

/** Bands in which the pair is remembered: of the neighbour's temperature, °C. */
const bandC: Record<'pot' | 'kiln', number> = { pot: 6, kiln: 50 }
const bandFromC = 40
const bands = 22
const bandMinutes = 3
/** While it climbs faster than this, place and lag make pairs differ, °C a minute. */
const slowC: Record<'pot' | 'kiln', number> = { pot: 2.5, kiln: 4 }
const spanC: Record<'pot' | 'kiln', number> = { pot: 11, kiln: 150 }
/** Tolerances are below 1 % and 2.5 °C each; a wrong type is off by more at the hottest. What is off by little needs a wider span, for
 *  layers and skins are off by a little too. */
const offC = 3.4
const offShare: Record<'pot' | 'kiln', number> = { pot: 0.03, kiln: 0.024 }
const littleShare: Record<'pot' | 'kiln', number> = { pot: 0.1, kiln: 0.04 }
const littleSpanC: Record<'pot' | 'kiln', number> = { pot: 25, kiln: 300 }
/** What the other type leaves unexplained, at most; and how many times smaller than what it explains. */
const leftC = 3
const leftShare = 0.012
const leftOfRaw = 0.04
const explains = 4
/** Without that type, one distance for all temperatures must leave so many times more: what is only apart is not of another type. */
const apartTimes = 1.4
/** Shares of radiance that neither wax nor metal nor a lid shows to an infrared instrument (rough, own arithmetic). */
const oddShares = [0.55, 0.685] as const
/** A plug is through after so long, and what is hotter than this is liquid. */
const meltMinutes = 150
const liquidC = 66
/** No wax is worked with above this, °C (published: it burns from 190 on). */
const burnsC = 200
/** Terminals of a converter sit near the workshop's temperature (common practice, no source). */
const terminalsC = 25
/** What is off by little is looked at for longer: a stirrer may yet end it. */
const wrongNeed = 2
const littleNeed = 8
const muchShare = 0.2
/** Looked at every so many minutes: tables are searched. */
const every = 5
/** Of its usual share off, so little left, for so many minutes. */
const vanishedShare = 0.4
const vanishedMinutes = 3
/** They agree, once: then the type is right. */
const agreedShare = 0.012
const agreedFromC = 75

const isThermocouple = ({ kind }: ExaminedInstrument): boolean => kind === 'thermocouple'

function isPair(station: ExaminedStation, frame: Frame, a: number, b: number): boolean {
  const [ra, rb] = [frame.roles[a], frame.roles[b]]
  const [ia, ib] = [station.instruments[a] as ExaminedInstrument, station.instruments[b] as ExaminedInstrument]
  if (!isThermocouple(ia) && !isThermocouple(ib)) return false
  if (ra === 'kiln-air') return rb === 'kiln-air' || rb === 'kiln-load'
  if (ra === 'kiln-load') return rb === 'kiln-air'
  if (ra === 'wax') return rb === 'wax' || rb === 'infrared'
  return ra === 'infrared' && rb === 'wax'
}

export function lookAtPairs(station: ExaminedStation, exam: Examination, frame: Frame): [Watch, readonly Look[]] {
  const looks: Look[] = []
  let pairings = exam.watch.pairings
  const verdicts = new Map<number, Sign | null>()
  for (let a = 0; a < frame.roles.length; a++)
    for (let b = a + 1; b < frame.roles.length; b++) {
      if (frame.values[a] == null || frame.values[b] == null || !isPair(station, frame, a, b)) continue
      pairings = remembered(station, exam, frame, pairings, a, b)
      const pairing = pairings.find((p) => p.a === a && p.b === b)
      for (const [i, j] of [
        [a, b],
        [b, a],
      ] as const)
        note(verdicts, i, signOf(station, exam, frame, pairing, i, j))
    }
  for (const [instrument, sign] of verdicts) looks.push({ family: 'pair', instrument, sign })
  return [pairings === exam.watch.pairings ? exam.watch : { ...exam.watch, pairings }, looks]
}

/** A sign against one neighbour stands, even where another neighbour shows nothing. */
function note(verdicts: Map<number, Sign | null>, i: number, sign: Sign | null | undefined): void {
  if (sign === undefined || verdicts.get(i)) return
  verdicts.set(i, sign)
}

function signOf(
  station: ExaminedStation,
  exam: Examination,
  frame: Frame,
  pairing: Pairing | undefined,
  i: number,
  j: number,
): Sign | null | undefined {
  if (!isThermocouple(station.instruments[i] as ExaminedInstrument)) return undefined
  const others = ['pair', 'single'] as const
  if (isTold(exam.watch.suspicions, j, others)) return undefined
  const reversed = reversedSign(exam, frame, i, j)
  if (reversed) return reversed
  const known = exam.watch.suspicions.find((s) => s.instrument === i && s.family === 'pair')
  // What it was taken for stays until its readings run with its neighbour's again.
  if (known?.kind === 'reversed') return runsAlong(exam, frame, i, j) ? null : undefined
  if (frame.index % every !== 0 || pairing === undefined) return undefined
  return wrongTypeSign(station, exam, frame, pairing, i, j)
}

function coursesOf({ watch }: Examination, frame: Frame, i: number, j: number) {
  return [upTo(watch.tracks[i] as Track, frame.index), upTo(watch.tracks[j] as Track, frame.index)] as const
}

function reversedSign(exam: Examination, frame: Frame, i: number, j: number): Sign | null {
  const [own, other] = [frame.values[i] as number, frame.values[j] as number]
  if (own > reversedMaxC || other < own + 1.4 * climbC) return null
  const [mine, theirs] = coursesOf(exam, frame, i, j)
  if (rangeOf(theirs, oppositeMinutes) < climbC && own > frostC) return null
  // Only since it is as cold as that: leads are changed over with the probe.
  const [changes, others] = changesOf(mine, theirs, 5, Math.min(oppositeMinutes, sinceCold(mine)))
  // At the end of its scale it cannot fall further; an open input would be dumb there.
  const { run } = exam.watch.tracks[i] as Track
  if (own < frostC && other > own + 60 && sinceCold(mine) >= 10 && run < 3 && rangeOf(mine, 6) <= aliveC)
    return {
      kind: 'reversed',
      against: j,
      need: reversedNeed,
      evidence: [{ what: 'below the other by', value: other - own, unit: '°C', usual: 0 }],
      ruledOut: [{ kind: 'open-circuit', evidence: { what: 'repeats', value: run, unit: '' } }],
    }
  const line = lineThrough(others, changes)
  if (line === null || line.count < 6) return null
  // Colder than any workshop while the other is hot: then only the way it moves must be opposite.
  const frozen = own < frostC && other > own + 60
  if (line.correlation > (frozen ? oppositeCorrelation / 2 : oppositeCorrelation)) return null
  if (line.slope > (frozen ? oppositeSlope / 3 : oppositeSlope)) return null
  return {
    kind: 'reversed',
    against: j,
    need: reversedNeed,
    evidence: [
      { what: 'slope against the other', value: line.slope, unit: '', usual: 1 },
      { what: 'correlation of changes', value: line.correlation, unit: '', usual: 1 },
    ],
    ruledOut: [
      { kind: 'out-of-wax', evidence: { what: 'slope against the other', value: line.slope, unit: '' } },
      { kind: 'open-circuit', evidence: { what: 'correlation of changes', value: line.correlation, unit: '' } },
    ],
  }
}

function sinceCold(course: readonly (number | null)[]): number {
  let minutes = 0
  for (let k = course.length - 1; k >= 0; k--) {
    const value = course[k]
    if (value != null && value > reversedMaxC) break
    minutes++
  }
  return minutes
}

function runsAlong(exam: Examination, frame: Frame, i: number, j: number): boolean {
  const [mine, theirs] = coursesOf(exam, frame, i, j)
  const line = lineThrough(...changesOf(theirs, mine, 5, oppositeMinutes))
  return line !== null && line.correlation > 0.8 && line.slope > 0.3 && line.deviationX > 0.5
}

/** After the pot was cold a plug takes its time: what is not as hot as liquid wax then shows nothing of its type. */
function mayBeSolid({ watch }: Examination, frame: Frame, i: number): boolean {
  const melt = watch.melts[i]
  return melt?.fromCold === true && melt.otherHot < meltMinutes && (frame.values[i] as number) < liquidC
}

const scaleOf = (station: ExaminedStation): 'pot' | 'kiln' => (station.kind === 'kiln' ? 'kiln' : 'pot')

/** Keeps both means in the band of the one that is believed to be hotter, where nothing moves fast. */
function remembered(
  station: ExaminedStation,
  exam: Examination,
  frame: Frame,
  pairings: readonly Pairing[],
  a: number,
  b: number,
): readonly Pairing[] {
  const scale = scaleOf(station)
  if (scale === 'pot' && [a, b].some((i) => mayBeSolid(exam, frame, i))) return pairings
  const [va, vb] = [frame.values[a] as number, frame.values[b] as number]
  // A lid, metal or a skin make an infrared instrument read low: only what it reads high says something of the probe.
  // And what is too little for any wax, and too much for metal and lids.
  const [seen, own] = frame.roles[a] === 'infrared' ? [va, vb] : [vb, va]
  const isBetween = own > burnsC || (own > liquidC && isOdd(seen, own))
  if ((frame.roles[a] === 'infrared' || frame.roles[b] === 'infrared') && seen < own - 1 && !isBetween) return pairings
  const place = pairings.findIndex((p) => p.a === a && p.b === b)
  const empty = { n: 0, a: 0, b: 0 }
  const before = pairings[place] ?? { a, b, agreed: false, bands: Array.from({ length: bands }, () => empty) }
  const band = Math.floor((Math.max(va, vb) - bandFromC) / bandC[scale])
  const known = before.bands[band]
  if (
    !known ||
    !isSlow(exam, frame, a, b, slowC[scale], frame.roles.includes('kiln-load') && frame.roles[b] === 'kiln-load')
  )
    return pairings
  const weight = 1 / Math.min(known.n + 1, 120)
  const kept = (value: number, next: number) => Math.round((value + weight * (next - value)) * 100) / 100
  const now = { n: Math.min(known.n + 1, 120), a: kept(known.a, va), b: kept(known.b, vb) }
  const far = Math.min(va, vb) >= agreedFromC + (scale === 'kiln' ? 175 : 0)
  const agrees = far && now.n >= 30 && Math.abs(now.a - now.b) <= Math.max(1.2, agreedShare * Math.max(va, vb))
  const after = { ...before, agreed: before.agreed || agrees, bands: before.bands.with(band, now) }
  return place < 0 ? [...pairings, after] : pairings.with(place, after)
}

function isOdd(seenC: number, ownC: number): boolean {
  const [seen, own, around] = [bandRadiance(seenC), bandRadiance(ownC), bandRadiance(terminalsC)]
  if (seen === null || own === null || around === null) return false
  const share = (seen - around) / (own - around)
  return share >= oddShares[0] && share <= oddShares[1]
}

function isSlow(exam: Examination, frame: Frame, a: number, b: number, perMinuteC: number, load: boolean): boolean {
  const [mine, theirs] = coursesOf(exam, frame, a, b)
  // A load follows its air by hours: only a long rest compares them.
  if (load) return rangeOf(mine, 60) <= 3 && rangeOf(theirs, 60) <= 3
  return rangeOf(mine, 4) <= 3 * perMinuteC && rangeOf(theirs, 4) <= 3 * perMinuteC
}

interface Fit {
  type: ThermocoupleType
  left: number
  raw: number
  hottestC: number
  /** What one distance at all temperatures would leave. */
  apart: number
}

/** What an instrument set to one type shows, where the other type is built in and the place is at this temperature. */
function shownAs(set: ThermocoupleType, built: ThermocoupleType, trulyC: number): number | null {
  const [hot, cold, terminals] = [emfMv(built, trulyC), emfMv(built, terminalsC), emfMv(set, terminalsC)]
  return hot === null || cold === null || terminals === null ? null : temperatureOfEmfC(set, hot - cold + terminals)
}

function fitOf(
  set: ThermocoupleType,
  type: ThermocoupleType,
  points: readonly (readonly [number, number])[],
): Fit | null {
  const lefts: number[] = []
  let [raw, hottestC] = [0, 0]
  for (const [reads, other] of points) {
    const would = shownAs(set, type, other)
    if (would === null) return null
    // Each degree of tolerance grows with the temperature: what is left is counted as at the hottest.
    lefts.push(Math.max(0, Math.abs(would - reads) - 0.004 * other))
    raw = Math.max(raw, Math.abs(reads - other))
    hottestC = Math.max(hottestC, other)
  }
  const distances = points.map(([reads, other]) => reads - other)
  const apart = (Math.max(...distances) - Math.min(...distances)) / 2
  return { type, left: quantile(lefts, 0.8), raw, hottestC, apart }
}

function bestFit(set: ThermocoupleType, points: readonly (readonly [number, number])[]): Fit | null {
  let best: Fit | null = null
  for (const type of thermocoupleTypes) {
    const fit = type === set ? null : fitOf(set, type, points)
    if (fit && (best === null || fit.left < best.left)) best = fit
  }
  return best
}

function isWrong({ left, raw, hottestC, apart }: Fit, scale: 'pot' | 'kiln', span: number): boolean {
  if (raw < littleShare[scale] * hottestC && span < littleSpanC[scale]) return false
  return (
    raw >= Math.max(offC, offShare[scale] * hottestC) &&
    left <= Math.max(leftC, leftShare * hottestC, leftOfRaw * raw) &&
    raw >= explains * Math.max(left, 0.5) &&
    apart >= apartTimes * Math.max(left, 0.3)
  )
}

/** The two came together although the pot was as hot: what stirring ends was no type. */
function hasVanished(exam: Examination, frame: Frame, i: number, j: number): boolean {
  const [mine, theirs] = coursesOf(exam, frame, i, j)
  const offs: number[] = []
  for (let k = 1; k <= Math.min(mine.length, theirs.length); k++) {
    const [x, y] = [mine[mine.length - k], theirs[theirs.length - k]]
    if (x != null && y != null && y > liquidC) offs.push((x - terminalsC) / (y - terminalsC) - 1)
  }
  const usual = median(offs)
  const near = offs.filter((off) => Math.abs(off) < vanishedShare * Math.abs(usual)).length
  return near >= vanishedMinutes
}

function wrongTypeSign(
  station: ExaminedStation,
  exam: Examination,
  frame: Frame,
  pairing: Pairing,
  i: number,
  j: number,
): Sign | null | undefined {
  if (pairing.agreed) return null
  const known = pairing.bands.filter(({ n }) => n >= bandMinutes)
  const points = known.map((band) => (i === pairing.a ? ([band.a, band.b] as const) : ([band.b, band.a] as const)))
  const others = points.map(([, other]) => other)
  const [scale, span] = [scaleOf(station), Math.max(...others) - Math.min(...others)]
  if (points.length < 3 || span < spanC[scale]) return undefined
  // Tables are searched only where the two are apart.
  if (points.every(([reads, other]) => Math.abs(reads - other) < Math.max(offC, offShare[scale] * other))) return null
  const set = typeOf(station, i)
  const fit = bestFit(set, points)
  if (fit === null || !isWrong(fit, scale, span)) return null
  if (scale === 'pot' && hasVanished(exam, frame, i, j)) return null
  // The neighbour may be the wrong one: whichever is explained better is doubted.
  const otherWay = isThermocouple(station.instruments[j] as ExaminedInstrument)
    ? bestFit(
        typeOf(station, j),
        points.map(([reads, other]) => [other, reads] as const),
      )
    : null
  if (otherWay && isWrong(otherWay, scale, span) && otherWay.left < fit.left) return null
  const share = median(points.map(([reads, other]) => (reads - terminalsC) / (other - terminalsC)))
  const evidence: Evidence[] = [
    { what: 'off at the hottest by', value: fit.raw, unit: '°C', usual: 0 },
    { what: 'share above terminals', value: share, unit: '', usual: 1 },
    { what: `left over if it were type ${fit.type}`, value: fit.left, unit: '°C' },
  ]
  return {
    kind: 'wrong-type',
    against: j,
    need: scale === 'pot' && fit.raw < muchShare * fit.hottestC ? littleNeed : wrongNeed,
    evidence,
    ruledOut: [{ kind: 'ageing', evidence: { what: 'off from the first', value: 1, unit: '' } }],
  }
}

/** Type K is what workshops use where nothing else is said (common practice, no source). */
function typeOf(station: ExaminedStation, i: number): ThermocoupleType {
  return station.instruments[i]?.thermocouple ?? 'K'
}
