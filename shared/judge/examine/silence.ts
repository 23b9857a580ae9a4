/** No value at all: the instrument speaks and has none, or it alone is silent while its neighbours speak. */
import type { EpochMs } from '../../time.ts'
import type { Examination, Track } from './exam.ts'
import type { OpenMinute } from './minute.ts'
import type { ExaminedStation } from './station.ts'
import { withLooks } from './verdict.ts'

/** A connector touched in passing gives no value for some seconds; two minutes are an open circuit. */
const voidMs = 120_000
/** Alone silent for so long while others of its station speak: a thermocouple whose converter has nothing to say. A link that
 *  is lost comes back sooner as a rule, and both are only a suspicion. */
export const silentMs = 90 * 60_000

/** A message without a usable value. */
export function withoutValue(station: ExaminedStation, exam: Examination, slot: number, t: EpochMs): Examination {
  const track = exam.watch.tracks[slot] as Track
  const last = (exam.minutes[slot] as OpenMinute | null)?.lastAt
  if (last !== undefined && t <= last) return exam
  if (track.voidSince === null) {
    const tracks = exam.watch.tracks.with(slot, { ...track, voidSince: t })
    return { ...exam, watch: { ...exam.watch, tracks } }
  }
  if (t - track.voidSince < voidMs) return exam
  const instrument = slot % station.instruments.length
  if (exam.doubts.some((d) => d.kind === 'open-circuit' && d.instrument === station.instruments[instrument]?.id))
    return exam
  const evidence = [{ what: 'without a value for', value: (t - track.voidSince) / 60_000, unit: 'min' }]
  return withLooks(
    station,
    exam,
    [{ family: 'single', instrument, sign: { kind: 'open-circuit', need: 1, evidence } }],
    t,
  )
}

/** Notes who spoke since the last time. */
export function listened(station: ExaminedStation, exam: Examination, now: EpochMs): Examination {
  const n = station.instruments.length
  const heard = exam.watch.heard.map((before, i) => {
    const lastAt = Math.max(lastOf(exam, i), lastOf(exam, n + i))
    return lastAt === before.lastAt ? before : { lastAt, at: now }
  })
  return { ...exam, watch: { ...exam.watch, heard } }
}

function lastOf({ minutes, watch }: Examination, slot: number): EpochMs {
  return minutes[slot]?.lastAt ?? ((watch.tracks[slot] as Track).end + 1) * watch.minuteMs
}

/** One that was heard once and is silent now, while another speaks. */
export function unilateralSilence(station: ExaminedStation, exam: Examination, now: EpochMs): Examination {
  const { heard } = exam.watch
  const silent = heard.map(({ lastAt, at }) => (lastAt === 0 ? Infinity : now - at))
  const looks = station.instruments.flatMap(({ id, kind }, i) => {
    const mine = silent[i] as number
    const alone = silent.some((other, j) => j !== i && other < silentMs / 3)
    if (kind !== 'thermocouple' || mine === Infinity || mine < silentMs || !alone) return []
    if (exam.doubts.some((d) => d.kind === 'open-circuit' && d.instrument === id)) return []
    const evidence = [{ what: 'silent alone for', value: mine / 60_000, unit: 'min' }]
    return [{ family: 'single', instrument: i, sign: { kind: 'open-circuit', need: 1, evidence } }] as const
  })
  return withLooks(station, exam, looks, now)
}
