/** One reading: late or live, true or not, within its limits or not. The hot path of the whole house. */
import { lookForBurnout } from './burnout/find.ts'
import { backlogSlackMs, type EntryOf, type NoAnswer } from '../contract/index.ts'
import { calibrationAt, interpreted } from '../physics/interpretation.ts'
import type { EpochMs } from '../time.ts'
import { seenAgain } from './blindness.ts'
import { type Moment, untouched } from './condition.ts'
import { examinedReading } from './doubts.ts'
import type { Draft, Scene } from './draft.ts'
import { heard, timed } from './instruments.ts'
import { followAll, judgeLimits, newTrails } from './limits.ts'
import type { SeriesRules } from './rules.ts'
import { potReading } from './pot.ts'
import { pressRun, stepRuns } from './runs.ts'
import type { InstrumentState, SeriesState, StationState } from './state.ts'

export function newSeries(rules: SeriesRules, at: EpochMs): SeriesState {
  return {
    frontier: null,
    value: 0,
    quality: 'bad',
    noAnswer: null,
    arrivedAt: 0,
    goodAt: null,
    sightAt: at,
    late: 0,
    conditions: rules.limits.map((l) => untouched(l.key)),
    trails: newTrails(rules),
    blind: null,
  }
}

/** What the value means by the calibration of its day and the infrared setting; the raw one stays as it was stored. */
export function trueValue(rules: SeriesRules, value: number, measuredAt: EpochMs): number | NoAnswer {
  return rules.interpretation === null ? value : interpreted(rules.interpretation, value, measuredAt)
}

/** Values of two calibrations make no slope. */
function isOneCalibration({ interpretation }: SeriesRules, before: EpochMs, now: EpochMs): boolean {
  return (
    interpretation === null ||
    interpretation.calibrations.length === 0 ||
    calibrationAt(interpretation, before) === calibrationAt(interpretation, now)
  )
}

/** How the newest value comes: fresh or out of a backlog, after a hole or not. */
function momentOf(rules: SeriesRules, before: SeriesState, entry: EntryOf<'reading'>): Moment {
  const t = entry.measuredAt
  // A silence limit shorter than the interval must not keep a delay from ever running out.
  const holeMs = Math.max(rules.silenceMs, rules.backlogMs)
  return { t, fresh: entry.at - t <= rules.backlogMs, broken: before.goodAt === null || t - before.goodAt > holeMs }
}

/** A frontier in the future comes from a clock that ran ahead and was set right: what comes fresh now is not late, or it would blind a ceiling. */
function isLate({ frontier }: SeriesState, entry: EntryOf<'reading'>, { t, fresh }: Moment): boolean {
  if (frontier === null || t > frontier) return false
  return !(fresh && frontier > entry.at + backlogSlackMs)
}

function judged(
  draft: Draft,
  scene: Scene,
  rules: SeriesRules,
  before: SeriesState,
  entry: EntryOf<'reading'>,
  moment: Moment,
  meant: number | NoAnswer,
): SeriesState {
  const { t } = moment
  if (isLate(before, entry, moment)) return { ...before, late: before.late + 1 }
  const answered = typeof meant === 'number'
  const good = answered && entry.quality !== 'bad'
  const state: SeriesState = {
    frontier: t,
    value: answered ? meant : entry.value,
    quality: answered ? entry.quality : 'bad',
    noAnswer: answered ? null : meant,
    arrivedAt: entry.at,
    goodAt: good ? t : before.goodAt,
    sightAt: good ? entry.at : before.sightAt,
    late: before.late,
    conditions: before.conditions,
    trails: before.trails,
    blind: before.blind,
  }
  // What is bad was not seen: it moves the frontier and nothing else.
  if (!good) return state
  if (state.blind) {
    seenAgain(draft, scene, state, t)
    state.blind = null
  }
  if (rules.limits.length === 0) return state
  const unbroken =
    before.goodAt !== null &&
    t > before.goodAt &&
    t - before.goodAt <= rules.silenceMs &&
    isOneCalibration(rules, before.goodAt, t)
  state.trails = followAll(rules, before.trails, t, state.value, unbroken)
  state.conditions = judgeLimits(draft, scene, rules, state, moment)
  return state
}

/** A contact that was open, or never seen, is closed. */
function closes(before: SeriesState, now: SeriesState): boolean {
  return now.quality !== 'bad' && now.value === 1 && (before.frontier === null || before.value !== 1)
}

export function judgeReading(
  draft: Draft,
  scene: Scene,
  station: StationState,
  index: number,
  entry: EntryOf<'reading'>,
): StationState {
  const rules = scene.rules.series[index] as SeriesRules
  const before = station.series[index] as SeriesState
  const moment = momentOf(rules, before, entry)
  const meant = entry.quality === 'bad' ? entry.value : trueValue(rules, entry.value, entry.measuredAt)
  const series = judged(draft, scene, rules, before, entry, moment, meant)

  const instrumentBefore = station.instruments[rules.instrument] as InstrumentState
  // What a person brings in from a table says nothing about whether the instrument can be heard.
  let instrument =
    entry.reason === 'brought-in'
      ? instrumentBefore
      : heard(draft, scene, instrumentBefore, entry.measuredAt, entry.quality !== 'bad' && typeof meant === 'number')
  if (entry.claimedAt !== undefined || instrument.clock) {
    const id = scene.rules.instruments[rules.instrument]?.id ?? ''
    instrument = timed(draft, scene, instrument, id, entry.claimedAt)
  }

  const next: StationState = {
    instruments: station.instruments.with(rules.instrument, instrument),
    series: station.series.with(index, series),
    runs: station.runs,
    exam: station.exam,
    examinedAt: station.examinedAt,
    doubts: station.doubts,
    pot: station.pot,
    kiln: station.kiln,
    find: station.find,
  }
  const moved = series.frontier !== before.frontier
  const followed = moved && scene.rules.pot !== null ? potReading(draft, scene, next, index, moment, entry) : next
  const looked = moved && station.find !== null ? lookForBurnout(draft, scene, followed, index, moment) : followed
  const ran = moved && station.runs.length > 0 ? stepRuns(draft, scene, looked, index, moment) : looked
  const isPress = moved && moment.fresh && scene.rules.pot?.buttons.includes(index) === true && closes(before, series)
  const pressed = isPress ? pressRun(draft, scene, ran, scene.rules.instruments[rules.instrument]?.name ?? '') : ran
  return examinedReading(draft, scene, pressed, rules.instrument, rules.quantity, entry)
}
