/** A finding: one judgement of a reading, or of silence, against standing limits or a recipe. Data only; its sentence lives in shared/words. */
import type { DurationMs, EpochMs } from '../time.ts'
import type { Refusal } from './burnout.ts'
import type { Doubt } from './doubt.ts'
import type { NoAnswer } from './no-answer.ts'
import type { Tier } from './station.ts'

/** The facts that each kind of finding carries. A new kind begins here, and does not compile until it has its sentence. */
export interface FindingFacts {
  /** `peakC`: the highest seen while it stood, where that is more. */
  'above-ceiling': { valueC: number; ceilingC: number; peakC?: number }
  /** `worst`: the farthest outside seen while it stood, where that is farther. */
  'outside-window': {
    quantity: string
    value: number
    from: number | null
    to: number | null
    side: 'below' | 'above'
    worst?: number
  }
  'rising-too-fast': { cPerMinute: number; cPerMinuteMax: number; valueC: number }
  'gone-quiet': { lastAt: EpochMs | null; silenceMs: number; saidOffline: boolean }
  /** `noAnswer`: it speaks, but what it sends means no temperature. */
  'instrument-fault': { text: string; noAnswer?: NoAnswer }
  /** `inSeconds`: it counts seconds where milliseconds are asked for. */
  'clock-wrong': { offsetMs: number; inSeconds?: true }
  'conflicting-reading': { series: string; measuredAt: EpochMs; kept: number; refused: number }
  'off-recipe': { run: string; deviationC: number; targetC: number; toleranceC: number; segment: number }
  'outside-recipe-band': {
    run: string
    quantity: string
    value: number
    from: number
    to: number
    side: 'below' | 'above'
  }
  'coat-outside-window': { run: string; coat: string; valueC: number; fromC: number; toC: number }
  /** `waitedMinutes` after the coat before; asked: not before `earliestMinutes`, not after `latestMinutes`. */
  'coat-off-wait': {
    run: string
    coat: string
    waitedMinutes: number
    side: 'too-soon' | 'too-late'
    earliestMinutes: number | null
    latestMinutes: number | null
  }
  /** On its way past its set-point and what it is known to overshoot, with no cut-off seen: at its ceiling in so many minutes. */
  'nearing-ceiling': { minutes: number; valueC: number; ceilingC: number; cPerMinute: number }
  /** The cycling of its thermostat is missing: it rises, or draws current, where it always cut off. */
  'no-cut-off': { valueC: number; usualTopC: number; drawsCurrent: boolean | null; overdueMinutes: number }
  /** Hot for so long, and nothing was made of it. */
  'left-on': { onSince: EpochMs; hours: number; valueC: number }
  'wax-old': { hours: number; batchHours: number }
  /** A hold earns no credit, on account of this probe. */
  'soak-paused': {
    run: string
    segment: number
    probe: string
    refused: Refusal
    creditedMs: DurationMs
    askedMs: DurationMs
  }
  /** The kiln's programme ends before the credit is full. */
  'leaves-early': { run: string; segment: number; leavesAt: EpochMs; creditedMs: DurationMs; askedMs: DurationMs }
  'heat-lost': { run: string; airC: number; fromC: number; bands: string[] }
  /** Faster through a band than the recipe bears. */
  'band-too-fast': { run: string; band: string; cPerHour: number; cPerHourMax: number; direction: 'up' | 'down' }
  /** A step for people is due. */
  'hand-due': { run: string; hand: string; name: string }
  /**
   * A burnout that no run was said for. `fromC`: the air at rest; `valueC` and its rate, °C/h: when it was noticed; `topC`: the highest
   * seen, kept when it ends.
   */
  'burnout-found': { fromC: number; valueC: number; cPerHour: number; topC: number }
  /** What an instrument is suspected of; once for each kind and instrument. */
  'instrument-doubt': { doubt: Doubt }
  /** `checkedAt`: its last check or calibration; null where none is known. */
  'check-due': { checkedAt: EpochMs | null; everyDays: number }
}
export type FindingKind = keyof FindingFacts

export const findingKinds = [
  'above-ceiling',
  'outside-window',
  'rising-too-fast',
  'gone-quiet',
  'instrument-fault',
  'clock-wrong',
  'conflicting-reading',
  'off-recipe',
  'outside-recipe-band',
  'coat-outside-window',
  'coat-off-wait',
  'nearing-ceiling',
  'no-cut-off',
  'left-on',
  'wax-old',
  'soak-paused',
  'leaves-early',
  'heat-lost',
  'band-too-fast',
  'hand-due',
  'burnout-found',
  'instrument-doubt',
  'check-due',
] as const satisfies readonly FindingKind[]

/** One finding of one kind. `id` follows from the entry that raised it, so folding twice gives the same finding, never a second. */
export type FindingOf<K extends FindingKind> = {
  id: string
  kind: K
  /** What it is about within the station: an instrument, a series, a run. */
  subject: string
  station: string
  instrument?: string
  /** When the condition began, by measurement (or, for silence, when it had lasted too long). */
  since: EpochMs
  /** When it was announced, in the gateway's time. */
  raisedAt: EpochMs
  raisedSeq: number
  /** Absent while it stands. An event of one moment ends when it begins. */
  clearedAt?: EpochMs
  facts: FindingFacts[K]
  /** Present where somebody must act on it: then it is an alarm. */
  tier?: Tier
}

export type Finding = { [K in FindingKind]: FindingOf<K> }[FindingKind]

/** Fire-class findings: nothing suppresses, shelves or remotely silences them (MEANING). */
export const fireClass: ReadonlySet<FindingKind> = new Set<FindingKind>([
  'above-ceiling',
  'nearing-ceiling',
  'no-cut-off',
])
