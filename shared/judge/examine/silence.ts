/** No value at all: the instrument speaks and has none, or it alone is silent while its neighbours speak. */
import type { EpochMs } from '../../time.ts'
import type { Examination, Heard, Track } from './exam.ts'
import type { OpenMinute } from './minute.ts'
import type { ExaminedStation } from './station.ts'
import { withLooks } from './verdict.ts'

/** A connector touched in passing gives no value for some seconds; two minutes are an open circuit. */
const voidMs = 120_000
/** Alone silent for so long while others of its station speak: a thermocouple whose converter has nothing to say. A link that
 *  is lost comes back sooner as a rule, and both are only a suspicion. Only time in which others did speak counts: after a pause
 *  of the whole station nobody has been silent alone. */
export const silentMs = 30 * 60_000
/** Of one look at the time no more than this counts: who looks seldom knows little. */
const lookMsMax = 120_000

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
  const { watch } = exam
  const lasts = watch.heard.map(({ lastAt }, i) => Math.max(lastAt, lastOf(exam, i), lastOf(exam, n + i)))
  const speaking = lasts.filter((lastAt, i) => lastAt !== (watch.heard[i] as Heard).lastAt).length
  const passed = watch.lookedAt === 0 ? 0 : Math.max(0, Math.min(lookMsMax, now - watch.lookedAt))
  const heard = watch.heard.map((before, i): Heard => {
    const lastAt = lasts[i] as EpochMs
    if (lastAt !== before.lastAt) return { lastAt, at: now, aloneMs: 0 }
    return speaking === 0 || lastAt === 0 ? before : { ...before, aloneMs: before.aloneMs + passed }
  })
  return { ...exam, watch: { ...watch, heard, lookedAt: now } }
}

function lastOf({ minutes }: Examination, slot: number): EpochMs {
  return minutes[slot]?.lastAt ?? 0
}

/** It speaks, though about times that are known already: whatever ails it, it is not silent. */
export function heardLate(exam: Examination, instrument: number): Examination {
  const before = exam.watch.heard[instrument] as Heard
  if (before.aloneMs === 0) return exam
  return { ...exam, watch: { ...exam.watch, heard: exam.watch.heard.with(instrument, { ...before, aloneMs: 0 }) } }
}

/** One that was heard once and is silent now, while another speaks. */
export function unilateralSilence(station: ExaminedStation, exam: Examination, now: EpochMs): Examination {
  const looks = station.instruments.flatMap(({ id, kind }, i) => {
    const { lastAt, aloneMs: mine } = exam.watch.heard[i] as Heard
    if (kind !== 'thermocouple' || lastAt === 0 || mine < silentMs) return []
    if (exam.doubts.some((d) => d.kind === 'open-circuit' && d.instrument === id)) return []
    const evidence = [{ what: 'silent alone for', value: mine / 60_000, unit: 'min' }]
    return [{ family: 'single', instrument: i, sign: { kind: 'open-circuit', need: 1, evidence } }] as const
  })
  return withLooks(station, exam, looks, now)
}
