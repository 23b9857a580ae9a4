/** Checks: an instrument is to be held against a reference now and then, and somebody must say so when it was not. */
import type { Instrument } from '../contract/index.ts'
import { dayMs, type EpochMs } from '../time.ts'
import { clear, type Draft, raise, type Scene } from './draft.ts'
import type { InstrumentState } from './state.ts'

/** Its last check or calibration, whichever was later; null where none is known. */
export function lastCheckAt(
  { calibrations }: Pick<Instrument, 'calibrations'>,
  checkedAt: EpochMs | null,
): EpochMs | null {
  const calibratedAt = calibrations?.at(-1)?.at ?? null
  if (calibratedAt === null || checkedAt === null) return calibratedAt ?? checkedAt
  return Math.max(calibratedAt, checkedAt)
}

/** When its next check is due; Infinity where none is asked for. One that never was checked has its time from when it was met. */
export function checkDueAt(instrument: Instrument, { checkedAt, metAt }: InstrumentState): EpochMs {
  const { checkEveryDays } = instrument
  if (checkEveryDays === undefined) return Infinity
  return (lastCheckAt(instrument, checkedAt) ?? metAt) + checkEveryDays * dayMs
}

/** Time passed: is its check due? */
export function remember(draft: Draft, scene: Scene, state: InstrumentState, instrument: Instrument): InstrumentState {
  if (state.due) return state
  const since = checkDueAt(instrument, state)
  if (scene.at < since) return state
  const { id, checkEveryDays: everyDays = 0 } = instrument
  const facts = { checkedAt: lastCheckAt(instrument, state.checkedAt), everyDays }
  return { ...state, due: raise(draft, scene, { kind: 'check-due', subject: id, instrument: id, since, facts }) }
}

/** Somebody held it against a reference. */
export function checked(draft: Draft, scene: Scene, state: InstrumentState): InstrumentState {
  if (state.due) clear(draft, scene, state.due, scene.at)
  return { ...state, checkedAt: scene.at, due: null }
}
