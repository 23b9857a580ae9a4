/** Blindness: an instrument that speaks, but sends nothing usable of one of the things that somebody relies on. */
import type { EpochMs } from '../time.ts'
import { clear, type Draft, raise, type Scene } from './draft.ts'
import type { SeriesRules } from './rules.ts'
import type { InstrumentState, SeriesState } from './state.ts'

/** When the series will have been unseen for its silence limit, though its instrument sent readings since; Infinity where it did not, or
 *  where the instrument's own silence or inability says it already. */
export function blindDueAt(rules: SeriesRules, state: SeriesState, instrument: InstrumentState): EpochMs {
  if (!rules.needed || state.blind || instrument.quiet || instrument.unable) return Infinity
  if (instrument.spokeAt <= state.sightAt) return Infinity
  // What it never sent is missed only where the house asks something of it.
  if (state.frontier === null && rules.limits.length === 0) return Infinity
  return Math.max(state.sightAt, instrument.backAt) + rules.silenceMs
}

function textOf(rules: SeriesRules, state: SeriesState): string {
  if (state.frontier === null) return `it sends no ${rules.quantity}`
  return state.quality === 'bad'
    ? `what it sends as ${rules.quantity} cannot be true`
    : `it sends no ${rules.quantity} any more`
}

export function lookFor(
  draft: Draft,
  scene: Scene,
  rules: SeriesRules,
  state: SeriesState,
  instrument: InstrumentState,
): SeriesState {
  const due = blindDueAt(rules, state, instrument)
  if (scene.at < due) return state
  const id = scene.rules.instruments[rules.instrument]?.id ?? ''
  const text = textOf(rules, state)
  const facts = state.noAnswer === null ? { text } : { text, noAnswer: state.noAnswer }
  return {
    ...state,
    blind: raise(draft, scene, {
      kind: 'instrument-fault',
      subject: rules.series,
      instrument: id,
      since: due,
      facts,
    }),
  }
}

/** A usable value came. */
export function seenAgain(draft: Draft, scene: Scene, state: SeriesState, t: EpochMs): void {
  if (state.blind) clear(draft, scene, state.blind, t)
}
