/** Sight: whether a series is seen now. Its age counts from arrival, so that a slow clock blinds nobody; backlog shows the past, not now. */
import { measuredBehindMsMax } from '../contract/index.ts'
import type { EpochMs } from '../time.ts'
import type { Scene } from './draft.ts'
import type { SeriesRules } from './rules.ts'
import type { SeriesState, StationState } from './state.ts'

/** Until when what was last seen may be taken for how it is; −Infinity where it was old when it came, or never was. */
export function seenUntil(rules: SeriesRules, state: SeriesState): EpochMs {
  if (state.goodAt === null) return -Infinity
  return state.sightAt - state.goodAt > Math.max(rules.silenceMs, measuredBehindMsMax)
    ? -Infinity
    : state.sightAt + rules.silenceMs
}

/** True where nothing usable came of it within its silence limit. */
export function isLost(scene: Scene, station: StationState, series: number): boolean {
  const rules = scene.rules.series[series]
  const state = station.series[series]
  if (!rules || !state || station.instruments[rules.instrument]?.quiet) return true
  return scene.at > seenUntil(rules, state)
}

/** The value as it is now; null where nobody can see it. */
export function seenValue(scene: Scene, station: StationState, series: number): number | null {
  const state = station.series[series]
  return !state || state.quality === 'bad' || isLost(scene, station, series) ? null : state.value
}
