/** A changed foundry document: what goes on is carried over, what is gone is ended. */
import type { EntryOf } from '../contract/index.ts'
import { untouched } from './condition.ts'
import { clear, type Draft, draftOn, type Scene } from './draft.ts'
import { newInstrument } from './instruments.ts'
import { newSeries } from './reading.ts'
import { rulesOf, type SeriesRules, type StationRules } from './rules.ts'
import type { Changes, Condition, House, InstrumentState, SeriesState, StationState } from './state.ts'

interface Before {
  instruments: Map<string, InstrumentState>
  series: Map<string, SeriesState>
}

function memoryOf(house: House): Before {
  const before: Before = { instruments: new Map(), series: new Map() }
  house.rules.stations.forEach((rules, s) => {
    const station = house.stations[s] as StationState
    rules.instruments.forEach((i, at) => before.instruments.set(`${rules.station.id}/${i.id}`, station.instruments[at] as InstrumentState))
    rules.series.forEach((r, at) => before.series.set(`${rules.station.id}/${r.series}`, station.series[at] as SeriesState))
  })
  return before
}

/** The limit of the same key keeps where it stood, unless it is now another limit: then it begins anew and its finding ends. */
function carryConditions(before: SeriesState, was: SeriesRules | undefined, now: SeriesRules): readonly Condition[] {
  return now.limits.map((applied) => {
    const old = was?.limits.find((l) => l.key === applied.key && JSON.stringify(l.limit) === JSON.stringify(applied.limit))
    const condition = old && before.conditions.find((c) => c.key === applied.key)
    return condition ?? untouched(applied.key)
  })
}

function findingsOf(station: StationState): Map<string, { finding: NonNullable<Condition['finding']> }> {
  const all = [
    ...station.instruments.flatMap((i) => [i.quiet, i.fault, i.clock]),
    ...station.series.flatMap((s) => s.conditions.map((c) => c.finding)),
    ...station.runs.flatMap((r) => r.conditions.map((c) => c.finding)),
  ]
  return new Map(all.flatMap((finding) => (finding ? [[finding.id, { finding }] as const] : [])))
}

function endWhatIsGone(draft: Draft, house: House, after: readonly StationState[], entry: EntryOf<'foundry'>): void {
  const left = new Set(after.flatMap((station) => [...findingsOf(station).keys()]))
  house.stations.forEach((station, s) => {
    const scene: Scene = { rules: house.rules.stations[s] as StationRules, seq: entry.seq, at: entry.at }
    for (const { finding } of findingsOf(station).values()) if (!left.has(finding.id)) clear(draft, scene, finding, entry.at)
  })
}

export function adopt(house: House, entry: EntryOf<'foundry'>): [House, Changes] {
  const rules = rulesOf(entry.foundry, entry.revision)
  const before = memoryOf(house)
  const wasRules = new Map(house.rules.stations.flatMap((r) => r.series.map((s) => [`${r.station.id}/${s.series}`, s] as const)))
  const stations = rules.stations.map((now): StationState => {
    const id = now.station.id
    const old = house.stations[house.rules.stationOf.get(id) ?? -1]
    return {
      instruments: now.instruments.map((i) => before.instruments.get(`${id}/${i.id}`) ?? newInstrument(entry.at)),
      series: now.series.map((s) => {
        const state = before.series.get(`${id}/${s.series}`)
        return state ? { ...state, conditions: carryConditions(state, wasRules.get(`${id}/${s.series}`), s) } : newSeries(s)
      }),
      runs: old?.runs ?? [],
    }
  })
  const draft = draftOn(house.alarms)
  endWhatIsGone(draft, house, stations, entry)
  for (const station of rules.stations) draft.stations.add(station.station.id)
  return [{ rules, seq: entry.seq, at: entry.at, stations, alarms: draft.standing }, draft]
}
