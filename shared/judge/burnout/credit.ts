/** The credited-soak ledger: every stretch of a hold, counted or refused, with the reason and the probe (MEANING: credit). */
import type { CreditStretch, HoldLedger, Refusal } from '../../contract/index.ts'
import type { DurationMs, EpochMs } from '../../time.ts'
import type { Course } from './lanes.ts'

/** Stretches told one by one; older ones stay in the sums. Reason: some four hours of a probe that hovers at its limit. */
export const stretchesMax = 1_000

export interface Wanted {
  floorC: number
  /** Above this nothing is credited. */
  maximumC: number
}

export function newLedger(segment: number, from: EpochMs, askedMs: DurationMs): HoldLedger {
  return { segment, from, to: null, askedMs, creditedMs: 0, refusedSums: [], stretches: [] }
}

/** The part of the straight line from a (at 0) to b (at 1) that lies within the limits; null where none does. */
function within({ a, b }: Course, { floorC, maximumC }: Wanted): [number, number] | null {
  if (a === b) return a >= floorC && a <= maximumC ? [0, 1] : null
  const [enter, leave] = a < b ? [floorC, maximumC] : [maximumC, floorC]
  const begin = Math.max(0, (enter - a) / (b - a))
  const end = Math.min(1, (leave - a) / (b - a))
  return begin < end ? [begin, end] : null
}

/** Why, and because of whom, the middle of a part is refused. */
function refusedBy(
  probes: readonly string[],
  courses: readonly (Course | null)[],
  known: ReadonlySet<string>,
  wanted: Wanted,
  middle: number,
): { refused: Refusal; probe: string } {
  // Whoever cannot be seen comes first: what is not known weighs more than what is too cool.
  const blind = probes.findIndex((_, i) => courses[i] === null)
  if (blind >= 0) {
    const probe = probes[blind] as string
    return { refused: known.has(probe) ? 'unseen' : 'missing', probe }
  }
  const at = courses.map((c) => (c as Course).a + middle * ((c as Course).b - (c as Course).a))
  const coolest = at.indexOf(Math.min(...at))
  const [index, refused] =
    (at[coolest] as number) < wanted.floorC
      ? [coolest, 'too-cool' as const]
      : [at.indexOf(Math.max(...at)), 'too-hot' as const]
  return { refused, probe: probes[index] as string }
}

function withStretch(ledger: HoldLedger, next: CreditStretch): HoldLedger {
  const ms = next.to - next.from
  if (!(ms > 0)) return ledger
  const { refused, probe } = next
  const last = ledger.stretches.at(-1)
  const joins = last && last.to >= next.from && last.refused === refused && last.probe === probe
  const all = joins ? ledger.stretches.with(-1, { ...last, to: next.to }) : [...ledger.stretches, next]
  const stretches = all.length > stretchesMax ? all.slice(-stretchesMax) : all
  if (refused === null || probe === null) return { ...ledger, creditedMs: ledger.creditedMs + ms, stretches }
  const at = ledger.refusedSums.findIndex((s) => s.refused === refused && s.probe === probe)
  const sum = ledger.refusedSums[at]
  const refusedSums = sum
    ? ledger.refusedSums.with(at, { ...sum, ms: sum.ms + ms })
    : [...ledger.refusedSums, { refused, probe, ms }]
  return { ...ledger, refusedSums, stretches }
}

/**
 * Lays one stretch in which every probe runs straight. Stops at the instant at which all that was asked is credited; gives it back, or null
 * where the hold goes on.
 */
export function credit(
  ledger: HoldLedger,
  probes: readonly string[],
  courses: readonly (Course | null)[],
  known: ReadonlySet<string>,
  wanted: Wanted,
  from: EpochMs,
  to: EpochMs,
): [HoldLedger, EpochMs | null] {
  const length = to - from
  let [begin, end] = [0, 1]
  for (const course of courses) {
    const part = course && within(course, wanted)
    ;[begin, end] = part ? [Math.max(begin, part[0]), Math.min(end, part[1])] : [1, 0]
    if (begin >= end) break
  }
  const place = (share: number) => (share === 0 ? from : share === 1 ? to : from + share * length)
  const refuse = (one: HoldLedger, a: number, b: number) =>
    withStretch(one, { from: place(a), to: place(b), ...refusedBy(probes, courses, known, wanted, (a + b) / 2) })
  if (begin >= end) return [refuse(ledger, 0, 1), null]
  const left = ledger.askedMs - ledger.creditedMs
  const isFull = place(end) - place(begin) >= left
  const stop = isFull ? place(begin) + left : place(end)
  let next = begin > 0 ? refuse(ledger, 0, begin) : ledger
  next = withStretch(next, { from: place(begin), to: stop, refused: null, probe: null })
  // What was asked is credited to the last millisecond, whatever the sum of many parts has come to.
  if (isFull) return [{ ...next, creditedMs: ledger.askedMs }, stop]
  return [end < 1 ? refuse(next, end, 1) : next, null]
}
