/** A thermocouple against a neighbour that should show the same: leads reversed, or the wrong type set or built in. */
import type { Evidence } from '../../contract/index.ts'
import { emfMv, temperatureOfEmfC } from '../../physics/thermocouple.ts'
import { type ThermocoupleType, thermocoupleTypes } from '../../physics/its90.ts'
import { changesOf, rangeOf, upTo } from './course.ts'
import type { Examination, Pairing, Track, Watch } from './exam.ts'
import { lineThrough, median } from './robust.ts'
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

/** Bands in which the pair is remembered: of the neighbour's temperature, °C. */
const bandC: Record<'pot' | 'kiln', number> = { pot: 10, kiln: 75 }
const bandFromC = 40
const bands = 16
const bandMinutes = 4
/** While it climbs faster than this, place and lag make pairs differ, °C a minute. */
const slowC: Record<'pot' | 'kiln', number> = { pot: 1.2, kiln: 4 }
const spanC: Record<'pot' | 'kiln', number> = { pot: 25, kiln: 200 }
/** Tolerances are below 1 % and 2.5 °C each; a wrong type is off by more at the hottest. In a pot also by more than layers are: type T
 *  for K, 4 °C at 100 °C, cannot be told from those. */
const offC = 6
const offShare: Record<'pot' | 'kiln', number> = { pot: 0.12, kiln: 0.035 }
/** What the other type leaves unexplained, at most; and how many times smaller than what it explains. */
const leftC = 3
const leftShare = 0.012
const explains = 4
/** Terminals of a converter sit near the workshop's temperature (common practice, no source). */
const terminalsC = 25
const wrongNeed = 3
/** Looked at every so many minutes: tables are searched. */
const every = 10
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
  return wrongTypeSign(station, pairing, i, j)
}

function coursesOf({ watch }: Examination, frame: Frame, i: number, j: number) {
  return [upTo(watch.tracks[i] as Track, frame.index), upTo(watch.tracks[j] as Track, frame.index)] as const
}

function reversedSign(exam: Examination, frame: Frame, i: number, j: number): Sign | null {
  const [own, other] = [frame.values[i] as number, frame.values[j] as number]
  if (own > reversedMaxC || other < own + 1.4 * climbC) return null
  const [mine, theirs] = coursesOf(exam, frame, i, j)
  if (rangeOf(theirs, oppositeMinutes) < climbC && own > -10) return null
  const [changes, others] = changesOf(mine, theirs, 5, oppositeMinutes)
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

function runsAlong(exam: Examination, frame: Frame, i: number, j: number): boolean {
  const [mine, theirs] = coursesOf(exam, frame, i, j)
  const line = lineThrough(...changesOf(theirs, mine, 5, oppositeMinutes))
  return line !== null && line.correlation > 0.8 && line.slope > 0.3 && line.deviationX > 0.5
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
  const [va, vb] = [frame.values[a] as number, frame.values[b] as number]
  // A lid, metal or a skin make an infrared instrument read low: only what it reads high says something of the probe.
  const [seen, own] = frame.roles[a] === 'infrared' ? [va, vb] : [vb, va]
  if ((frame.roles[a] === 'infrared' || frame.roles[b] === 'infrared') && seen < own - 1) return pairings
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
  const agrees = far && now.n >= 30 && Math.abs(now.a - now.b) <= Math.max(2, agreedShare * Math.max(va, vb))
  const after = { ...before, agreed: before.agreed || agrees, bands: before.bands.with(band, now) }
  return place < 0 ? [...pairings, after] : pairings.with(place, after)
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
}

function asType(set: ThermocoupleType, type: ThermocoupleType, reads: number): number | null {
  const [shown, at, truly] = [emfMv(set, reads), emfMv(set, terminalsC), emfMv(type, terminalsC)]
  return shown === null || at === null || truly === null ? null : temperatureOfEmfC(type, shown - at + truly)
}

function fitOf(
  set: ThermocoupleType,
  type: ThermocoupleType,
  points: readonly (readonly [number, number])[],
): Fit | null {
  let [left, raw, hottestC] = [0, 0, 0]
  for (const [reads, other] of points) {
    const would = asType(set, type, reads)
    if (would === null) return null
    // Each degree of tolerance grows with the temperature: what is left is counted as at the hottest.
    left = Math.max(left, Math.abs(would - other) - 0.004 * other)
    raw = Math.max(raw, Math.abs(reads - other))
    hottestC = Math.max(hottestC, other)
  }
  return { type, left, raw, hottestC }
}

function bestFit(set: ThermocoupleType, points: readonly (readonly [number, number])[]): Fit | null {
  let best: Fit | null = null
  for (const type of thermocoupleTypes) {
    const fit = type === set ? null : fitOf(set, type, points)
    if (fit && (best === null || fit.left < best.left)) best = fit
  }
  return best
}

function isWrong({ left, raw, hottestC }: Fit, least: number): boolean {
  return (
    raw >= Math.max(offC, least * hottestC) &&
    left <= Math.max(leftC, leftShare * hottestC) &&
    raw >= explains * Math.max(left, 0.5)
  )
}

function wrongTypeSign(station: ExaminedStation, pairing: Pairing, i: number, j: number): Sign | null | undefined {
  if (pairing.agreed) return null
  const known = pairing.bands.filter(({ n }) => n >= bandMinutes)
  const points = known.map((band) => (i === pairing.a ? ([band.a, band.b] as const) : ([band.b, band.a] as const)))
  const others = points.map(([, other]) => other)
  if (points.length < 3 || Math.max(...others) - Math.min(...others) < spanC[scaleOf(station)]) return undefined
  const set = typeOf(station, i)
  const fit = bestFit(set, points)
  const least = offShare[scaleOf(station)]
  if (fit === null || !isWrong(fit, least)) return null
  // The neighbour may be the wrong one: whichever is explained better is doubted.
  const otherWay = isThermocouple(station.instruments[j] as ExaminedInstrument)
    ? bestFit(
        typeOf(station, j),
        points.map(([reads, other]) => [other, reads] as const),
      )
    : null
  if (otherWay && isWrong(otherWay, least) && otherWay.left < fit.left) return null
  const share = median(points.map(([reads, other]) => (reads - terminalsC) / (other - terminalsC)))
  const evidence: Evidence[] = [
    { what: 'off at the hottest by', value: fit.raw, unit: '°C', usual: 0 },
    { what: 'share above terminals', value: share, unit: '', usual: 1 },
    { what: `left over if it were type ${fit.type}`, value: fit.left, unit: '°C' },
  ]
  return {
    kind: 'wrong-type',
    against: j,
    need: wrongNeed,
    evidence,
    ruledOut: [{ kind: 'ageing', evidence: { what: 'off from the first', value: 1, unit: '' } }],
  }
}

/** Type K is what workshops use where nothing else is said (common practice, no source). */
function typeOf(station: ExaminedStation, i: number): ThermocoupleType {
  return station.instruments[i]?.thermocouple ?? 'K'
}
