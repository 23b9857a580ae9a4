/** The walk along the recipe, by measurement: a segment advances by its rule, not by the clock, as far as every governing probe has spoken. */
import type { Appointment, BurnoutRecipe, HoldLedger, Segment } from '../../contract/index.ts'
import { type EpochMs, minuteMs } from '../../time.ts'
import type { StationRules } from '../rules.ts'
import { credit, newLedger } from './credit.ts'
import { courseOf, type Lane, nextBreak, settledAt, spokenUpTo, valueAt } from './lanes.ts'
import { directionOf, endOf, governorsOf, targetOf } from './plan.ts'

export interface Walk {
  /** Everything up to here is walked. */
  upTo: EpochMs
  /** Whether the first instant was. */
  begun: boolean
  segment: number
  since: EpochMs
  /** When each segment began, the first one first. */
  began: readonly EpochMs[]
  /** Temperature at which the first ramp really began, °C. */
  startedFromC: number | null
  ledgers: readonly HoldLedger[]
}

export interface Ground {
  rules: StationRules
  recipe: BurnoutRecipe
  appointed: readonly Appointment[]
}

export function beginWalk(recipe: BurnoutRecipe, at: EpochMs): Walk {
  return {
    upTo: at,
    begun: false,
    segment: 0,
    since: at,
    began: [at],
    startedFromC: null,
    ledgers: opened([], recipe, 0, at),
  }
}

function opened(ledgers: readonly HoldLedger[], recipe: BurnoutRecipe, at: number, t: EpochMs): readonly HoldLedger[] {
  const segment = recipe.segments[at]
  return segment?.kind === 'hold' ? [...ledgers, newLedger(at, t, segment.minutes * minuteMs)] : ledgers
}

function advanced(walk: Walk, recipe: BurnoutRecipe, t: EpochMs): Walk {
  const segment = walk.segment + 1
  const ledgers = walk.ledgers.map((l) => (l.segment === walk.segment && l.to === null ? { ...l, to: t } : l))
  return {
    ...walk,
    upTo: t,
    segment,
    since: t,
    began: [...walk.began, t],
    ledgers: opened(ledgers, recipe, segment, t),
  }
}

/** The slowest of these: the lowest while it rises or holds, the highest while it falls; null unless all are seen. */
export function slowestOf(values: readonly (number | null)[], direction: 1 | -1): number | null {
  let slow: number | null = null
  for (const value of values) {
    if (value === null) return null
    slow = slow === null ? value : direction < 0 ? Math.max(slow, value) : Math.min(slow, value)
  }
  return slow
}

/**
 * A ramp is through when the kiln is at its end; or within tolerance of it once the line has got there, for a kiln may creep up to its end
 * for ever. Not sooner: the next segment would run ahead of a kiln that keeps its recipe.
 */
function isRampThrough(walk: Walk, recipe: BurnoutRecipe, slow: number, t: EpochMs): boolean {
  const segment = recipe.segments[walk.segment] as Segment & { kind: 'ramp' }
  const beyond = directionOf(recipe, walk.segment) * (slow - segment.toC)
  const target = targetOf(recipe, walk.segment, walk.since, walk.startedFromC ?? slow, t)
  return beyond >= 0 || (target === segment.toC && beyond >= -segment.toleranceC)
}

function walkHold(walk: Walk, ground: Ground, probes: readonly string[], lanes: readonly Lane[], to: EpochMs): Walk {
  const { recipe } = ground
  const segment = recipe.segments[walk.segment] as Segment & { kind: 'hold' }
  const at = walk.ledgers.length - 1
  const target = endOf(recipe, walk.segment)
  // A hold that only waits is over when its minutes are; its ledger shows what of them was as wished.
  const end = segment.credited === false ? Math.min(to, walk.since + segment.minutes * minuteMs) : to
  const [ledger, full] = credit(
    walk.ledgers[at] as HoldLedger,
    probes,
    probes.map((probe) => courseOf(lanes, probe, walk.upTo, end)),
    new Set(lanes.map((lane) => lane.probe)),
    { floorC: target - segment.toleranceC, maximumC: recipe.maximumC ?? Infinity },
    walk.upTo,
    end,
  )
  const next = { ...walk, ledgers: walk.ledgers.with(at, ledger) }
  const over = segment.credited === false ? (end >= walk.since + segment.minutes * minuteMs ? end : null) : full
  return over === null ? { ...next, upTo: end } : advanced(next, recipe, over)
}

/** Walks as far as all have spoken. */
export function walked(before: Walk, ground: Ground, lanes: readonly Lane[]): [Walk, readonly Lane[]] {
  const { rules, recipe, appointed } = ground
  let walk = before
  for (;;) {
    const probes = governorsOf(rules, recipe, walk.segment, appointed, walk.upTo)
    // Up to the instant at which one is replaced, those are waited for who govern from then on: the one that is dead says nothing more.
    const turn = appointed.find((a) => a.at > walk.upTo)?.at ?? Infinity
    const awaited = turn === Infinity ? probes : governorsOf(rules, recipe, walk.segment, appointed, turn)
    const limit = Math.min(spokenUpTo(lanes, awaited), turn)
    if (limit < walk.upTo || (walk.begun && limit === walk.upTo)) return [walk, settledAt(lanes, walk.upTo)]
    const to = nextBreak(lanes, probes, walk.upTo, limit, walk.begun)
    const segment = recipe.segments[walk.segment]
    const slow = slowestOf(
      probes.map((p) => valueAt(lanes, p, to)),
      directionOf(recipe, walk.segment),
    )
    walk = { ...walk, begun: true, startedFromC: walk.startedFromC ?? slow }
    if (!segment) walk = { ...walk, upTo: to }
    else if (segment.kind === 'hold') walk = walkHold(walk, ground, probes, lanes, to)
    else if (slow !== null && isRampThrough(walk, recipe, slow, to)) walk = advanced(walk, recipe, to)
    else walk = { ...walk, upTo: to }
  }
}
