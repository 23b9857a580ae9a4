/** Clocks: the same events come earlier or later with one instrument than with its neighbours, again and again. */
import { type Course, upTo } from './course.ts'
import type { Examination, Heard, Track, Watch } from './exam.ts'
import { type Lag, lagBetween } from './lag.ts'
import { median } from './robust.ts'
import { type Frame, depthOf } from './roles.ts'
import type { ExaminedInstrument, ExaminedStation } from './station.ts'
import { isTold, type Look, type Sign } from './suspicion.ts'

/** Looked at every so many minutes, for up to two hours of lag, over the last hour and a half of a pot, three of what moves slower. */
const every: Record<Scale, number> = { pot: 10, kiln: 20, room: 20 }
const lagMax = 120
type Scale = 'pot' | 'kiln' | 'room'
const windowMinutes: Record<Scale, number> = { pot: 100, kiln: 200, room: 200 }
const leastMinutes: Record<Scale, number> = { pot: 40, kiln: 90, room: 90 }
/** Shifted, a line through both leaves no more than this of how they move, and so many times less than unshifted. */
const leftMost = 0.3
const better = 2.6
const betterBy: Record<Scale, number> = { pot: 0.08, kiln: 0.01, room: 0.05 }
/** Both must have moved: standard deviations, °C (and % for humidity). */
const movedLeast: Record<Scale, number> = { pot: 2.5, kiln: 12, room: 0.4 }
const movedHumidity = 1.5
/** What moves alike by a quite other amount is no twin of it. */
const slopes = [0.55, 1.8] as const
/** What slow tips and moving air make, minutes. */
const honestLag: Record<Scale, number> = { pot: 3.6, kiln: 3, room: 5 }
/** Heat climbs: in a heavy pot what sits higher, and what looks at the surface, comes later by itself; minutes (own arithmetic: 60 kg). */
const climbLag = 8
const need: Record<Scale, number> = { pot: 2, kiln: 2, room: 2 }
/** And each look must find what the one before it found, within these minutes: heat that takes its time never does so twice. */
const sameWithin = 1.2
/** In a pot only liquid wax in clear view: what melts or wears a lid follows late by nature, °C. */
const liquidC = 64
/** After a cold night the heat climbs slowly, and through a plug: so long nothing is asked, minutes. */
const climbMinutes = 200
const seenC = 58
const roomC = 24
const viewShare = 0.7

/** Those whose events are the same events. */
function isPair(station: ExaminedStation, frame: Frame, a: number, b: number): boolean {
  const [ra, rb] = [frame.roles[a], frame.roles[b]]
  if (ra === 'none' || ra === 'kiln-load' || rb === 'none' || rb === 'kiln-load') return false
  if (ra === rb && station.instruments[a]?.place === station.instruments[b]?.place) return true
  return ra !== 'room-air' && rb !== 'room-air' && ra !== 'kiln-air' && rb !== 'kiln-air'
}

export function lookAtClocks(station: ExaminedStation, exam: Examination, frame: Frame): [Watch, readonly Look[]] {
  // Courses are read as they stand, not as of this frame: an instrument whose clock is apart is never in the same frame.
  if (frame.index % every[scaleOf(station)] !== 0 || isMelting(station, exam)) return [exam.watch, []]
  const lags: { a: number; b: number; minutes: number; lag: Lag | null }[] = []
  const n = frame.roles.length
  for (let a = 0; a < n; a++)
    for (let b = a + 1; b < n; b++) {
      if (!isPair(station, frame, a, b) || [a, b].some((i) => isTold(exam.watch.suspicions, i, ['single']))) continue
      const lag = lagOf(station, exam, frame, a, b)
      if (lag === undefined) continue
      const apart = lag !== null && Math.abs(lag.minutes) >= honestOf(station, a, b, lag.minutes)
      lags.push({ a, b, minutes: apart ? (lag as Lag).minutes : 0, lag })
    }
  if (lags.length === 0) return [exam.watch, []]
  const before = exam.watch.lags
  const steady = lags.map((l) => {
    const last = before.find((o) => o.a === l.a && o.b === l.b)
    return last !== undefined && Math.abs(last.minutes - l.minutes) <= sameWithin ? l : { ...l, minutes: 0 }
  })
  const kept = before.filter((o) => !lags.some((l) => l.a === o.a && l.b === o.b))
  const now = [...kept, ...lags.map(({ a, b, minutes }) => ({ a, b, minutes }))]
  return [{ ...exam.watch, lags: now }, looksFrom(exam, steady, need[scaleOf(station)])]
}

function looksFrom(
  exam: Examination,
  lags: readonly { a: number; b: number; minutes: number; lag: Lag | null }[],
  looks: number,
): Look[] {
  const involved = [...new Set(lags.flatMap(({ a, b }) => [a, b]))]
  const apartFrom = (i: number) => lags.filter((l) => (l.a === i || l.b === i) && l.minutes !== 0).length
  const most = Math.max(...involved.map(apartFrom))
  const worst = involved.filter((i) => apartFrom(i) === most)
  const blamed = most === 0 ? -1 : worst.length === 1 ? (worst[0] as number) : byArrival(exam, worst)
  return involved.map((i) => ({ family: 'clocks', instrument: i, sign: i === blamed ? signFor(i, lags, looks) : null }))
}

