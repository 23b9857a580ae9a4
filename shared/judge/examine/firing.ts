/** Kilns, firing by firing: where each pair stands still, how it stood in the firings before, and what that says. */
import { driftLook, movedLook } from './drift.ts'
import { type Course, upTo } from './course.ts'
import type { Examination, Firing, Life, Rest, Seen, Still, Track, Watch } from './exam.ts'
import { livesAfter, orderFromC, orderToC } from './lives.ts'
import { lookAtRest, restAfter } from './ordering.ts'
import type { Frame } from './roles.ts'
import type { ExaminedStation } from './station.ts'
import { isTold, type Look } from './suspicion.ts'

/** A firing begins above this and ends when all is colder than the other for half an hour, °C. */
const firingFromC = 200
const firingToC = 120
const endMinutes = 30
/** Unseen for so long, it is over. */
const unseenMs = 8 * 3_600_000
/** Still: within so many degrees for so long. Where the air still climbs, pairs differ by place and lag. */
const stillMinutes = 15
const stillC = 5
const loadStillMinutes = 30
const loadStillC = 3
/** Bands of 100 °C; a pair counts in one after so many still minutes. */
export const bandC = 100
const countsAfter = 25
const firstLook = 30
const forgetsBand = 6
const forgetsAfter = 20
const pastMax = 120
const differencesMax = 60

interface Pair {
  a: number
  b: number
  load: boolean
}

function pairsOf(exam: Examination, frame: Frame): Pair[] {
  const usable = (i: number) => frame.values[i] != null && !isTold(exam.watch.suspicions, i, ['single', 'pair'])
  const airs = frame.roles.flatMap((role, i) => (role === 'kiln-air' && usable(i) ? [i] : []))
  const loads = frame.roles.flatMap((role, i) => (role === 'kiln-load' && usable(i) ? [i] : []))
  return [
    ...airs.flatMap((a, k) => airs.slice(k + 1).map((b) => ({ a, b, load: false }))),
    ...airs.flatMap((a) => loads.map((b) => ({ a, b, load: true }))),
  ]
}

export function lookAtFiring(station: ExaminedStation, exam: Examination, frame: Frame): [Watch, readonly Look[]] {
  if (station.kind !== 'kiln') return [exam.watch, []]
  const hottest = frame.values.reduce<number>(
    (most, v, i) => (v !== null && frame.roles[i] === 'kiln-air' && v > most ? v : most),
    -Infinity,
  )
  const { firing } = exam.watch
  if (firing === null) return hottest >= firingFromC ? [begun(exam.watch, frame), []] : [exam.watch, []]
  const cold = hottest < firingToC ? firing.coldMinutes + 1 : 0
  if (cold >= endMinutes || frame.t - firing.at > unseenMs) return finished(station, exam, firing)
  return going(station, exam, frame, { ...firing, coldMinutes: cold, at: frame.t })
}

function begun(watch: Watch, frame: Frame): Watch {
  const number = watch.firings + 1
  return { ...watch, firings: number, firing: { number, at: frame.t, coldMinutes: 0, still: [], rests: [] } }
}

/** It stands: by the means of its thirds, for a flame flickers by more than the kiln moves. */
function isStill(course: Course, minutes: number, withinC: number): boolean {
  if (course.length < minutes || course[course.length - minutes] == null) return false
  const third = Math.floor(minutes / 3)
  const means = [0, 1, 2].map((k) => meanOf(course, course.length - (k + 1) * third, course.length - k * third))
  return Math.max(...means) - Math.min(...means) <= withinC
}

function meanOf(course: Course, from: number, to: number): number {
  let [sum, count] = [0, 0]
  for (let k = from; k < to; k++) {
    const value = course[k]
    if (value == null) continue
    sum += value
    count++
  }
  return count === 0 ? Number.NaN : sum / count
}

function going(station: ExaminedStation, exam: Examination, frame: Frame, firing: Firing): [Watch, readonly Look[]] {
  const looks: Look[] = []
  let { still, rests } = firing
  let past = exam.watch.past
  for (const pair of pairsOf(exam, frame)) {
    const [va, vb] = [frame.values[pair.a] as number, frame.values[pair.b] as number]
    const [ca, cb] = [pair.a, pair.b].map((i) => upTo(exam.watch.tracks[i] as Track, frame.index)) as [Course, Course]
    const [minutes, withinC] = pair.load ? [loadStillMinutes, loadStillC] : [stillMinutes, stillC]
    const both = isStill(ca, minutes, withinC) && isStill(cb, minutes, withinC)
    if (!pair.load) {
      const place = rests.findIndex((r) => r.a === pair.a && r.b === pair.b)
      const seen = [...past, ...firing.still.filter((s) => s.minutes >= countsAfter).map((s) => seenOf(firing, s))]
      const [rest, look] = restOf(station, seen, rests[place], pair, va, vb, both)
      if (rest) rests = place < 0 ? [...rests, rest] : rests.with(place, rest)
      if (look) looks.push(look)
    }
    if (!both || Math.min(va, vb) < firingFromC) continue
    const [nowStill, entry] = stood(still, pair, va, vb, frame.t)
    still = nowStill
    // Above 600 °C a wire forgets its order within some minutes (published).
    if (!pair.load && entry.band >= forgetsBand && entry.minutes >= forgetsAfter)
      for (const instrument of [pair.a, pair.b]) looks.push({ family: 'ordering', instrument, sign: null })
    if (pair.load || entry.minutes !== firstLook) continue
    const [moreLooks, kept] = lookAtDrift(station, exam, past, { ...firing, still }, entry)
    looks.push(...moreLooks)
    past = kept
  }
  return [{ ...exam.watch, past, firing: { ...firing, still, rests } }, looks]
}

