/** One instrument by itself: pinned at an end of its scale, or stuck at one value while others move. */
import type { Doubt, Evidence } from '../../contract/index.ts'
import { rangeOf } from './course.ts'
import type { Examination, Track } from './exam.ts'
import type { OpenMinute } from './minute.ts'
import type { ExaminedInstrument, ExaminedStation } from './station.ts'
import { isTold, type Look } from './suspicion.ts'

/** What no honest instrument of such a station shows for minutes on end, °C: below frost in a heated place, or far beyond what is worked
 *  with there (wax burns from 190 °C on, shells are fired below 1,100 °C, rooms are lived in). Common practice, no source. */
const scaleC: Record<ExaminedStation['kind'], readonly [number, number]> = {
  pot: [-25, 350],
  'bench-cup': [-25, 350],
  kiln: [-40, 1_290],
  'dry-room': [-35, 79],
  surroundings: [-35, 79],
}
/** Pinned is a value that stays within this, °C. */
const pinnedC = 0.05
const pinnedNeed = 2

/** A stuck run is at least so long, and so many times the longest that ever ended by itself. */
const stuckReadings = 15
const stuckTimes = 3
const stuckMs = 10 * 60_000
/** Meanwhile a companion that should show the same has moved by so many of its steps … */
const companionSteps = 10
/** … and at least so much: less may pass one place by and reach the other. °C, and % for humidity. */
const companionMoves: Record<ExaminedStation['kind'], number> = {
  pot: 3,
  'bench-cup': 3,
  kiln: 6,
  'dry-room': 1,
  surroundings: 1,
}
const companionMovesHumidity = 4
/** Without a companion of its own kind only a run beyond all it ever did counts: nights included, so a day must be known. */
const aloneTimes = 25
const aloneLongestMin = 5
const aloneMs = 60 * 60_000
const aloneKnownMs = 26 * 3_600_000
const looseKnownMs = 14 * 3_600_000
const stuckNeed = 1

export function lookAtOne(
  station: ExaminedStation,
  exam: Examination,
  slot: number,
  minute: OpenMinute,
): readonly Look[] {
  const instrument = slot % station.instruments.length
  const { kind } = station.instruments[instrument] as ExaminedInstrument
  if (kind !== 'thermocouple' && kind !== 'infrared' && kind !== 'climate') return []
  // Reversed leads fall off the lower end of the scale and stay there: that is told already, and better.
  if (isTold(exam.watch.suspicions, instrument, ['pair'])) return []
  // Where its temperature has no value at all, its humidity needs no doubt of its own.
  const isOpen = exam.watch.suspicions.some((s) => s.told && s.instrument === instrument && s.kind === 'open-circuit')
  if (slot >= station.instruments.length && isOpen) return []
  const pinned = pinnedSign(station, slot, minute)
  if (pinned) return [{ family: 'single', instrument, sign: pinned }]
  const stuck = stuckSign(station, exam, slot)
  if (stuck) return [{ family: 'single', instrument, sign: stuck }]
  const track = exam.watch.tracks[slot] as Track
  // While a long run goes on and nobody moves, nothing can be told.
  return track.run >= stuckReadings ? [] : [{ family: 'single', instrument, sign: null }]
}

function pinnedSign(station: ExaminedStation, slot: number, minute: OpenMinute): Look['sign'] {
  // Said at least three times over: one reading in a minute is not yet pinned.
  if (slot >= station.instruments.length || minute.high - minute.low > pinnedC || minute.run < 2) return null
  const [low, high] = scaleC[station.kind]
  if (minute.high > low && minute.low < high) return null
  return {
    kind: 'open-circuit',
    need: pinnedNeed,
    evidence: [{ what: 'pinned at', value: minute.last, unit: '°C' }],
    ruledOut: [
      { kind: 'stuck', evidence: { what: 'end of its scale', value: minute.high <= low ? low : high, unit: '°C' } },
    ],
  }
}

/** What should move when this one does: another of the same place, or anything else in the same wax. */
function isCompanion(station: ExaminedStation, i: number, j: number): boolean {
  const [a, b] = [station.instruments[i] as ExaminedInstrument, station.instruments[j] as ExaminedInstrument]
  if (i === j || (b.kind !== 'thermocouple' && b.kind !== 'infrared' && b.kind !== 'climate')) return false
  if (station.kind === 'pot' || station.kind === 'bench-cup') return true
  return a.place === b.place && a.kind === b.kind && a.place !== 'test-piece'
}

/** An infrared instrument moves with every lid, and a probe is right to stand still then: it speaks only against a well-known past. */
function isLoose(station: ExaminedStation, i: number, j: number): boolean {
  return station.instruments[j]?.kind === 'infrared' && station.instruments[i]?.kind !== 'infrared'
}

function knownLong(exam: Examination, track: Track): boolean {
  return track.minutes * exam.watch.minuteMs >= looseKnownMs
}

function companionOf(
  station: ExaminedStation,
  exam: Examination,
  slot: number,
): { against: number; moved: number } | null {
  const n = station.instruments.length
  const base = slot < n ? 0 : n
  const track = exam.watch.tracks[slot] as Track
  const floor = base === 0 ? companionMoves[station.kind] : companionMovesHumidity
  const back =
    Math.ceil((track.end * exam.watch.minuteMs + exam.watch.minuteMs - track.runAt) / exam.watch.minuteMs) - 1
  let best: { against: number; moved: number } | null = null
  for (let j = 0; j < n; j++) {
    const other = exam.watch.tracks[base + j] as Track
    if (
      !isCompanion(station, slot % n, j) ||
      (isLoose(station, slot % n, j) && !knownLong(exam, track)) ||
      other.end < track.end - 3 ||
      other.frozen
    )
      continue
    const moved = rangeOf(other.course, back)
    const enough = Math.max(floor, companionSteps * Math.max(track.step, other.step))
    if (moved >= enough && (best === null || moved > best.moved)) best = { against: j, moved }
  }
  return best
}

function stuckSign(station: ExaminedStation, exam: Examination, slot: number): Look['sign'] {
  const track = exam.watch.tracks[slot] as Track
  const lastedMs = (track.end + 1) * exam.watch.minuteMs - track.runAt
  if (track.run < Math.max(stuckReadings, stuckTimes * track.longest) || lastedMs < stuckMs) return null
  const run: Evidence = { what: 'repeats', value: track.run, unit: '', usual: Math.round(track.longest) }
  const lasted: Evidence = { what: 'unchanged for', value: lastedMs / 60_000, unit: 'min' }
  const companion = companionOf(station, exam, slot)
  const ruledOut: Doubt['ruledOut'] = [{ kind: 'noise-vanished', evidence: { what: 'changes', value: 0, unit: '°C' } }]
  if (companion) {
    const unit = slot < station.instruments.length ? '°C' : '%'
    const moved = { what: 'the other moved', value: companion.moved, unit }
    return { kind: 'stuck', against: companion.against, need: stuckNeed, evidence: [lasted, moved, run], ruledOut }
  }
  const known = track.minutes * exam.watch.minuteMs
  const long = track.run >= aloneTimes * Math.max(aloneLongestMin, track.longest) && lastedMs >= aloneMs
  if (!long || known < aloneKnownMs) return null
  return { kind: 'stuck', need: stuckNeed, evidence: [lasted, run], ruledOut }
}
