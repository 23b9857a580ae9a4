/** A changed foundry document: what goes on is carried over, what is gone is ended. */
import { type Alarm, type EntryOf, fireClass, type Instrument } from '../contract/index.ts'
import type { EpochMs } from '../time.ts'
import { checkDueAt } from './checks.ts'
import { isSameStation } from './doubts.ts'
import { newFind } from './burnout/find-state.ts'
import { clear, type Draft, draftOn, type Scene, touch } from './draft.ts'
import { newExamination } from './examine/index.ts'
import { newInstrument } from './instruments.ts'
import { newSeries, trueValue } from './reading.ts'
import { newPot } from './pot-state.ts'
import { type Rules, rulesOf, type SeriesRules, type StationRules } from './rules.ts'
import type { Changes, Condition, House, InstrumentState, SeriesState, StationState } from './state.ts'

interface Before {
  instruments: Map<string, InstrumentState>
  /** By instrument alone: its checks go with it to another station. */
  checks: Map<string, Pick<InstrumentState, 'metAt' | 'checkedAt'>>
  series: Map<string, SeriesState>
}

function memoryOf(house: House): Before {
  const before: Before = { instruments: new Map(), checks: new Map(), series: new Map() }
  house.rules.stations.forEach((rules, s) => {
    const station = house.stations[s] as StationState
    rules.instruments.forEach((i, at) => {
      const state = station.instruments[at] as InstrumentState
      before.instruments.set(`${rules.station.id}/${i.id}`, state)
      before.checks.set(i.id, { metAt: state.metAt, checkedAt: state.checkedAt })
    })
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
  // Values that mean something in two ways, or are looked at over another stretch, make no slope.
  const kept =
    was &&
    same(was.interpretation, now.interpretation) &&
    same(
      was.limits.map((l) => l.overMs),
      now.limits.map((l) => l.overMs),
    )
  // Nobody misses any more what nobody relies on.
  return { ...before, conditions, trails: kept ? before.trails : fresh.trails, blind: now.needed ? before.blind : null }
}

function findingsOf(station: StationState): Map<string, { finding: NonNullable<Condition['finding']> }> {
  const all = [
    ...station.instruments.flatMap((i) => [i.quiet, i.fault, i.clock, i.due]),
    ...station.series.flatMap((s) => [s.blind, ...s.conditions.map((c) => c.finding)]),
    ...station.runs.flatMap((r) => r.conditions.map((c) => c.finding)),
    ...station.doubts.map((d) => d.finding),
    ...(station.pot?.care.findings ?? []),
    station.find?.finding ?? null,
  ]
  return new Map(all.flatMap((finding) => (finding ? [[finding.id, { finding }] as const] : [])))
}

function endWhatIsGone(draft: Draft, house: House, after: readonly StationState[], entry: EntryOf<'foundry'>): void {
  const left = new Set(after.flatMap((station) => [...findingsOf(station).keys()]))
  house.stations.forEach((station, s) => {
    const scene: Scene = { rules: house.rules.stations[s] as StationRules, seq: entry.seq, at: entry.at, house }
    for (const { finding } of findingsOf(station).values())
      if (!left.has(finding.id)) clear(draft, scene, finding, entry.at)
  })
}

/** What was heard of a series before it was claimed is how it is now, until it speaks again. */
function seriesBefore(rules: SeriesRules, entry: EntryOf<'foundry'>): SeriesState {
  const none = newSeries(rules, entry.at)
  const heard = entry.heard?.find((h) => h.series === rules.series)
  if (!heard) return none
  const { measuredAt, arrivedAt } = heard
  const meant = heard.quality === 'bad' ? heard.value : trueValue(rules, heard.value, measuredAt)
  const newest = { ...none, frontier: measuredAt, arrivedAt }
  if (typeof meant === 'string') return { ...newest, value: heard.value, noAnswer: meant }
  const seen = heard.quality === 'bad' ? {} : { goodAt: measuredAt, sightAt: arrivedAt }
  return { ...newest, value: meant, quality: heard.quality, ...seen }
}

/** Its silence counts from now on: whoever claims it has just seen it, or is setting it up. */
function instrumentBefore(id: string, entry: EntryOf<'foundry'>): InstrumentState {
  const mine = (entry.heard ?? []).filter((h) => h.series.startsWith(`${id}.`))
  if (mine.length === 0) return newInstrument(entry.at)
  const newest = (of: typeof mine) =>
    of.reduce<number | null>((at, h) => Math.max(at ?? h.measuredAt, h.measuredAt), null)
  return { ...newInstrument(entry.at), lastAt: newest(mine), goodAt: newest(mine.filter((h) => h.quality !== 'bad')) }
}

/** A calibration, or a longer time between two checks, ends that one is due. */
function carryInstrument(state: InstrumentState, instrument: Instrument, at: EpochMs): InstrumentState {
  return state.due && at < checkDueAt(instrument, state) ? { ...state, due: null } : state
}

/** A station that was taken out has nobody who could answer for it: its alarms are over. A fire-class one waits until it is seen:
 *  an edit must not be a way to silence it. */
function dropAlarms(draft: Draft, house: House, rules: Rules, entry: EntryOf<'foundry'>): void {
  const isGone = ({ station, kind }: Alarm) =>
    house.rules.stationOf.has(station) && !rules.stationOf.has(station) && !fireClass.has(kind)
  const over = draft.standing.filter(isGone)
  draft.alarms = [
    ...draft.alarms,
    ...over.map((alarm): Alarm => ({ ...alarm, state: 'normal', returnedAt: alarm.returnedAt ?? entry.at })),
  ]
  draft.standing = draft.standing.filter((alarm) => !isGone(alarm))
}

/** Goes on where the instruments are as they were; else it begins anew, and what was doubted is over. */
function examinationOf(
  house: House,
  old: StationState | undefined,
  now: StationRules,
): Pick<StationState, 'exam' | 'examinedAt' | 'doubts'> {
  const was = house.rules.stations[house.rules.stationOf.get(now.station.id) ?? -1]
  return old && was && isSameStation(was, now)
    ? { exam: old.exam, examinedAt: old.examinedAt, doubts: old.doubts }
    : { exam: newExamination(now.examined), examinedAt: 0, doubts: [] }
}

/** Goes on where the probes are as they were. What is over stays to be declared in any case. */
function findOf(house: House, old: StationState | undefined, now: StationRules): StationState['find'] {
  if (now.station.kind !== 'kiln') return null
  const was = house.rules.stations[house.rules.stationOf.get(now.station.id) ?? -1]
  if (!was || !old?.find) return newFind
  const isSame = was.air === now.air && same(was.series, now.series)
  return isSame ? old.find : { ...newFind, past: old.find.past }
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
      instruments: now.instruments.map((i) =>
        carryInstrument(
          before.instruments.get(`${id}/${i.id}`) ?? { ...instrumentBefore(i.id, entry), ...before.checks.get(i.id) },
          i,
          entry.at,
        ),
      ),
      series: now.series.map((s) => {
        const state = before.series.get(`${id}/${s.series}`)
        return state ? carrySeries(state, wasRules.get(`${id}/${s.series}`), s) : seriesBefore(s, entry)
      }),
      runs: old?.runs ?? [],
      ...examinationOf(house, old, now),
      // What was learnt of a pot outlives an edit of the document.
      pot: now.pot === null ? null : (old?.pot ?? newPot),
      kiln: old?.kiln ?? null,
      find: findOf(house, old, now),
    }
  })
  const draft = draftOn(house.alarms)
  endWhatIsGone(draft, house, stations, entry)
  dropAlarms(draft, house, rules, entry)
  for (const station of rules.stations) touch(draft, station.station.id)
  return [{ rules, seq: entry.seq, at: entry.at, stations, alarms: draft.standing }, draft]
}
