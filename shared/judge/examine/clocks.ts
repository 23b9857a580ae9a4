/** Clocks: the same events come earlier or later with one instrument than with its neighbours, again and again. */
import { type Course, upTo } from './course.ts'
import type { Examination, Heard, Track, Watch } from './exam.ts'
import { median } from './robust.ts'
import type { Frame } from './roles.ts'
import type { ExaminedStation } from './station.ts'
import { isTold, type Look, type Sign } from './suspicion.ts'

/** Looked at every half hour, over the last three hours, for up to 25 minutes of lag. */
const every = 30
const windowMinutes = 180
const lagMax = 25
const changesMin = 90
/** The two must run alike once shifted, and clearly more so than unshifted. */
const alike = 0.84
const better = 0.06
/** Both must have had events: changes of so many times the smallest, °C in three minutes. */
const eventC: Record<'near' | 'far', number> = { near: 0.3, far: 0.3 }
/** What heat itself takes from one to the other, minutes: twins side by side; the depths of a pot, where warmth climbs for two or three
 *  minutes (own arithmetic: 6 kg, unstirred). */
const honestLag: Record<'near' | 'far', number> = { near: 1.6, far: 3.4 }
const need = 4
/** And each look must find what the one before it found, within these minutes: heat that takes its time never does so twice. */
const sameWithin = 1.2
/** In a pot only liquid wax in clear view: what melts or wears a lid follows late by nature, °C. */
const liquidC = 66
const seenC = 60

interface Lag {
  minutes: number
  correlation: number
  unshifted: number
}

function nearness(station: ExaminedStation, frame: Frame, a: number, b: number): 'near' | 'far' | null {
  const [ra, rb] = [frame.roles[a], frame.roles[b]]
  if (ra === 'none' || ra === 'kiln-load' || rb === 'none' || rb === 'kiln-load') return null
  if (ra === rb && station.instruments[a]?.place === station.instruments[b]?.place) return 'near'
  if (ra === 'room-air' || rb === 'room-air' || ra === 'kiln-air' || rb === 'kiln-air') return null
  return 'far'
}

export function lookAtClocks(station: ExaminedStation, exam: Examination, frame: Frame): [Watch, readonly Look[]] {
  // Courses are read as they stand, not as of this frame: an instrument whose clock is apart is never in the same frame.
  if (frame.index % every !== 0) return [exam.watch, []]
  const lags: { a: number; b: number; minutes: number; lag: Lag | null; far: boolean }[] = []
  const n = frame.roles.length
  for (let a = 0; a < n; a++)
    for (let b = a + 1; b < n; b++) {
      const near = nearness(station, frame, a, b)
      if (
        near === null ||
        isTold(exam.watch.suspicions, a, ['single', 'pair']) ||
        isTold(exam.watch.suspicions, b, ['single', 'pair'])
      )
        continue
      const lag = lagOf(exam, frame, a, b, near)
      if (lag === undefined) continue
      const apart = lag !== null && Math.abs(lag.minutes) >= honestLag[near]
      lags.push({ a, b, minutes: apart ? (lag as Lag).minutes : 0, lag, far: near === 'far' })
    }
  if (lags.length === 0) return [exam.watch, []]
  const before = exam.watch.lags
  const steady = lags.map((l) => {
    const last = before.find((o) => o.a === l.a && o.b === l.b)
    return last !== undefined && Math.abs(last.minutes - l.minutes) <= sameWithin ? l : { ...l, minutes: 0 }
  })
  const kept = before.filter((o) => !lags.some((l) => l.a === o.a && l.b === o.b))
  const now = [...kept, ...lags.map(({ a, b, minutes }) => ({ a, b, minutes }))]
  return [{ ...exam.watch, lags: now }, looksFrom(exam, steady)]
}

function looksFrom(
  exam: Examination,
  lags: readonly { a: number; b: number; minutes: number; lag: Lag | null }[],
): Look[] {
  const involved = [...new Set(lags.flatMap(({ a, b }) => [a, b]))]
  const apartFrom = (i: number) => lags.filter((l) => (l.a === i || l.b === i) && l.minutes !== 0).length
  const most = Math.max(...involved.map(apartFrom))
  const worst = involved.filter((i) => apartFrom(i) === most)
  const blamed = most === 0 ? -1 : worst.length === 1 ? (worst[0] as number) : byArrival(exam, worst)
  return involved.map((i) => ({ family: 'clocks', instrument: i, sign: i === blamed ? signFor(i, lags) : null }))
}

