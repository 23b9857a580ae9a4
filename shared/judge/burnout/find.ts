/** A burnout that nobody said, noticed from the kiln's own air: by measurement, point by point, and told only by what speaks of now. */
import type { UndeclaredBurnout } from '../../contract/index.ts'
import type { DurationMs, EpochMs } from '../../time.ts'
import { acknowledged } from '../alarms.ts'
import type { Moment } from '../condition.ts'
import { clear, type Draft, raise, type Scene, touch } from '../draft.ts'
import type { SeriesState, StationState } from '../state.ts'
import { pointMs, rateOf } from './climb.ts'
import { airSeen, restNow } from './find-course.ts'
import { type FindState, newFind } from './find-state.ts'
import { keptFrom, keptWith, nothingKept } from './kept.ts'

/** So many that are over wait to be declared. Reason: a busy fortnight; older ones can still be declared by their times. */
const pastMax = 8

/** What stands is told for the last time, with how hot it became. */
function ended(draft: Draft, scene: Scene, { finding, heat }: FindState, at: EpochMs): void {
  if (finding?.kind !== 'burnout-found') return
  clear(draft, scene, { ...finding, facts: { ...finding.facts, topC: heat?.topC ?? finding.facts.topC } }, at)
}

/** It is cold again and nobody has said it: it can still be declared. */
function over(draft: Draft, scene: Scene, find: FindState, to: EpochMs): FindState {
  const { since: from, fromC, topC } = find.heat as NonNullable<FindState['heat']>
  ended(draft, scene, find, to)
  touch(draft, scene.rules.station.id)
  const past = [...find.past, { from, to, fromC, topC }].slice(-pastMax)
  return { ...find, heat: null, finding: null, rest: restNow(find), since: null, past }
}

function announced(draft: Draft, scene: Scene, find: FindState, slackMs: DurationMs): FindState {
  const { heat, points } = find
  if (heat === null || find.finding !== null) return find
  const { since, fromC, topC } = heat
  const { station, series, instruments } = scene.rules
  const instrument = instruments[series[scene.rules.air]?.instrument ?? -1]?.id
  const valueC = points.at(-1)?.v ?? topC
  const facts = { fromC, valueC, cPerHour: rateOf(points, slackMs), topC }
  const what = { kind: 'burnout-found', subject: station.id, since, facts } as const
  return { ...find, finding: raise(draft, scene, instrument === undefined ? what : { ...what, instrument }) }
}

/** One reading of this kiln moved on. Under way, a burnout that was said is nobody's secret. */
export function lookForBurnout(
  draft: Draft,
  scene: Scene,
  station: StationState,
  series: number,
  moment: Moment,
): StationState {
  const rules = scene.rules.series[series]
  const { find } = station
  if (find === null || rules?.quantity !== 'temperature' || isSaid(station)) return station
  const { value, quality } = station.series[series] as SeriesState
  const { t, fresh } = moment
  const good = quality !== 'bad'
  const kept = keptWith(find.kept, [series, t, good ? value : null])
  const next = { ...find, kept }
  if (series !== scene.rules.air || !good) return { ...station, find: next }
  const slackMs = Math.max(pointMs, rules.silenceMs)
  const [seen, to] = airSeen(next, { t, v: value, good }, slackMs)
  const after = to === null ? seen : over(draft, scene, seen, to)
  return { ...station, find: fresh ? announced(draft, scene, after, slackMs) : after }
}

const isSaid = ({ runs }: StationState) => runs.some((r) => r.run.kind === 'burnout')

export interface Said {
  from: EpochMs
  /** Null: it goes on. */
  to: EpochMs | null
  by: string
}

/** Whoever says which burnout it is has seen that it was found. */
function answered(draft: Draft, scene: Scene, find: FindState, by: string): void {
  const alarm = draft.standing.find((a) => a.finding.id === find.finding?.id)
  if (alarm) draft.standing = acknowledged(draft.standing, alarm.id, by, scene.at)[0]
  ended(draft, scene, find, scene.at)
}

/** A burnout was said, from then on or over that period: what was found of it is found no more. */
export function burnoutSaid(draft: Draft, scene: Scene, station: StationState, said: Said): StationState {
  const { find } = station
  if (find === null) return station
  const { from, by } = said
  const to = said.to ?? Infinity
  const past = find.past.filter((p) => p.from >= to || (p.to ?? Infinity) <= from)
  // One that is said to begin now, on a kiln that is hot already, is the one that was found.
  const isIt = find.heat !== null && (said.to === null || (find.heat.since < to && scene.at > from))
  if (past.length < find.past.length || isIt) touch(draft, scene.rules.station.id)
  if (isIt) answered(draft, scene, find, by)
  if (said.to === null) return { ...station, find: { ...newFind, past } }
  if (!isIt) return { ...station, find: { ...find, past } }
  // What rises on after the end that was said is another one.
  const ended = { heat: null, finding: null, rest: restNow(find), since: null, kept: nothingKept }
  return { ...station, find: { ...find, ...ended, past } }
}

/** Burnouts of this kiln that nobody has said: the one that goes on last. */
export function undeclaredOf({ find }: StationState): UndeclaredBurnout[] {
  if (find === null) return []
  const { heat, past } = find
  return heat ? [...past, { from: heat.since, to: null, fromC: heat.fromC, topC: heat.topC }] : [...past]
}

/** Since when the judge still holds what this kiln did: a burnout may be said to have begun there and to go on. Infinity where it does not. */
export function heldSince({ find }: StationState): EpochMs {
  return find === null ? Infinity : keptFrom(find.kept)
}
