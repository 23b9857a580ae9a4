/** The judge: what one more journal entry means for the house. Pure; it decides, the foreman acts. */
import { derivedQuantities, emptyFoundry, type Entry, type EntryOf, type Instrument } from '../contract/index.ts'
import type { DurationMs } from '../time.ts'
import { acknowledged } from './alarms.ts'
import { lookFor } from './blindness.ts'
import { burnoutSaid } from './burnout/find.ts'
import { checked, remember } from './checks.ts'
import { examinedFault, lookedAt } from './doubts.ts'
import { type Draft, draftOn, note, nothing, type Scene, touch } from './draft.ts'
import { adopt } from './foundry.ts'
import { cannot, listen, present, spoke } from './instruments.ts'
import { afterAbsence, afterStep } from './interruption.ts'
import { waitLimits } from './limits.ts'
import { potDeed } from './pot.ts'
import { judgeReading } from './reading.ts'
import { backlogMsOf, recipeOf, rulesOf, type StationRules } from './rules.ts'
import { closeRun, markRun, startRun, stepCoatings, undoRun, waitRuns } from './runs.ts'
import type { Changes, House, InstrumentState, StationState } from './state.ts'

export function emptyHouse(): House {
  return { rules: rulesOf(emptyFoundry, 0), seq: 0, at: 0, stations: [], alarms: [] }
}

function sceneOf(house: House, station: number, entry: Entry): Scene {
  return { rules: house.rules.stations[station] as StationRules, seq: entry.seq, at: entry.at, house }
}

/** Lets one station see the entry and puts the result in its place. */
function inStation(
  house: House,
  entry: Entry,
  index: number,
  by: (draft: Draft, scene: Scene, station: StationState) => StationState,
): [House, Changes] {
  const draft = draftOn(house.alarms)
  const before = house.stations[index] as StationState
  const after = by(draft, sceneOf(house, index, entry), before)
  const stations = after === before ? house.stations : house.stations.with(index, after)
  return [{ rules: house.rules, seq: entry.seq, at: entry.at, stations, alarms: draft.standing }, draft]
}

function withInstrument(
  house: House,
  entry: Entry,
  id: string,
  by: (draft: Draft, scene: Scene, state: InstrumentState) => InstrumentState,
): [House, Changes] {
  const at = house.rules.instrumentAt.get(id)
  if (!at) return [{ ...house, seq: entry.seq, at: entry.at }, nothing]
  return inStation(house, entry, at.station, (draft, scene, station) => ({
    ...station,
    instruments: station.instruments.with(
      at.instrument,
      by(draft, scene, station.instruments[at.instrument] as InstrumentState),
    ),
  }))
}

function passTime(draft: Draft, scene: Scene, station: StationState): StationState {
  const instruments = station.instruments.map((state, i) => {
    const instrument = scene.rules.instruments[i] as Instrument
    return remember(
      draft,
      scene,
      listen(draft, scene, state, instrument.id, scene.rules.silenceMs[i] as number),
      instrument,
    )
  })
  const series = station.series.map((before, i) => {
    const rules = scene.rules.series[i]
    const instrument = rules && instruments[rules.instrument]
    if (!instrument || instrument.quiet) return before
    const state = lookFor(draft, scene, rules, before, instrument)
    const conditions = waitLimits(draft, scene, rules, state)
    return conditions === state.conditions ? state : { ...state, conditions }
  })
  return lookedAt(draft, scene, waitRuns(draft, scene, { ...station, instruments, series }))
}

function tick(house: House, entry: Entry): [House, Changes] {
  const draft = draftOn(house.alarms)
  const stations = house.stations.map((station, i) => passTime(draft, sceneOf(house, i, entry), station))
  return [{ rules: house.rules, seq: entry.seq, at: entry.at, stations, alarms: draft.standing }, draft]
}

function conflict(house: House, entry: EntryOf<'conflict'>): [House, Changes] {
  const at = house.rules.seriesAt.get(entry.series)
  const quantity = at && house.rules.stations[at.station]?.series[at.series]?.quantity
  // Of a derived series it would say the same once more: what it was derived from conflicts already.
  if (!at || !quantity || derivedQuantities.has(quantity)) return [{ ...house, seq: entry.seq, at: entry.at }, nothing]
  const { series, measuredAt, kept, refused } = entry
  return inStation(house, entry, at.station, (draft, scene, station) => {
    const facts = { series, measuredAt, kept, refused }
    note(draft, scene, { kind: 'conflicting-reading', subject: series, since: measuredAt, facts })
    return station
  })
}

function stationOfRun(house: House, run: string): number {
  return house.stations.findIndex((station) => station.runs.some((r) => r.run.id === run))
}

