/** The watch: when time alone would next change a judgement, so that a tick is recorded then and not a thousand times for nothing. */
import type { EpochMs } from '../time.ts'
import { dueAt } from './condition.ts'
import { quietDueAt } from './instruments.ts'
import { delaysOf } from './limits.ts'
import type { House } from './state.ts'

/** The earliest instant at which a tick would change something; Infinity where none ever would. */
export function nextDue(house: House): EpochMs {
  let due = Infinity
  house.stations.forEach((station, s) => {
    const rules = house.rules.stations[s]
    if (!rules) return
    station.instruments.forEach((state, i) => {
      due = Math.min(due, quietDueAt(state, rules.silenceMs[i] as number))
    })
    station.series.forEach((state, i) => {
      const series = rules.series[i]
      if (!series || station.instruments[series.instrument]?.quiet) return
      series.limits.forEach((applied, l) => {
        const condition = state.conditions[l]
        if (condition) due = Math.min(due, dueAt(condition, delaysOf(applied.limit)))
      })
    })
  })
  return due
}
