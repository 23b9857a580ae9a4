/** Instruments: heard or silent, able or not, with a clock that can be believed or not. */
import type { EpochMs } from '../time.ts'
import { clear, type Draft, raise, type Scene } from './draft.ts'
import type { InstrumentState } from './state.ts'

/** A device that says good-bye may be back in seconds; it is called quiet after this, or after its silence limit if that is shorter. */
const goodbyeMs = 15_000

/** A clock found right again this long is believed again. */
const clockBelievedMs = 60_000

export function newInstrument(at: EpochMs): InstrumentState {
  return { heardAt: at, lastAt: null, saidOffline: false, quiet: null, fault: null, clock: null }
}

/** Something came from it. A finding of silence or of inability ends. */
export function heard(draft: Draft, scene: Scene, state: InstrumentState, measuredAt: EpochMs): InstrumentState {
  if (state.quiet) clear(draft, scene, state.quiet, scene.at)
  if (state.fault) clear(draft, scene, state.fault, measuredAt)
  const lastAt = state.lastAt === null ? measuredAt : Math.max(state.lastAt, measuredAt)
  return { heardAt: scene.at, lastAt, saidOffline: false, quiet: null, fault: null, clock: state.clock }
}

/** It says that it cannot measure: heard, but blind. */
export function cannot(draft: Draft, scene: Scene, state: InstrumentState, id: string, since: EpochMs, text: string): InstrumentState {
  if (state.quiet) clear(draft, scene, state.quiet, scene.at)
  const fault = state.fault ?? raise(draft, scene, { kind: 'instrument-fault', subject: id, instrument: id, since, facts: { text } })
  return { ...state, heardAt: scene.at, saidOffline: false, quiet: null, fault }
}

export function present(draft: Draft, scene: Scene, state: InstrumentState, online: boolean): InstrumentState {
  if (online && state.quiet) clear(draft, scene, state.quiet, scene.at)
  return online
    ? { ...state, heardAt: scene.at, saidOffline: false, quiet: null }
    : { ...state, heardAt: state.saidOffline ? state.heardAt : scene.at, saidOffline: true }
}

export function quietDueAt(state: InstrumentState, silenceMs: number): EpochMs {
  if (state.quiet) return Infinity
  return state.heardAt + (state.saidOffline ? Math.min(goodbyeMs, silenceMs) : silenceMs)
}

/** Time passed: has it been silent too long? */
export function listen(draft: Draft, scene: Scene, state: InstrumentState, id: string, silenceMs: number): InstrumentState {
  const due = quietDueAt(state, silenceMs)
  if (scene.at < due) return state
  const facts = { lastAt: state.lastAt, silenceMs, saidOffline: state.saidOffline }
  return { ...state, quiet: raise(draft, scene, { kind: 'gone-quiet', subject: id, instrument: id, since: due, facts }) }
}

/** Its reading carried a time that could not be believed, or (offset null) one that could. */
export function timed(draft: Draft, scene: Scene, state: InstrumentState, id: string, offsetMs: number | null): InstrumentState {
  if (offsetMs !== null) {
    if (state.clock) return state
    const facts = { offsetMs }
    return { ...state, clock: raise(draft, scene, { kind: 'clock-wrong', subject: id, instrument: id, since: scene.at, facts }) }
  }
  if (!state.clock || scene.at - state.clock.raisedAt < clockBelievedMs) return state
  clear(draft, scene, state.clock, scene.at)
  return { ...state, clock: null }
}
