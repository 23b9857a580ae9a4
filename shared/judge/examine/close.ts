/** What happens when a minute is full: it joins its course, its instrument is looked at by itself, then together with the others. */
import { grown } from './course.ts'
import type { Examination, Track, Watch } from './exam.ts'
import { framesDue } from './frame.ts'
import { meanOf, type OpenMinute } from './minute.ts'
import { lookAtNoise, withMinute } from './noise.ts'
import { lookAtOne } from './single.ts'
import type { ExaminedStation } from './station.ts'
import { withLooks } from './verdict.ts'

/** A minute counts as seen from this share of its expected readings on: of fewer, the mean is of some other time. */
const seenShareMin = 0.5

/** A run that is told as stuck is no measure of what is usual, nor is the longest ever: it fades by a tenth in some 500 minutes. */
const longestKept = 0.9998

/** What speaks once a minute, and unevenly, misses one now and then without a hole: between its neighbours values run straight. */
function between(track: Track, missed: number, bridged: boolean, next: number | null): (number | null)[] {
  const last = track.course[track.course.length - 1]
  if (!bridged || last == null || next === null) return new Array<null>(missed).fill(null)
  const way = (k: number) => last + ((next - last) * (k + 1)) / (missed + 1)
  return Array.from({ length: missed }, (_, k) => Math.round(way(k) * 1_000) / 1_000)
}

function followed(track: Track, minute: OpenMinute, seen: boolean, bridges: number): Track {
  const missed = track.end < 0 ? 0 : Math.max(0, Math.min(1_000, minute.index - track.end - 1))
  const mean = seen ? meanOf(minute) : null
  const added = [...between(track, missed, missed <= bridges, mean), mean]
  const longest = Math.max(track.longest * longestKept, minute.runEnded)
  return {
    end: minute.index,
    course: grown(track.course, added),
    frozen: minute.run >= 1 && minute.repeats >= minute.count - 1,
    run: minute.run,
    runAt: minute.runAt,
    longest: Math.round(longest * 100) / 100,
    step: track.step === 0 || (minute.step > 0 && minute.step < track.step) ? minute.step : track.step,
    minutes: track.minutes + 1,
    voidSince: null,
    noise: track.noise,
  }
}

/** A hole ends whatever was in suspense about this instrument; what was told stands until it is seen to be otherwise. */
function withoutSuspense(watch: Watch, instrument: number): Watch {
  const suspicions = watch.suspicions.filter((s) => s.told || (s.instrument !== instrument && s.against !== instrument))
  return suspicions.length === watch.suspicions.length ? watch : { ...watch, suspicions }
}

/** Closes the open minute of a slot. `hole`: what follows is cut off from it. */
export function closed(station: ExaminedStation, exam: Examination, slot: number, hole: boolean): Examination {
  const minute = exam.minutes[slot] as OpenMinute
  const instrument = slot % station.instruments.length
  const before = exam.watch.tracks[slot] as Track
  if (minute.index <= before.end) return exam
  const { intervalMs } = station.instruments[instrument] as { intervalMs: number }
  const seen = minute.count >= Math.max(1, (seenShareMin * exam.watch.minuteMs) / intervalMs)
  const [noise, block] = withMinute(before.noise, minute)
  const bridges = 2 * intervalMs > exam.watch.minuteMs ? Math.floor((2 * intervalMs) / exam.watch.minuteMs) : 0
  const track = { ...followed(before, minute, seen, bridges), noise }
  const tracks = exam.watch.tracks.slice()
  tracks[slot] = track
  const calm = hole ? withoutSuspense(exam.watch, instrument) : exam.watch
  const t = (minute.index + 1) * exam.watch.minuteMs
  const joined: Examination = { ...exam, watch: { ...calm, tracks } }
  const one = withLooks(station, joined, lookAtOne(station, joined, slot, minute), t)
  const [after, looks] = block === null ? [one, []] : lookAtNoise(station, one, slot, block)
  const heard = withLooks(station, after, looks, t)
  return slot < station.instruments.length ? framesDue(station, heard) : heard
}
