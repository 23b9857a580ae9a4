/** The open minute of one series: all that a reading leaves behind until the minute is full. Cheap, because every reading passes here. */
import type { DurationMs, EpochMs } from '../../time.ts'

export interface OpenMinute {
  /** Which minute (or five minutes) since 1970 this is. */
  index: number
  count: number
  sum: number
  low: number
  high: number
  first: number
  last: number
  lastAt: EpochMs
  /** The value before the last, for second differences: a steady climb is no noise. */
  before: number | null
  /** Sum of |second difference| and how many there were. */
  rough: number
  roughs: number
  /** How many values repeated the one before, and how long it has been repeating: readings, and since when. */
  repeats: number
  run: number
  runAt: EpochMs
  /** The longest run that ended in this minute, in readings. */
  runEnded: number
  /** The smallest difference that was not nothing; 0 where there was none. */
  step: number
}

export function minuteWith(index: number, t: EpochMs, value: number, earlier: OpenMinute | null): OpenMinute {
  const fresh: OpenMinute = {
    index,
    count: 0,
    sum: 0,
    low: value,
    high: value,
    first: value,
    last: earlier === null ? value : earlier.last,
    lastAt: t,
    before: earlier === null ? null : earlier.before,
    rough: 0,
    roughs: 0,
    repeats: 0,
    run: earlier === null ? 0 : earlier.run,
    runAt: earlier === null ? t : earlier.runAt,
    runEnded: 0,
    step: 0,
  }
  return earlier === null ? { ...fresh, count: 1, sum: value } : added(fresh, t, value)
}

export function added(minute: OpenMinute, t: EpochMs, value: number): OpenMinute {
  const { last, before } = minute
  const change = value - last
  const same = change === 0
  const size = change < 0 ? -change : change
  const bend = before === null ? 0 : change - (last - before)
  return {
    index: minute.index,
    count: minute.count + 1,
    sum: minute.sum + value,
    low: Math.min(value, minute.low),
    high: Math.max(value, minute.high),
    first: minute.first,
    last: value,
    lastAt: t,
    before: last,
    rough: minute.rough + (bend < 0 ? -bend : bend),
    roughs: before === null ? minute.roughs : minute.roughs + 1,
    repeats: same ? minute.repeats + 1 : minute.repeats,
    run: same ? minute.run + 1 : 0,
    runAt: same ? minute.runAt : t,
    runEnded: !same && minute.run > minute.runEnded ? minute.run : minute.runEnded,
    step: !same && (minute.step === 0 || size < minute.step) ? size : minute.step,
  }
}

export function meanOf(minute: OpenMinute): number {
  return Math.round((minute.sum / minute.count) * 1_000) / 1_000
}

/** A minute for what speaks at least once in it, five where it is slower, half an hour for the slowest: one grid for the whole station. */
export function minuteMsFor(intervalsMs: readonly DurationMs[]): DurationMs {
  const slowest = Math.max(1_000, ...intervalsMs)
  return slowest <= 60_000 ? 60_000 : slowest <= 150_000 ? 300_000 : 1_800_000
}
