/** A burnout that is said while it goes on: what the kiln's probes said since it began is walked as if it had been said in time. */
import type { EpochMs } from '../../time.ts'
import type { Draft, Scene } from '../draft.ts'
import type { InstrumentState, RunState, SeriesState, StationState } from '../state.ts'
import { concerns, stepBurnout, waitBurnout } from './index.ts'
import { nothingKept } from './kept.ts'

const unseen = (state: SeriesState): SeriesState => ({ ...state, frontier: null, quality: 'bad', goodAt: null })
const heard = (state: InstrumentState): InstrumentState => ({ ...state, quiet: null })

function seenAt(before: SeriesState, t: EpochMs, v: number | null): SeriesState {
  const told = { ...before, frontier: t, arrivedAt: t }
  return v === null
    ? { ...told, quality: 'bad' }
    : { ...told, value: v, quality: 'good', noAnswer: null, goodAt: t, sightAt: t }
}

/** Walks what was kept, from its beginning to now. The past announces nothing; what it shows to be so now does. */
export function caughtUp(draft: Draft, scene: Scene, station: StationState, begun: RunState): RunState {
  const { startedAt } = begun.run
  let then: StationState = {
    ...station,
    instruments: station.instruments.map(heard),
    series: station.series.map(unseen),
  }
  let run = begun
  for (const [series, t, v] of (station.find?.kept ?? nothingKept).flat()) {
    const rules = scene.rules.series[series]
    const before = then.series[series]
    if (!rules || !before) continue
    then = { ...then, series: then.series.with(series, seenAt(before, t, v)) }
    const at = { ...scene, at: t }
    if (t < startedAt || !concerns(at, run, series)) continue
    const holeMs = Math.max(rules.silenceMs, rules.backlogMs)
    const broken = before.goodAt === null || t - before.goodAt > holeMs
    run = stepBurnout(draft, at, then, run, series, { t, fresh: false, broken })
  }
  return run === begun ? run : waitBurnout(draft, scene, station, run)
}
