/** Instruments: heard or silent, able or not, with a clock that can be believed or not. */
import { type EntryOf, isInSeconds } from '../contract/index.ts'
import type { DurationMs, EpochMs } from '../time.ts'
import { clear, type Draft, raise, type Scene } from './draft.ts'
import type { InstrumentState } from './state.ts'

/** A device that says good-bye may be back in seconds; it is called quiet after this, or at its silence limit if that is sooner. */
const goodbyeMs = 15_000

/** A clock found right again this long is believed again. */
const clockBelievedMs = 60_000

export function newInstrument(at: EpochMs): InstrumentState {
  return {
    heardAt: at,
    backAt: at,
    spokeAt: at,
    lastAt: null,
    goodAt: null,
    saidOffline: false,
    quiet: null,
    unable: null,
    fault: null,
    clock: null,
    clockRightSince: null,
    metAt: at,
    checkedAt: null,
    due: null,
  }
}

/** It is there. A finding of silence ends. */
export function alive(draft: Draft, scene: Scene, state: InstrumentState): InstrumentState {
  if (state.quiet) clear(draft, scene, state.quiet, scene.at)
  return { ...state, heardAt: scene.at, backAt: state.quiet ? scene.at : state.backAt, saidOffline: false, quiet: null }
}

/** A value came from it. If it was measured after the instrument called itself unable, and is not bad, it is able again. */
export function heard(
  draft: Draft,
  scene: Scene,
  state: InstrumentState,
  measuredAt: EpochMs,
  good: boolean,
): InstrumentState {
  const back = state.quiet !== null
  if (state.quiet) clear(draft, scene, state.quiet, scene.at)
  const able = state.unable === null || (good && measuredAt > state.unable.since)
  if (able && state.fault) clear(draft, scene, state.fault, measuredAt)
  return {
    heardAt: scene.at,
    backAt: back || (able && state.fault) ? scene.at : state.backAt,
    spokeAt: scene.at,
    lastAt: state.lastAt === null || state.lastAt < measuredAt ? measuredAt : state.lastAt,
    goodAt: good && (state.goodAt === null || state.goodAt < measuredAt) ? measuredAt : state.goodAt,
    saidOffline: false,
    quiet: null,
    unable: able ? null : state.unable,
    fault: able ? null : state.fault,
    clock: state.clock,
    clockRightSince: state.clockRightSince,
    metAt: state.metAt,
    checkedAt: state.checkedAt,
    due: state.due,
  }
}

/** It sent something that is kept and shown, but not judged. */
export function spoke(draft: Draft, scene: Scene, state: InstrumentState): InstrumentState {
  return { ...alive(draft, scene, state), spokeAt: scene.at }
}

function announceFault(draft: Draft, scene: Scene, state: InstrumentState, id: string): InstrumentState {
  if (!state.unable || state.fault) return state
  const { since, text } = state.unable
  return {
    ...state,
    fault: raise(draft, scene, { kind: 'instrument-fault', subject: id, instrument: id, since, facts: { text } }),
  }
}

/** It says that it could not measure: heard, but blind, unless it has measured something later. */
export function cannot(
  draft: Draft,
  scene: Scene,
  before: InstrumentState,
  entry: EntryOf<'fault'>,
  fresh: boolean,
): InstrumentState {
  const { instrument: id, measuredAt: since, text } = entry
  const state = alive(draft, scene, before)
  if (state.goodAt !== null && state.goodAt > since) return state
  const unable = { since: Math.max(since, state.unable?.since ?? since), text: state.unable?.text ?? text }
  return fresh ? announceFault(draft, scene, { ...state, unable }, id) : { ...state, unable }
}

/** It says that it is there, or its broker says that it is gone. */
export function present(
  draft: Draft,
  scene: Scene,
  state: InstrumentState,
  online: boolean,
  silenceMs: DurationMs,
): InstrumentState {
  if (online) return alive(draft, scene, state)
  if (state.saidOffline) return state
  // A good-bye shortens the wait, never lengthens it.
  const grace = Math.min(goodbyeMs, silenceMs)
  return { ...state, heardAt: Math.min(state.heardAt + silenceMs, scene.at + grace) - grace, saidOffline: true }
}

function quietDueAt(state: InstrumentState, silenceMs: DurationMs): EpochMs {
  if (state.quiet) return Infinity
  return state.heardAt + (state.saidOffline ? Math.min(goodbyeMs, silenceMs) : silenceMs)
}

/** When time alone would next change it, asked at `now`. */
export function instrumentDueAt(state: InstrumentState, silenceMs: DurationMs, now: EpochMs): EpochMs {
  return state.unable && !state.fault ? now : Math.max(now, quietDueAt(state, silenceMs))
}

/** Time passed: has it been silent too long? What it said of itself in a backlog, and has not taken back since, is true now. */
export function listen(
  draft: Draft,
  scene: Scene,
  before: InstrumentState,
  id: string,
  silenceMs: DurationMs,
): InstrumentState {
  const state = announceFault(draft, scene, before, id)
  const due = quietDueAt(state, silenceMs)
  if (scene.at < due) return state
  const facts = { lastAt: state.lastAt, silenceMs, saidOffline: state.saidOffline }
  return {
    ...state,
    quiet: raise(draft, scene, { kind: 'gone-quiet', subject: id, instrument: id, since: due, facts }),
  }
}

/** Its reading carried a time that could not be believed, or (offset null) one that could. */
export function timed(
  draft: Draft,
  scene: Scene,
  state: InstrumentState,
  id: string,
  claimedAt: EpochMs | undefined,
): InstrumentState {
  if (claimedAt !== undefined) {
    if (state.clock) return state.clockRightSince === null ? state : { ...state, clockRightSince: null }
    const offsetMs = claimedAt - scene.at
    const facts = isInSeconds(claimedAt, scene.at) ? ({ offsetMs, inSeconds: true } as const) : { offsetMs }
    return {
      ...state,
      clock: raise(draft, scene, { kind: 'clock-wrong', subject: id, instrument: id, since: scene.at, facts }),
    }
  }
  if (!state.clock) return state
  if (state.clockRightSince === null) return { ...state, clockRightSince: scene.at }
  if (scene.at - state.clockRightSince < clockBelievedMs) return state
  clear(draft, scene, state.clock, scene.at)
  return { ...state, clock: null, clockRightSince: null }
}
