/** A changed foundry document: what goes on is carried over, what is gone is ended. */
import type { EntryOf } from '../contract/index.ts'
import { clear, type Draft, draftOn, type Scene, touch } from './draft.ts'
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
    rules.instruments.forEach((i, at) =>
      before.instruments.set(`${rules.station.id}/${i.id}`, station.instruments[at] as InstrumentState),
    )
    rules.series.forEach((r, at) =>
      before.series.set(`${rules.station.id}/${r.series}`, station.series[at] as SeriesState),
    )
  })
  return before
}

const same = (a: unknown, b: unknown) => JSON.stringify(a) === JSON.stringify(b)

/** The limit of the same key keeps where it stood, unless it is now another limit: then it begins anew and its finding ends. */
function carrySeries(before: SeriesState, was: SeriesRules | undefined, now: SeriesRules): SeriesState {
  const fresh = newSeries(now, before.sightAt)
  const conditions = now.limits.map((applied, i) => {
    const old = was?.limits.find((l) => l.key === applied.key && same(l.limit, applied.limit))
    return (old && before.conditions.find((c) => c.key === applied.key)) ?? (fresh.conditions[i] as Condition)
  })
  // Values corrected in two ways, or looked at over another stretch, make no slope.
  const kept =
    was &&
    same(was.correction, now.correction) &&
    same(
      was.limits.map((l) => l.overMs),
      now.limits.map((l) => l.overMs),
    )
  // Nobody misses any more what nobody relies on.
  return { ...before, conditions, trails: kept ? before.trails : fresh.trails, blind: now.needed ? before.blind : null }
}

function findingsOf(station: StationState): Map<string, { finding: NonNullable<Condition['finding']> }> {
  const all = [
    ...station.instruments.flatMap((i) => [i.quiet, i.fault, i.clock]),
    ...station.series.flatMap((s) => [s.blind, ...s.conditions.map((c) => c.finding)]),
    ...station.runs.flatMap((r) => r.conditions.map((c) => c.finding)),
  ]
  return new Map(all.flatMap((finding) => (finding ? [[finding.id, { finding }] as const] : [])))
}

function endWhatIsGone(draft: Draft, house: House, after: readonly StationState[], entry: EntryOf<'foundry'>): void {
  const left = new Set(after.flatMap((station) => [...findingsOf(station).keys()]))
  house.stations.forEach((station, s) => {
    const scene: Scene = { rules: house.rules.stations[s] as StationRules, seq: entry.seq, at: entry.at }
    for (const { finding } of findingsOf(station).values())
      if (!left.has(finding.id)) clear(draft, scene, finding, entry.at)
  })
}

export function adopt(house: House, entry: EntryOf<'foundry'>): [House, Changes] {
  const rules = rulesOf(entry.foundry, entry.revision)
  const before = memoryOf(house)
  const wasRules = new Map(
    house.rules.stations.flatMap((r) => r.series.map((s) => [`${r.station.id}/${s.series}`, s] as const)),
  )
  const stations = rules.stations.map((now): StationState => {
    const id = now.station.id
    const old = house.stations[house.rules.stationOf.get(id) ?? -1]
    return {
      instruments: now.instruments.map((i) => before.instruments.get(`${id}/${i.id}`) ?? newInstrument(entry.at)),
      series: now.series.map((s) => {
        const state = before.series.get(`${id}/${s.series}`)
        return state ? carrySeries(state, wasRules.get(`${id}/${s.series}`), s) : newSeries(s, entry.at)
      }),
      runs: old?.runs ?? [],
    }
  })
  const draft = draftOn(house.alarms)
  endWhatIsGone(draft, house, stations, entry)
  for (const station of rules.stations) touch(draft, station.station.id)
  return [{ rules, seq: entry.seq, at: entry.at, stations, alarms: draft.standing }, draft]
}