/** Two that are apart from each other: the one whose time differs more from the present, where the present is known; else the second. */
function byArrival({ watch }: Examination, candidates: readonly number[]): number {
  const apart = (i: number) => {
    const { at, lastAt } = watch.heard[i] as Heard
    return Math.abs(at - lastAt)
  }
  return candidates.reduce((best, i) => (apart(i) >= apart(best) ? i : best), candidates[0] as number)
}

function signFor(i: number, lags: readonly { a: number; b: number; minutes: number; lag: Lag | null }[]): Sign {
  const mine = lags.filter((l) => (l.a === i || l.b === i) && l.minutes !== 0)
  const first = mine[0] as (typeof mine)[number]
  const minutes = median(mine.map((l) => (l.a === i ? l.minutes : -l.minutes)))
  const unshifted = { what: 'correlation unshifted', value: first.lag?.unshifted ?? 0, unit: '', usual: 1 }
  return {
    kind: 'clock-apart',
    against: first.a === i ? first.b : first.a,
    need,
    evidence: [
      { what: 'later by', value: minutes, unit: 'min', usual: 0 },
      { what: 'correlation when shifted', value: first.lag?.correlation ?? 0, unit: '' },
      unshifted,
    ],
    ruledOut: [{ kind: 'stuck', evidence: unshifted }],
  }
}

function seenWell(course: Course, frame: Frame, i: number): Course {
  const least = frame.roles[i] === 'wax' ? liquidC : frame.roles[i] === 'infrared' ? seenC : -Infinity
  return course.slice(-windowMinutes).map((v) => (v !== null && v >= least ? v : null))
}

/** Changes over three minutes, in which a coarse readout has moved; null where either end was unseen. */
function steps(course: Course): (number | null)[] {
  return course.map((value, k) => {
    const before = course[k - 3]
    return value == null || before == null ? null : value - before
  })
}

/** By how many minutes the events of `a` come later than those of `b`. Null: alike at no shift. Undefined: no events to tell by. */
function lagOf(exam: Examination, frame: Frame, a: number, b: number, near: 'near' | 'far'): Lag | null | undefined {
  const [ta, tb] = [exam.watch.tracks[a] as Track, exam.watch.tracks[b] as Track]
  if (ta.end < 0 || tb.end < 0 || Math.abs(ta.end - tb.end) > lagMax + 5) return undefined
  const end = Math.min(ta.end, tb.end, frame.index + lagMax)
  const xs = steps(seenWell(upTo(ta, end), frame, a))
  const ys = steps(seenWell(upTo(tb, end), frame, b))
  if (!hasEvents(xs, eventC[near]) || !hasEvents(ys, eventC[near])) return undefined
  const at = new Map<number, number>()
  for (let lag = -lagMax; lag <= lagMax; lag++) at.set(lag, correlationAt(xs, ys, lag))
  let best = 0
  for (const [lag, r] of at) if (r > (at.get(best) as number)) best = lag
  const [correlation, unshifted] = [at.get(best) as number, at.get(0) as number]
  if (correlation < alike) return undefined
  if (best === 0 || correlation - unshifted < better) return null
  if (Math.abs(best) === lagMax) return undefined
  const [left, right] = [at.get(best - 1) ?? correlation, at.get(best + 1) ?? correlation]
  const bend = left - 2 * correlation + right
  const offset = bend < 0 ? (0.5 * (left - right)) / bend : 0
  return { minutes: Math.round((best + offset) * 10) / 10, correlation, unshifted }
}

function hasEvents(changes: readonly (number | null)[], perMinuteC: number): boolean {
  const seen = changes.filter((c) => c !== null)
  if (seen.length < changesMin) return false
  const mean = seen.reduce((s, c) => s + c, 0) / seen.length
  return Math.sqrt(seen.reduce((s, c) => s + (c - mean) ** 2, 0) / seen.length) >= perMinuteC
}

/** Correlation of `xs[k + lag]` with `ys[k]`. */
function correlationAt(xs: readonly (number | null)[], ys: readonly (number | null)[], lag: number): number {
  const n = Math.min(xs.length, ys.length)
  const [x0, y0] = [xs.length - n, ys.length - n]
  let [c, sx, sy, sxx, syy, sxy] = [0, 0, 0, 0, 0, 0]
  for (let k = Math.max(0, -lag); k < n - Math.max(0, lag); k++) {
    const [x, y] = [xs[x0 + k + lag], ys[y0 + k]]
    if (x == null || y == null) continue
    c++
    sx += x
    sy += y
    sxx += x * x
    syy += y * y
    sxy += x * y
  }
  const [vx, vy] = [sxx / c - (sx / c) ** 2, syy / c - (sy / c) ** 2]
  return c < changesMin / 2 || vx <= 0 || vy <= 0 ? -1 : (sxy / c - (sx / c) * (sy / c)) / Math.sqrt(vx * vy)
}
