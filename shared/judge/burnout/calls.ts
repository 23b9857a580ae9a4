/** What a burnout calls people for: findings that stand while something is so, each with its own delays. */
import type { BurnoutRecipe, BurnoutView, FindingFacts, FindingKind } from '../../contract/index.ts'
import { type EpochMs, minuteMs } from '../../time.ts'
import type { Delays } from '../calm.ts'
import { dueAt, type Moment, notSeen, see, turnAt, untouched } from '../condition.ts'
import { clear, type Draft, raise, type Scene } from '../draft.ts'
import type { Condition, RunState } from '../state.ts'
import type { BurnoutState } from './state.ts'

/**
 * How calm each is. A kiln breathes: off its line for ten minutes, or with its credit stopped for five, before anybody is called. Common practice,
 * no source.
 */
const delays = {
  'off-recipe': { onMs: 10 * minuteMs, offMs: 2 * minuteMs },
  'soak-paused': { onMs: 5 * minuteMs, offMs: minuteMs },
  'leaves-early': { onMs: 0, offMs: 2 * minuteMs },
  'heat-lost': { onMs: 0, offMs: 0 },
  'band-too-fast': { onMs: 0, offMs: 0 },
  'hand-due': { onMs: 0, offMs: 0 },
} satisfies Partial<Record<FindingKind, Delays>>
type Called = keyof typeof delays

/** Back on its line is back within this part of the tolerance. Common practice, no source. */
const backWithin = 0.8

interface Call<K extends Called> {
  kind: K
  /** Several of one kind may stand. */
  nth?: string
  isOut: boolean
  since?: EpochMs | undefined
  facts: FindingFacts[K]
}

function called<K extends Called>(
  draft: Draft,
  scene: Scene,
  conditions: readonly Condition[],
  run: string,
  call: Call<K>,
  moment: Moment,
): readonly Condition[] {
  const key = call.nth === undefined ? call.kind : `${call.kind} ${call.nth}`
  const at = conditions.findIndex((c) => c.key === key)
  if (at < 0 && !call.isOut) return conditions
  const before = conditions[at] ?? untouched(key)
  let after = see(before, call.isOut, moment)
  const turn = moment.fresh ? turnAt(after, moment.t, delays[call.kind]) : null
  if (turn === 'raise') {
    const subject = call.nth === undefined ? run : `${run} ${call.nth}`
    const since = call.since ?? after.since ?? moment.t
    after = { ...after, finding: raise(draft, scene, { kind: call.kind, subject, since, facts: call.facts }) }
  }
  if (turn === 'clear' && after.finding) {
    clear(draft, scene, after.finding, after.backSince ?? moment.t)
    after = untouched(key)
  }
  if (after === before) return conditions
  return at < 0 ? [...conditions, after] : conditions.with(at, after)
}

/** Ends what stands under these keys. */
export function endCalls(
  draft: Draft,
  scene: Scene,
  conditions: readonly Condition[],
  at: EpochMs,
): readonly Condition[] {
  return conditions.map((c) => {
    if (c.finding) clear(draft, scene, c.finding, at)
    return c.finding || c.since !== null ? untouched(c.key) : c
  })
}

/** A hold whose credit had begun and has stopped; and any hold whose probe cannot be seen. At its beginning a load always lags. */
function soakCall(view: BurnoutView, recipe: BurnoutRecipe): Pick<Call<'soak-paused'>, 'isOut' | 'facts'> {
  const { stands, segment } = view
  const part = recipe.segments[segment]
  const refused = stands?.refused ?? null
  const asked = part?.kind === 'hold' ? part.minutes * minuteMs : 0
  const isCredited = part?.kind === 'hold' && part.credited !== false
  return {
    isOut: isCredited && refused !== null && (view.creditedMs > 0 || refused === 'unseen' || refused === 'missing'),
    facts: {
      run: '',
      segment,
      probe: stands?.probe ?? '',
      refused: refused ?? 'unseen',
      creditedMs: view.creditedMs,
      askedMs: asked,
    },
  }
}

