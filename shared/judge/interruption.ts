/** Interruptions of our own: time in which we were away, or a jump of our clock, is nobody's silence, and no delay has waited through it. */
import { heardAfter } from './doubts.ts'
import type { Entry } from '../contract/index.ts'
import type { DurationMs, EpochMs } from '../time.ts'
import { findBroken } from './burnout/find-course.ts'
import { breakBurnout } from './burnout/index.ts'
import { waitAnew } from './condition.ts'
import { newTrails } from './limits.ts'
import { breakLines } from './overlap.ts'
import type { SeriesRules } from './rules.ts'
import type { House, InstrumentState, RunState, SeriesState, StationState } from './state.ts'

/** Moves what is kept in the gateway's own time. Nothing was heard later than now. */
function moveInstrument(state: InstrumentState, now: EpochMs, byMs: DurationMs, stepped: boolean): InstrumentState {
  const move = (t: EpochMs) => Math.min(t + byMs, now)
  return {
    ...state,
    heardAt: move(state.heardAt),
    backAt: move(state.backAt),
    spokeAt: move(state.spokeAt),
    unable: stepped && state.unable ? { ...state.unable, since: Math.min(state.unable.since, now) } : state.unable,
    clockRightSince: state.clockRightSince === null ? null : now,
    // In years, hours of absence do not matter; but nothing was met or checked later than now.
    metAt: Math.min(state.metAt, now),
    checkedAt: state.checkedAt === null ? null : Math.min(state.checkedAt, now),
  }
}

/** After a step a frontier may lie in what is now the future: it comes back to now, or everything would be late until it is reached. */
function moveSeries(
  rules: SeriesRules,
  state: SeriesState,
  now: EpochMs,
  byMs: DurationMs,
  stepped: boolean,
): SeriesState {
  const back = (t: EpochMs | null) => (t !== null && stepped ? Math.min(t, now) : t)
  return {
    ...state,
    frontier: back(state.frontier),
    goodAt: back(state.goodAt),
    sightAt: Math.min(state.sightAt + byMs, now),
    conditions: state.conditions.map((c) => waitAnew(c, now)),
    trails: stepped ? newTrails(rules) : state.trails,
  }
}

function moveRun(state: RunState, now: EpochMs, stepped: boolean): RunState {
  const conditions = state.conditions.map((c) => waitAnew(c, now))
  return stepped
    ? breakBurnout({ ...state, conditions, overlaps: state.overlaps.map((o) => breakLines(o, now)) }, now)
    : { ...state, conditions }
}

function interrupted(house: House, entry: Entry, byMs: DurationMs, stepped: boolean): House {
  const { at } = entry
  const stations = house.stations.map(
    (station, s): StationState => ({
      instruments: station.instruments.map((i) => moveInstrument(i, at, byMs, stepped)),
      series: station.series.map((state, i) => {
        const rules = house.rules.stations[s]?.series[i]
        return rules ? moveSeries(rules, state, at, byMs, stepped) : state
      }),
      runs: station.runs.map((r) => moveRun(r, at, stepped)),
      exam: heardAfter(station.exam, byMs),
      examinedAt: station.examinedAt === 0 ? 0 : station.examinedAt + byMs,
      doubts: station.doubts,
      pot: station.pot,
      kiln: station.kiln,
      find: stepped && station.find ? findBroken(station.find, at) : station.find,
    }),
  )
  return { ...house, seq: entry.seq, at, stations }
}

/** We were away. A clock that stands earlier than when we went has stepped as well. */
export function afterAbsence(house: House, entry: Entry, downSince: EpochMs): House {
  return interrupted(house, entry, entry.at - downSince, entry.at < downSince)
}

export function afterStep(house: House, entry: Entry, byMs: DurationMs): House {
  return interrupted(house, entry, byMs, true)
}