function act(house: House, entry: EntryOf<'act'>): [House, Changes] {
  const unchanged: House = { ...house, seq: entry.seq, at: entry.at }
  if (entry.act === 'acknowledge') {
    const [alarms, changed] = acknowledged(house.alarms, entry.alarm, entry.by, entry.at)
    const touched = changed ? new Set([changed.station]) : nothing.stations
    return [{ ...unchanged, alarms }, changed ? { findings: [], alarms: [changed], stations: touched } : nothing]
  }
  if (entry.act === 'run-start') {
    const { declaration } = entry
    const index = house.rules.stationOf.get(declaration.station)
    const recipe = recipeOf(house.rules.foundry, declaration.recipe, declaration.revision)
    if (index === undefined || !recipe) return [unchanged, nothing]
    // A run declared over a past that has ended never stands open: its record is folded from the journal.
    const { startedAt: from = entry.at, endedAt: to } = declaration
    if (to !== undefined)
      return declaration.kind !== 'burnout'
        ? [unchanged, nothing]
        : inStation(house, entry, index, (draft, scene, station) =>
            burnoutSaid(draft, scene, station, { from, to, by: entry.by }),
          )
    return inStation(house, entry, index, (draft, scene, station) => startRun(draft, scene, station, entry, recipe))
  }
  if (entry.act === 'stirred' || entry.act === 'new-wax') {
    const { act: deed, station: pot, at } = entry
    const index = house.rules.stationOf.get(pot)
    if (index === undefined) return [unchanged, nothing]
    return inStation(house, entry, index, (draft, scene, station) => {
      touch(draft, scene.rules.station.id)
      return potDeed(station, deed, at)
    })
  }
  // What it brought in was judged reading by reading.
  if (entry.act === 'import') return [unchanged, nothing]
  if (entry.act === 'check')
    return withInstrument(house, entry, entry.instrument, (draft, scene, state) => checked(draft, scene, state))
  const index = stationOfRun(house, entry.run)
  if (index < 0) return [unchanged, nothing]
  const ran = inStation(house, entry, index, (draft, scene, station) => {
    if (entry.act === 'run-step') return markRun(draft, scene, station, entry.run, entry.step, entry.by)
    if (entry.act === 'run-undo') return undoRun(draft, scene, station, entry.run)
    return closeRun(draft, scene, station, entry)
  })
  return entry.act === 'run-step' ? withWork(ran, index, entry.run, entry.at) : ran
}

/** A pot from which a coat was taken just now was not left on for nothing. */
function withWork([house, changes]: [House, Changes], home: number, run: string, at: number): [House, Changes] {
  const progress = house.stations[home]?.runs.find((r) => r.run.id === run)?.run.progress
  const last = progress?.kind === 'coating' ? progress.done.at(-1) : undefined
  const pot = last && last.at === at ? (house.rules.stationOf.get(last.pot) ?? -1) : -1
  const station = house.stations[pot]
  return station
    ? [{ ...house, stations: house.stations.with(pot, potDeed(station, 'coat', at)) }, changes]
    : [house, changes]
}

function silenceMsIn(scene: Scene, instrument: string): DurationMs {
  return scene.rules.silenceMs[scene.rules.instruments.findIndex((i) => i.id === instrument)] as number
}

function isFresh(scene: Scene, entry: EntryOf<'fault'>): boolean {
  const instrument = scene.rules.instruments.find((i) => i.id === entry.instrument)
  return instrument !== undefined && entry.at - entry.measuredAt <= backlogMsOf(instrument)
}

function fault(house: House, entry: EntryOf<'fault'>): [House, Changes] {
  const at = house.rules.instrumentAt.get(entry.instrument)
  if (!at) return [{ ...house, seq: entry.seq, at: entry.at }, nothing]
  return inStation(house, entry, at.station, (draft, scene, station) => {
    const before = station.instruments[at.instrument] as InstrumentState
    const state = cannot(draft, scene, before, entry, isFresh(scene, entry))
    const told = { ...station, instruments: station.instruments.with(at.instrument, state) }
    return examinedFault(draft, scene, told, at.instrument, entry)
  })
}

/** Coatings of other stations that take from this pot. */
function withCoatings([house, changes]: [House, Changes], entry: Entry, pot: number): [House, Changes] {
  const id = house.rules.stations[pot]?.station.id ?? ''
  const others = house.stations.flatMap(({ runs }, i) =>
    i !== pot && runs.some((r) => r.run.pots?.includes(id)) ? [i] : [],
  )
  if (others.length === 0) return [house, changes]
  const draft: Draft = { ...changes, standing: house.alarms }
  const stations = house.stations.map((station, i) =>
    others.includes(i) ? stepCoatings(draft, sceneOf(house, i, entry), station, id) : station,
  )
  return [{ ...house, stations, alarms: draft.standing }, draft]
}

/** What this entry means. The state that was handed in is never changed. */
export function judge(house: House, entry: Entry): [House, Changes] {
  switch (entry.kind) {
    case 'reading': {
      const at = house.rules.seriesAt.get(entry.series)
      if (!at) return otherReading(house, entry)
      const moved = inStation(house, entry, at.station, (draft, scene, station) =>
        judgeReading(draft, scene, station, at.series, entry),
      )
      return house.rules.stations[at.station]?.pot ? withCoatings(moved, entry, at.station) : moved
    }
    case 'fault':
      return fault(house, entry)
    case 'presence':
      return withInstrument(house, entry, entry.instrument, (draft, scene, state) =>
        present(draft, scene, state, entry.online, silenceMsIn(scene, entry.instrument)),
      )
    case 'tick':
      return tick(house, entry)
    case 'start':
      return [
        entry.downSince === null
          ? { ...house, seq: entry.seq, at: entry.at }
          : afterAbsence(house, entry, entry.downSince),
        nothing,
      ]
    case 'clock-step':
      return [afterStep(house, entry, entry.byMs), nothing]
    case 'foundry':
      return adopt(house, entry)
    case 'act':
      return act(house, entry)
    case 'conflict':
      return conflict(house, entry)
    case 'unreadable':
    case 'retired':
    case 'mailing':
    case 'mailed':
      return [{ ...house, seq: entry.seq, at: entry.at }, nothing]
  }
}

/** A quantity that is not judged still shows that its instrument is alive. */
function otherReading(house: House, entry: EntryOf<'reading'>): [House, Changes] {
  return withInstrument(house, entry, entry.series.slice(0, entry.series.lastIndexOf('.')), spoke)
}