/** Everything that stands or ends with this moment. */
export function callsAfter(
  draft: Draft,
  scene: Scene,
  run: RunState,
  state: BurnoutState,
  view: BurnoutView,
  moment: Moment,
): readonly Condition[] {
  const recipe = run.recipe as BurnoutRecipe
  const id = run.run.id
  const segment = recipe.segments[view.segment]
  let conditions = run.conditions
  const call = <K extends Called>(one: Call<K>) => {
    conditions = called(draft, scene, conditions, id, one, moment)
  }
  const before = conditions.find((c) => c.key === 'off-recipe')
  const { deviationC, targetC } = view
  const toleranceC = segment?.toleranceC ?? 0
  // A load that is not yet in its hold is not off its recipe: it lags, and its credit says so.
  const slowest = scene.rules.instruments.find((i) => i.id === view.slowest)
  const isLag = segment?.kind === 'hold' && slowest?.place === 'kiln-load' && (deviationC ?? 0) < 0
  if (segment && deviationC !== null)
    call({
      kind: 'off-recipe',
      isOut: !isLag && Math.abs(deviationC) > (before?.finding ? backWithin : 1) * toleranceC,
      facts: { run: id, deviationC, targetC: targetC ?? 0, toleranceC, segment: view.segment },
    })
  else if (before) conditions = conditions.map((c) => (c === before ? notSeen(c) : c))
  const soaking = soakCall(view, recipe)
  call({ kind: 'soak-paused', isOut: soaking.isOut, facts: { ...soaking.facts, run: id } })
  const { leavesEarly: leaves } = view
  call({
    kind: 'leaves-early',
    isOut: leaves !== null,
    facts: {
      run: id,
      segment: leaves?.segment ?? view.segment,
      leavesAt: leaves?.at ?? 0,
      creditedMs: leaves?.creditedMs ?? 0,
      askedMs: leaves?.askedMs ?? 0,
    },
  })
  const loss = state.losses.at(-1)
  const isLost = loss !== undefined && loss.to === null && loss.what === 'unheated'
  const fell = loss?.fell[0]
  call({
    kind: 'heat-lost',
    isOut: isLost,
    since: loss?.from,
    facts: { run: id, airC: fell?.toC ?? 0, fromC: fell?.fromC ?? 0, bands: loss?.bands ?? [] },
  })
  for (const { probe, inside } of state.watched)
    for (const { band, cPerHour, cPerHourMax, direction, from } of inside) {
      const facts = { run: id, band, cPerHour, cPerHourMax: cPerHourMax ?? 0, direction }
      const isOut = cPerHourMax !== null && cPerHour > cPerHourMax
      call({ kind: 'band-too-fast', nth: `${probe} ${band} ${from}`, isOut, facts })
    }
  for (const c of conditions)
    if (c.key.startsWith('band-too-fast') && !isInside(state, c.key)) {
      if (c.finding) clear(draft, scene, c.finding, moment.t)
      conditions = conditions.filter((other) => other !== c)
    }
  for (const hand of state.hands) {
    const name = recipe.hands?.find((h) => h.id === hand.id)?.name ?? hand.id
    const isOut = hand.dueAt !== null && hand.done === null
    call({ kind: 'hand-due', nth: hand.id, isOut, facts: { run: id, hand: hand.id, name } })
  }
  return conditions
}

function isInside(state: BurnoutState, key: string): boolean {
  return state.watched.some((w) => w.inside.some((c) => key === `band-too-fast ${w.probe} ${c.band} ${c.from}`))
}

/** When one of them would next turn by time alone. */
export function callsDueAt(conditions: readonly Condition[]): EpochMs {
  return conditions.reduce((due, c) => Math.min(due, dueAt(c, delays[c.key.split(' ')[0] as Called])), Infinity)
}
