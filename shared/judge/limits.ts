/** Standing limits: one value of one series held against ceiling, window and rate. */
import type { Answer, FindingFacts } from '../contract/index.ts'
import type { EpochMs } from '../time.ts'
import type { AppliedLimit } from './applied.ts'
import { dueAt, type Moment, see, turnAt, untouched } from './condition.ts'
import { clear, type Draft, raise, type Scene } from './draft.ts'
import type { SeriesRules } from './rules.ts'
import { seenUntil } from './sight.ts'
import type { Condition, SeriesState, Trail } from './state.ts'
import { follow, noTrail, ratePerMinute } from './trail.ts'

/** Takes one value into the trail of every rate limit; across a hole they begin anew. */
export function followAll(
  rules: SeriesRules,
  trails: readonly Trail[],
  t: EpochMs,
  value: number,
  unbroken: boolean,
): readonly Trail[] {
  const { rates } = rules
  if (rates.length === 0) return trails
  const next: Trail[] = []
  for (let i = 0; i < rates.length; i++)
    next.push(follow((unbroken && trails[i]) || noTrail, t, value, (rates[i] as AppliedLimit).overMs))
  return next
}

export function newTrails(rules: SeriesRules): readonly Trail[] {
  return rules.rates.map(() => noTrail)
}

/** °C/min; null while too little was seen. */
function rateOf(applied: AppliedLimit, state: SeriesState): number | null {
  const trail = state.trails[applied.trail]
  return trail ? ratePerMinute(trail, applied.overMs) : null
}

/** Whether the newest value is beyond the limit, drawn in by `band`; null where that cannot be told: a rate of which too little was seen. */
function isOut(applied: AppliedLimit, state: SeriesState, band: number): boolean | null {
  const { limit } = applied
  const { value } = state
  switch (limit.kind) {
    case 'ceiling':
      return value > limit.aboveC - band
    case 'window':
      return (
        (limit.from !== undefined && value < limit.from + band) || (limit.to !== undefined && value > limit.to - band)
      )
    case 'rise': {
      const rate = rateOf(applied, state)
      return rate === null ? null : rate > limit.cPerMinuteMax - band
    }
  }
}

type LimitFinding =
  | { kind: 'above-ceiling'; facts: FindingFacts['above-ceiling'] }
  | { kind: 'outside-window'; facts: FindingFacts['outside-window'] }
  | { kind: 'rising-too-fast'; facts: FindingFacts['rising-too-fast'] }

function foundBy(applied: AppliedLimit, state: SeriesState): LimitFinding {
  const { limit } = applied
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
      const cPerMinute = rateOf(applied, state) ?? 0
      return { kind: 'rising-too-fast', facts: { cPerMinute, cPerMinuteMax: limit.cPerMinuteMax, valueC: value } }
    }
  }
}

function announce(
  draft: Draft,
  scene: Scene,
  rules: SeriesRules,
  applied: AppliedLimit,
  condition: Condition,
  state: SeriesState,
): Condition {
  const { kind, facts } = foundBy(applied, state)
  const { answer } = applied.limit
  const instrument = scene.rules.instruments[rules.instrument]?.id ?? ''
  const what: {
    kind: typeof kind
    subject: string
    instrument: string
    since: EpochMs
    facts: never
    answer?: Answer
  } = {
    kind,
    subject: applied.subject,
    instrument,
    since: condition.since ?? scene.at,
    facts: facts as never,
  }
  if (answer) what.answer = answer
  return { ...condition, backSince: null, finding: raise(draft, scene, what) }
}

/** While a finding stands it remembers how far it went: what was announced was only the beginning. */
function atWorst(condition: Condition, value: number): Condition {
  const { finding } = condition
  if (finding?.kind === 'above-ceiling') {
    const { valueC, peakC = valueC } = finding.facts
    return value > peakC
      ? { ...condition, finding: { ...finding, facts: { ...finding.facts, peakC: value } } }
      : condition
  }
  if (finding?.kind === 'outside-window') {
    const { value: first, worst = first, side } = finding.facts
    const isWorse = side === 'below' ? value < worst : value > worst
    return isWorse ? { ...condition, finding: { ...finding, facts: { ...finding.facts, worst: value } } } : condition
  }
  return condition
}

function end(draft: Draft, scene: Scene, condition: Condition): Condition {
  if (condition.finding) clear(draft, scene, condition.finding, condition.backSince ?? scene.at)
  return untouched(condition.key)
}

function turned(
  draft: Draft,
  scene: Scene,
  rules: SeriesRules,
  applied: AppliedLimit,
  condition: Condition,
  state: SeriesState,
  now: EpochMs,
): Condition {
  const turn = turnAt(condition, now, applied.delays)
  if (turn === 'raise') return announce(draft, scene, rules, applied, condition, state)
  return turn === 'clear' ? end(draft, scene, condition) : condition
}

/** Holds the newest value against every limit of its series. */
export function judgeLimits(
  draft: Draft,
  scene: Scene,
  rules: SeriesRules,
  state: SeriesState,
  moment: Moment,
): readonly Condition[] {
  let conditions = state.conditions
  for (let i = 0; i < rules.limits.length; i++) {
    const applied = rules.limits[i] as AppliedLimit
    const before = conditions[i] as Condition
    const out = isOut(applied, state, before.finding === null ? 0 : applied.deadband)
    if (out === null || (!out && before.since === null)) continue
    const next = atWorst(see(before, out, moment), state.value)
    const after = moment.fresh ? turned(draft, scene, rules, applied, next, state, moment.t) : next
    if (after !== before) conditions = conditions.with(i, after)
  }
  return conditions
}

/** Time passed without a value: delays may have run out on what is still seen. */
export function waitLimits(draft: Draft, scene: Scene, rules: SeriesRules, state: SeriesState): readonly Condition[] {
  if (rules.limits.length === 0 || scene.at > seenUntil(rules, state)) return state.conditions
  let conditions = state.conditions
  rules.limits.forEach((applied, i) => {
    const before = conditions[i] as Condition
    const after = turned(draft, scene, rules, applied, before, state, scene.at)
    if (after !== before) conditions = conditions.with(i, after)
  })
  return conditions
}

/** When `waitLimits` would next change something, asked at `now`; Infinity where it never would. */
export function limitsDueAt(rules: SeriesRules, state: SeriesState, now: EpochMs): EpochMs {
  let due = Infinity
  for (let i = 0; i < rules.limits.length; i++) {
    const condition = state.conditions[i]
    if (condition) due = Math.min(due, Math.max(now, dueAt(condition, (rules.limits[i] as AppliedLimit).delays)))
  }
  return due <= seenUntil(rules, state) ? due : Infinity
}