/** A rest goes on, begins, or – once broken off – is remembered as it was until the pair rests anew. */
function restOf(
  station: ExaminedStation,
  seen: readonly Seen[],
  before: Rest | undefined,
  { a, b }: Pair,
  va: number,
  vb: number,
  still: boolean,
): [Rest | null, Look | null] {
  const lower = Math.min(va, vb)
  if (!still || lower < orderFromC || Math.max(va, vb) > orderToC) {
    const ends = before !== undefined && !before.over
    return [ends ? { ...before, over: true } : null, null]
  }
  const rest = restAfter(before?.over ? undefined : before, a, b, va - vb, lower)
  return [rest, lookAtRest(station, seen, rest)]
}

function stood(still: readonly Still[], { a, b }: Pair, va: number, vb: number, at: number): [readonly Still[], Still] {
  const band = Math.floor(Math.max(va, vb) / bandC)
  const place = still.findIndex((s) => s.a === a && s.b === b && s.band === band)
  const before = still[place]
  const minutes = (before?.minutes ?? 0) + 1
  const difference =
    before === undefined ? va - vb : before.difference + (va - vb - before.difference) / Math.min(minutes, 40)
  const entry = { a, b, band, minutes, difference, at }
  return [place < 0 ? [...still, entry] : still.with(place, entry), entry]
}

function seenOf(firing: Firing, still: Still): Seen {
  const { a, b, band, at } = still
  return { a, b, band, firing: firing.number, at, difference: Math.round(still.difference * 100) / 100 }
}

function lookAtDrift(
  station: ExaminedStation,
  exam: Examination,
  past: readonly Seen[],
  firing: Firing,
  entry: Still,
): [Look[], readonly Seen[]] {
  const current = firing.still.filter((s) => s.minutes >= countsAfter).map((s) => seenOf(firing, s))
  const orders = exam.watch.suspicions.some(
    (s) => s.family === 'ordering' && s.told && (s.instrument === entry.a || s.instrument === entry.b),
  )
  // Where a type K orders, only what lies above that band compares firings.
  if (orders && entry.band < 6) return [[], past]
  const moved = movedLook(station, past, current, seenOf(firing, entry))
  const sign = moved.find((l) => l.sign !== null)
  if (sign) {
    // What was before the move tells nothing about what comes after it.
    return [moved, past.filter((s) => s.a !== sign.instrument && s.b !== sign.instrument)]
  }
  return [[...moved, ...driftLook(past, current, seenOf(firing, entry))], past]
}

function finished(station: ExaminedStation, exam: Examination, firing: Firing): [Watch, readonly Look[]] {
  const counted = firing.still.filter((s) => s.minutes >= countsAfter)
  const looks: Look[] = []
  let past = exam.watch.past
  for (const entry of counted) {
    if (entry.minutes >= firstLook || isLoadPair(station, entry)) continue
    const [more, kept] = lookAtDrift(station, exam, past, firing, entry)
    looks.push(...more)
    past = kept
  }
  past = [...past, ...counted.map((s) => seenOf(firing, s))].slice(-pastMax)
  return [{ ...exam.watch, past, firing: null }, looks]
}

function isLoadPair(station: ExaminedStation, { a, b }: Still): boolean {
  return station.instruments[a]?.place !== station.instruments[b]?.place
}

/** Lives go on minute by minute; what a finished firing showed joins them. */
export function livesWith(
  station: ExaminedStation,
  before: Examination,
  after: Watch,
  frame: Frame,
): [readonly Life[], Watch] {
  if (station.kind !== 'kiln') return [before.lives, after]
  const [minute, sides] = livesAfter(station, before, frame)
  const begins = after.firings > before.watch.firings
  const ended =
    before.watch.firing !== null && after.firing === null
      ? after.past.filter((s) => s.firing === before.watch.firing?.number)
      : []
  if (!begins && ended.length === 0) return [minute, sides === after.sides ? after : { ...after, sides }]
  const lives = minute.map((life, i) => {
    const mine = ended.filter((s) => (s.a === i || s.b === i) && !isLoadPair(station, { ...s, minutes: 0 }))
    const differences = mine.map(({ a, b, band, firing, at, difference }) => ({
      firing,
      at,
      against: station.instruments[a === i ? b : a]?.id ?? '',
      bandC: band * bandC + bandC / 2,
      differenceC: a === i ? difference : -difference,
    }))
    return {
      ...life,
      firings: life.firings + (begins && station.instruments[i]?.kind === 'thermocouple' ? 1 : 0),
      differences: [...life.differences, ...differences].slice(-differencesMax),
    }
  })
  return [lives, { ...after, sides }]
}
