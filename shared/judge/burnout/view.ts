/** Where a burnout stands, put together for people. */
import type { BurnoutPhase, BurnoutRecipe, BurnoutView, Refusal } from '../../contract/index.ts'
import { minuteMs } from '../../time.ts'
import type { Scene } from '../draft.ts'
import { seenValue } from '../sight.ts'
import type { RunState, StationState } from '../state.ts'
import { leavesEarly } from './asks.ts'
import { directionOf, governorsOf, targetOf } from './plan.ts'
import type { BurnoutState } from './state.ts'
import { slowestOf } from './walk.ts'
import type { Watched } from './watch.ts'

export function seriesOf(scene: Scene, probe: string): number {
  return scene.rules.series.findIndex(
    (s) => s.quantity === 'temperature' && scene.rules.instruments[s.instrument]?.id === probe,
  )
}

/** What was watched of the kiln's air. */
export function airOf({ rules }: Scene, state: BurnoutState): Watched | undefined {
  const air = rules.instruments[rules.series[rules.air]?.instrument ?? -1]
  return state.watched.find((w) => w.probe === air?.id)
}

/** What the present hold does now: what its ledger last said, unless somebody who governs cannot be seen now. */
function standsNow(
  scene: Scene,
  station: StationState,
  state: BurnoutState,
  governing: readonly string[],
): NonNullable<BurnoutView['stands']> | null {
  const ledger = state.walk.ledgers.at(-1)
  if (!ledger || ledger.segment !== state.walk.segment) return null
  const last = ledger.stretches.at(-1)
  const blind = governing.find((probe) => seenValue(scene, station, seriesOf(scene, probe)) === null)
  if (blind !== undefined) {
    const refused: Refusal = seriesOf(scene, blind) < 0 ? 'missing' : 'unseen'
    const lane = state.lanes.find((l) => l.probe === blind)
    return { refused, probe: blind, since: lane?.next.at(-1)?.t ?? lane?.last?.t ?? ledger.from }
  }
  return last ? { refused: last.refused, probe: last.probe, since: last.from } : null
}

/** A ramp that has not moved by a tenth of what it asks for a quarter of an hour. */
function isStalled(air: Watched | undefined, asked: number, direction: 1 | -1, since: number): boolean {
  const minutes = air?.minutes ?? []
  const newest = minutes.at(-2)
  if (newest === undefined) return false
  const from = newest - 15 * minuteMs
  if (from < since) return false
  const i = minutes.findIndex((t, k) => k % 2 === 0 && t >= from)
  const moved = direction * ((minutes.at(-1) as number) - (minutes[i + 1] as number))
  return i >= 0 && (minutes[i] as number) <= from + 2 * minuteMs && moved < 0.1 * asked * 0.25
}

export function phaseOf(
  recipe: BurnoutRecipe,
  state: BurnoutState,
  view: Pick<BurnoutView, 'temperatureC' | 'deviationC' | 'stands'>,
  air: Watched | undefined,
): BurnoutPhase {
  const { walk } = state
  const segment = recipe.segments[walk.segment]
  if (!segment) return 'through'
  const loss = state.losses.at(-1)
  if (loss && loss.to === null) return loss.what
  if (view.temperatureC === null) return 'unseen'
  if (segment.kind === 'hold') return view.stands && view.stands.refused === null ? 'credited' : 'not-credited'
  const direction = directionOf(recipe, walk.segment)
  if (isStalled(air, segment.cPerHour, direction, walk.since)) return 'stalled'
  const off = direction * (view.deviationC ?? 0)
  if (Math.abs(off) <= segment.toleranceC) return 'on-line'
  return off < 0 ? 'lagging' : 'ahead'
}

export function viewOf(scene: Scene, station: StationState, run: RunState, state: BurnoutState): BurnoutView {
  const recipe = run.recipe as BurnoutRecipe
  const { walk } = state
  const governing = governorsOf(scene.rules, recipe, walk.segment, state.appointed, scene.at)
  const values = governing.map((probe) => seenValue(scene, station, seriesOf(scene, probe)))
  const direction = directionOf(recipe, Math.min(walk.segment, recipe.segments.length - 1))
  const temperatureC = slowestOf(values, direction)
  const slowest = temperatureC === null ? null : (governing[values.indexOf(temperatureC)] ?? null)
  const segment = recipe.segments[walk.segment]
  const isThrough = segment === undefined
  const from = walk.startedFromC ?? temperatureC
  const t = Math.max(walk.since, scene.at)
  const targetC =
    isThrough || from === null
      ? null
      : targetOf(recipe, walk.segment, Math.max(walk.since, state.lineFrom ?? 0), from, t)
  const stands = standsNow(scene, station, state, governing)
  const air = airOf(scene, state)
  const ledger = walk.ledgers.at(-1)
  const isHeld = ledger !== undefined && ledger.segment === walk.segment
  const partial = {
    temperatureC,
    deviationC: temperatureC === null || targetC === null ? null : temperatureC - targetC,
    ...(stands === null ? {} : { stands }),
  }
  return {
    kind: 'burnout',
    ...partial,
    segment: walk.segment,
    segmentSince: walk.since,
    began: [...walk.began],
    targetC,
    creditedMs: isHeld ? ledger.creditedMs : 0,
    phase: phaseOf(recipe, state, partial, air),
    governing,
    slowest,
    airCPerHour: air?.cPerHour ?? null,
    holds: walk.ledgers.map(({ stretches: _, ...sums }) => sums),
    crossings: [...state.crossings, ...state.watched.flatMap((w) => w.inside)],
    losses: [...state.losses],
    hands: [...state.hands],
    appointed: [...state.appointed],
    leavesEarly: leavesEarly(state, recipe, stands?.refused === null ? walk.upTo : (state.creditFrom ?? walk.upTo)),
    ready: state.ready,
    pulledAt: state.pulledAt,
    pouredAt: state.pouredAt,
  }
}
