/** The watch: when time alone would next change a judgement, so that a tick is recorded then and not a thousand times for nothing. */
import type { Instrument } from '../contract/index.ts'
import type { EpochMs } from '../time.ts'
import { blindDueAt } from './blindness.ts'
import { burnoutDueAt } from './burnout/index.ts'
import { checkDueAt } from './checks.ts'
import { examinationDueAt } from './doubts.ts'
import { instrumentDueAt } from './instruments.ts'
import { limitsDueAt } from './limits.ts'
import type { StationRules } from './rules.ts'
import type { House, StationState } from './state.ts'

function stationDue(rules: StationRules, station: StationState, now: EpochMs): EpochMs {
  let due = Infinity
  station.instruments.forEach((state, i) => {
    due = Math.min(due, instrumentDueAt(state, rules.silenceMs[i] as number, now))
    if (!state.due) due = Math.min(due, Math.max(now, checkDueAt(rules.instruments[i] as Instrument, state)))
  })
  station.series.forEach((state, i) => {
    const series = rules.series[i]
    const instrument = series && station.instruments[series.instrument]
    if (!instrument || instrument.quiet) return
    due = Math.min(due, limitsDueAt(series, state, now), Math.max(now, blindDueAt(series, state, instrument)))
  })
  for (const run of station.runs) if (run.burnout) due = Math.min(due, Math.max(now, burnoutDueAt(run)))
  return Math.min(due, Math.max(now, examinationDueAt(station, rules)))
}

/** The earliest instant at which a tick would change something; Infinity where none ever would. */
export function nextDue(house: House): EpochMs {
  let due = Infinity
  house.rules.stations.forEach((rules, s) => {
    const station = house.stations[s]
    if (station) due = Math.min(due, stationDue(rules, station, house.at))
  })
  return due
}
