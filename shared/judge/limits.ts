/** Standing limits: one value of one series held against ceiling, window and rate. */
import type { Answer, FindingFacts, StandingLimit } from '../contract/index.ts'
import type { EpochMs } from '../time.ts'
import { type Delays, type Sight, see, untouched, wait } from './condition.ts'
import { clear, type Draft, raise, type Scene } from './draft.ts'
import type { AppliedLimit, SeriesRules } from './rules.ts'
import type { Condition, SeriesState } from './state.ts'
import { ratePerMinute } from './trail.ts'

/** Delays where the house names none. Reason: a ceiling waits for nobody; a minute is the standard's starting point for temperature
 *  (ISA-18.2, delay starts, seen second-hand: from memory of the standard). */
const delayOf: Record<StandingLimit['kind'], Delays> = {
  ceiling: { onMs: 0, offMs: 0 },
  window: { onMs: 60_000, offMs: 60_000 },
  rise: { onMs: 0, offMs: 60_000 },
}

/** Deadband where the house names none: 0.5 of the unit, or a tenth of the rate. Common practice, no source. */
const deadbandMin = 0.5

export function delaysOf(limit: StandingLimit): Delays {
  const standard = delayOf[limit.kind]
  return {
    onMs: limit.onDelayS === undefined ? standard.onMs : limit.onDelayS * 1_000,
    offMs: limit.offDelayS === undefined ? standard.offMs : limit.offDelayS * 1_000,
  }
}

/** The longest stretch that any rate limit of the series looks over, s; 0 where there is none. */
export function riseOverS(rules: SeriesRules): number {
  return rules.limits.reduce((over, { limit }) => (limit.kind === 'rise' ? Math.max(over, limit.overS) : over), 0)
}

function sightOf(limit: StandingLimit, state: SeriesState): Sight {
  const { value } = state
  switch (limit.kind) {
    case 'ceiling':
      return { beyond: value > limit.aboveC, held: value > limit.aboveC - (limit.deadband ?? deadbandMin) }
    case 'window': {
      const band = limit.deadband ?? deadbandMin
      const from = limit.from ?? -Infinity
      const to = limit.to ?? Infinity
      return { beyond: value < from || value > to, held: value < from + band || value > to - band }
    }
    case 'rise': {
      const rate = (state.trail && ratePerMinute(state.trail, limit.overS)) ?? 0
      return {
        beyond: rate > limit.cPerMinuteMax,
        held: rate > limit.cPerMinuteMax - (limit.deadband ?? limit.cPerMinuteMax / 10),
      }
    }
  }
}

type LimitFinding =
  | { kind: 'above-ceiling'; facts: FindingFacts['above-ceiling'] }
  | { kind: 'outside-window'; facts: FindingFacts['outside-window'] }
  | { kind: 'rising-too-fast'; facts: FindingFacts['rising-too-fast'] }

function foundBy(limit: StandingLimit, state: SeriesState): LimitFinding {
  const { value } = state
  switch (limit.kind) {
    case 'ceiling':
      return { kind: 'above-ceiling', facts: { valueC: value, ceilingC: limit.aboveC } }
    case 'window': {
      const side = limit.from !== undefined && value < limit.from ? 'below' : 'above'
      const facts = { quantity: limit.quantity, value, from: limit.from ?? null, to: limit.to ?? null, side } as const
      return { kind: 'outside-window', facts }
    }
    case 'rise': {
      const cPerMinute = (state.trail && ratePerMinute(state.trail, limit.overS)) ?? 0
      return { kind: 'rising-too-fast', facts: { cPerMinute, cPerMinuteMax: limit.cPerMinuteMax, valueC: value } }
    }
  }
}

function announce(draft: Draft, scene: Scene, applied: AppliedLimit, condition: Condition, state: SeriesState, instrument: string): Condition {
  const { kind, facts } = foundBy(applied.limit, state)
  const { answer } = applied.limit
  const what: { kind: typeof kind; subject: string; instrument: string; since: EpochMs; facts: never; answer?: Answer } = {
    kind,
    subject: applied.subject,
    instrument,
    since: condition.since ?? scene.at,
    facts: facts as never,
  }
  if (answer) what.answer = answer
  return { ...condition, backSince: null, finding: raise(draft, scene, what) }
}

function end(draft: Draft, scene: Scene, condition: Condition): Condition {
  if (condition.finding) clear(draft, scene, condition.finding, condition.backSince ?? scene.at)
  return untouched(condition.key)
}

/** Holds the newest value against every limit of its series. `t` is its judged time; backlog announces nothing. */
export function judgeLimits(draft: Draft, scene: Scene, rules: SeriesRules, state: SeriesState, t: EpochMs, fresh: boolean): readonly Condition[] {
  const instrument = scene.rules.instruments[rules.instrument]?.id ?? ''
  let conditions = state.conditions
  for (let i = 0; i < rules.limits.length; i++) {
    const applied = rules.limits[i] as AppliedLimit
    const before = conditions[i] as Condition
    const [next, turn] = see(before, sightOf(applied.limit, state), t, delaysOf(applied.limit), fresh)
    const after =
      turn === 'raise' ? announce(draft, scene, applied, next, state, instrument) : turn === 'clear' ? end(draft, scene, next) : next
    if (after !== before) conditions = conditions.with(i, after)
  }
  return conditions
}

/** Time passed without a value: delays may have run out on what was last seen. */
export function waitLimits(draft: Draft, scene: Scene, rules: SeriesRules, state: SeriesState): readonly Condition[] {
  const instrument = scene.rules.instruments[rules.instrument]?.id ?? ''
  let conditions = state.conditions
  rules.limits.forEach((applied, i) => {
    const before = conditions[i] as Condition
    const turn = wait(before, scene.at, delaysOf(applied.limit))
    if (turn === 'raise') conditions = conditions.with(i, announce(draft, scene, applied, before, state, instrument))
    if (turn === 'clear') conditions = conditions.with(i, end(draft, scene, before))
  })
  return conditions
}
