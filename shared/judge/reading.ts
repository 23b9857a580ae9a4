/** One reading: late or live, true or not, within its limits or not. The hot path of the whole house. */
import type { EntryOf } from '../contract/index.ts'
import { correct } from '../physics/correction.ts'
import type { EpochMs } from '../time.ts'
import { untouched } from './condition.ts'
import type { Draft, Scene } from './draft.ts'
import { heard, timed } from './instruments.ts'
import { judgeLimits, riseOverS } from './limits.ts'
import type { SeriesRules } from './rules.ts'
import { stepRuns } from './runs.ts'
import type { InstrumentState, SeriesState, StationState } from './state.ts'
import { follow, noTrail } from './trail.ts'

export function newSeries(rules: SeriesRules): SeriesState {
  return {
    frontier: null,
    value: 0,
    quality: 'bad',
    arrivedAt: 0,
    late: 0,
    conditions: rules.limits.map((l) => untouched(l.key)),
    trail: null,
  }
}

/** The value as the instrument's last check says it truly is; the raw one stays as it was stored. */
export function trueValue(rules: SeriesRules, value: number): number {
  return rules.correction === null ? value : correct(rules.correction, value)
}

function judged(draft: Draft, scene: Scene, rules: SeriesRules, before: SeriesState, entry: EntryOf<'reading'>): SeriesState {
  const t: EpochMs = entry.measuredAt
  if (before.frontier !== null && t <= before.frontier) return { ...before, late: before.late + 1 }
  const value = trueValue(rules, entry.value)
  const overS = riseOverS(rules)
  const unbroken = before.frontier !== null && t - before.frontier <= rules.silenceMs
  const state: SeriesState = {
    frontier: t,
    value,
    quality: entry.quality,
    arrivedAt: entry.at,
    late: before.late,
    conditions: before.conditions,
    trail: before.trail,
  }
  // What is bad was not seen: it moves the frontier and nothing else.
  if (entry.quality === 'bad') return state
  if (overS > 0) state.trail = follow(unbroken && before.trail ? before.trail : noTrail, t, value, overS)
  if (rules.limits.length > 0)
    state.conditions = judgeLimits(draft, scene, rules, state, t, entry.at - t <= rules.backlogMs)
  return state
}

export function judgeReading(draft: Draft, scene: Scene, station: StationState, index: number, entry: EntryOf<'reading'>): StationState {
  const rules = scene.rules.series[index] as SeriesRules
  const before = station.series[index] as SeriesState
  const series = judged(draft, scene, rules, before, entry)

  const instrumentBefore = station.instruments[rules.instrument] as InstrumentState
  const id = scene.rules.instruments[rules.instrument]?.id ?? ''
  const offset = entry.claimedAt === undefined ? null : entry.claimedAt - entry.at
  let instrument = heard(draft, scene, instrumentBefore, entry.measuredAt)
  if (offset !== null || instrument.clock) instrument = timed(draft, scene, instrument, id, offset)

  const next: StationState = {
    instruments: station.instruments.with(rules.instrument, instrument),
    series: station.series.with(index, series),
    runs: station.runs,
  }
  const moved = series.frontier !== before.frontier
  return moved && station.runs.length > 0 ? stepRuns(draft, scene, next, index, entry.measuredAt) : next
}