/** Two that are apart from each other: the one whose time differs more from the present, where the present is known; else the second. */
function byArrival({ watch }: Examination, candidates: readonly number[]): number {
  const apart = (i: number) => {
    const { at, lastAt } = watch.heard[i] as Heard
    return Math.abs(at - lastAt)
  }
  return candidates.reduce((best, i) => (apart(i) >= apart(best) ? i : best), candidates[0] as number)
}

/** Correlation, of what a line leaves unexplained. */
function likeness(left = 1): number {
  return Math.sqrt(Math.max(0, 1 - left * left))
}

function signFor(
  i: number,
  lags: readonly { a: number; b: number; minutes: number; lag: Lag | null }[],
  need: number,
): Sign {
  const mine = lags.filter((l) => (l.a === i || l.b === i) && l.minutes !== 0)
  const first = mine[0] as (typeof mine)[number]
  const minutes = median(mine.map((l) => (l.a === i ? l.minutes : -l.minutes)))
  const unshifted = { what: 'correlation unshifted', value: likeness(first.lag?.unshifted), unit: '', usual: 1 }
  return {
    kind: 'clock-apart',
    against: first.a === i ? first.b : first.a,
    need,
    evidence: [
      { what: 'later by', value: minutes, unit: 'min', usual: 0 },
      { what: 'correlation when shifted', value: likeness(first.lag?.left), unit: '' },
      unshifted,
    ],
    ruledOut: [{ kind: 'stuck', evidence: unshifted }],
  }
}

/** Liquid wax in clear view: under a lid an infrared instrument follows late, whatever its clock. */
function seenWell(course: Course, other: Course, frame: Frame, i: number): Course {
  const role = frame.roles[i]
  if (role !== 'wax' && role !== 'infrared') return course
  return course.map((v, k) => {
    if (v === null || v < (role === 'wax' ? liquidC : seenC)) return null
    if (role === 'wax') return v
    const beside = other[other.length - course.length + k]
    return beside != null && v - roomC < viewShare * (beside - roomC) ? null : v
  })
}

/** How late the first may honestly come after the second, or, below zero, before it. */
function honestOf(station: ExaminedStation, a: number, b: number, minutes: number): number {
  const scale = scaleOf(station)
  if (scale !== 'pot') return honestLag[scale]
  const [late, early] = minutes > 0 ? [a, b] : [b, a]
  return heightOf(station, late) > heightOf(station, early) ? climbLag : honestLag.pot
}

function heightOf(station: ExaminedStation, i: number): number {
  const instrument = station.instruments[i] as ExaminedInstrument
  return instrument.kind === 'infrared' ? 1 : -depthOf(instrument)
}

function isMelting(station: ExaminedStation, { watch }: Examination): boolean {
  return scaleOf(station) === 'pot' && watch.melts.some((m) => m.fromCold && m.otherHot < climbMinutes)
}

const scaleOf = ({ kind }: ExaminedStation): Scale =>
  kind === 'kiln' ? 'kiln' : kind === 'pot' || kind === 'bench-cup' ? 'pot' : 'room'

/** By how many minutes the events of `a` come later than those of `b`. Null: alike at no shift. Undefined: no events to tell by. */
function lagOf(
  station: ExaminedStation,
  exam: Examination,
  frame: Frame,
  a: number,
  b: number,
): Lag | null | undefined {
  const n = station.instruments.length
  const scale = scaleOf(station)
  const dry = lagOfSlots(exam, frame, a, b, 0, scale, movedLeast[scale])
  if (scale !== 'room') return dry
  const damp = lagOfSlots(exam, frame, a, b, n, scale, movedHumidity)
  if (!dry || !damp) return damp ?? dry
  return damp.unshifted / damp.left > dry.unshifted / dry.left ? damp : dry
}

function lagOfSlots(
  exam: Examination,
  frame: Frame,
  a: number,
  b: number,
  base: number,
  scale: Scale,
  moved: number,
): Lag | null | undefined {
  const [ta, tb] = [exam.watch.tracks[base + a] as Track, exam.watch.tracks[base + b] as Track]
  if (ta.end < 0 || tb.end < 0 || Math.abs(ta.end - tb.end) > lagMax) return undefined
  const end = Math.max(ta.end, tb.end)
  const [ca, cb] = [upTo(ta, end), upTo(tb, end)]
  const [xs, ys] = [seenWell(ca, cb, frame, a), seenWell(cb, ca, frame, b)]
  const lag = lagBetween(xs, ys, lagMax, leastMinutes[scale], windowMinutes[scale])
  if (lag === null || lag.moved < moved || lag.movedOther < moved || Math.abs(lag.minutes) >= lagMax - 1)
    return undefined
  if (lag.slope < slopes[0] || lag.slope > slopes[1] || lag.left > leftMost) return undefined
  return lag.unshifted < Math.max(better * lag.left, lag.left + betterBy[scale]) ? null : lag
}
