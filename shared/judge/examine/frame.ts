/** A frame: one minute of all instruments of a station side by side. It is judged once, when whoever speaks has closed that minute. */
import { lookAtClocks } from './clocks.ts'
import type { Examination, Track, Watch } from './exam.ts'
import { livesWith, lookAtFiring } from './firing.ts'
import { lookAtImmersion } from './immersion.ts'
import { lookAtInfrared } from './infrared.ts'
import { lookAtPairs } from './pair.ts'
import { type Frame, roleOf } from './roles.ts'
import type { ExaminedStation } from './station.ts'
import { isTold, type Look } from './suspicion.ts'
import { withLooks } from './verdict.ts'

/** One that is this many minutes behind the newest is not waited for. */
const waitMinutes = 3

function framesReady(watch: Watch, n: number): [from: number, to: number] {
  let newest = -1
  for (let i = 0; i < n; i++) newest = Math.max(newest, (watch.tracks[i] as Track).end)
  let ready = newest
  for (let i = 0; i < n; i++) {
    const { end } = watch.tracks[i] as Track
    if (end >= newest - waitMinutes && end < ready) ready = end
  }
  return [Math.max(watch.frame + 1, newest - 2 * waitMinutes), ready]
}

/** What the course of a track holds at a minute. */
export function valueAt(track: Track, index: number): number | null {
  const back = track.end - index
  return back < 0 ? null : (track.course[track.course.length - 1 - back] ?? null)
}

/** A run of one value so far beyond what it usually does that it may be stuck: until that is known, it is not held against others. */
const stillMs = 5 * 60_000
const stillTimes = 1.5
const stillReadings = 10

function standsStill({ frozen, run, runAt, longest, end }: Track, minuteMs: number): boolean {
  return frozen && run > Math.max(stillReadings, stillTimes * longest) && (end + 1) * minuteMs - runAt >= stillMs
}

function frameOf(station: ExaminedStation, exam: Examination, index: number): Frame {
  const { watch } = exam
  const values = station.instruments.map((_, i) => {
    const track = watch.tracks[i] as Track
    if (standsStill(track, watch.minuteMs)) return null
    return isTold(watch.suspicions, i, ['single', 'clocks']) ? null : valueAt(track, index)
  })
  const minuteMs = watch.minuteMs
  return {
    index,
    minuteMs,
    t: (index + 1) * minuteMs,
    values,
    roles: station.instruments.map((i) => roleOf(station, i)),
  }
}

type Family = (station: ExaminedStation, exam: Examination, frame: Frame) => [Watch, readonly Look[]]

const families: readonly Family[] = [lookAtPairs, lookAtImmersion, lookAtInfrared, lookAtClocks, lookAtFiring]

function judged(station: ExaminedStation, exam: Examination, index: number): Examination {
  let after: Examination = { ...exam, watch: { ...exam.watch, frame: index } }
  const frame = frameOf(station, exam, index)
  for (const family of families) {
    const [watch, looks] = family(station, after, frame)
    after = withLooks(station, watch === after.watch ? after : { ...after, watch }, looks, frame.t)
  }
  const [lives, watch] = livesWith(station, exam, after.watch, frame)
  return lives === after.lives && watch === after.watch ? after : { ...after, lives, watch }
}

export function framesDue(station: ExaminedStation, exam: Examination): Examination {
  const [from, to] = framesReady(exam.watch, station.instruments.length)
  let after = exam
  for (let index = from; index <= to; index++) after = judged(station, after, index)
  return after
}
