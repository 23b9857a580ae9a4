/** Probes side by side in time: what each has said, and how far all who matter have spoken. Nothing here depends on who is heard first. */
import { type Sample, seenBetween } from '../../series/columns.ts'
import type { DurationMs, EpochMs } from '../../time.ts'

export interface Lane {
  probe: string
  silenceMs: DurationMs
  /** The newest sample at or before the point that is settled. */
  last: Sample | null
  /** Samples beyond it, rising in time. */
  next: readonly Sample[]
}

/**
 * Samples kept of one probe while another one is silent (at 5 s some five hours). Beyond that nobody waits any longer for the silent one: what
 * it may still bring counts as unseen.
 */
export const waitingMax = 4_000

/** How a probe runs over a stretch: straight from `a` to `b`; null where it is not seen. */
export interface Course {
  probe: string
  a: number
  b: number
}

export function laidIn(lanes: readonly Lane[], probe: string, silenceMs: DurationMs, sample: Sample): readonly Lane[] {
  const at = lanes.findIndex((lane) => lane.probe === probe)
  const lane = lanes[at]
  if (!lane) return [...lanes, { probe, silenceMs, last: null, next: [sample] }]
  const newest = lane.next.at(-1) ?? lane.last
  if (newest && sample.t <= newest.t) return lanes
  return lanes.with(at, { ...lane, silenceMs, next: [...lane.next, sample] })
}

const newestOf = (lane: Lane | undefined) => lane?.next.at(-1)?.t ?? lane?.last?.t ?? -Infinity

/** Up to where every one of these has spoken. One that is missing or long silent is waited for only as long as the others can be kept. */
export function spokenUpTo(lanes: readonly Lane[], probes: readonly string[]): EpochMs {
  const mine = probes.map((probe) => lanes.find((lane) => lane.probe === probe))
  const upTo = mine.reduce((least, lane) => Math.min(least, newestOf(lane)), Infinity)
  const full = mine.find((lane) => lane && lane.next.length > waitingMax)
  const half = full?.next[Math.floor(waitingMax / 2)]?.t
  return half !== undefined && half > upTo ? half : upTo
}

/** The next instant at which one of these says something, after `from` (or at it, where it is not passed) and not beyond `to`; `to` where none does. */
export function nextBreak(
  lanes: readonly Lane[],
  probes: readonly string[],
  from: EpochMs,
  to: EpochMs,
  isPassed: boolean,
): EpochMs {
  let first = to
  for (const { probe, next } of lanes) {
    if (!probes.includes(probe)) continue
    const sample = next.find((s) => (isPassed ? s.t > from : s.t >= from))
    if (sample && sample.t < first) first = sample.t
  }
  return first
}

function neighbours(lane: Lane | undefined, from: EpochMs, to: EpochMs): [Sample, Sample] | null {
  if (!lane) return null
  let before = lane.last
  for (const sample of lane.next) {
    if (sample.t >= to) return before && before.t <= from ? [before, sample] : null
    before = sample
  }
  return null
}

function at(a: Sample, b: Sample, t: EpochMs): number {
  return t === a.t ? a.v : t === b.t ? b.v : a.v + ((t - a.t) / (b.t - a.t)) * (b.v - a.v)
}

/** How a probe runs from one instant to another between which it says nothing; null where it is not seen. */
export function courseOf(lanes: readonly Lane[], probe: string, from: EpochMs, to: EpochMs): Course | null {
  const lane = lanes.find((one) => one.probe === probe)
  const pair = neighbours(lane, from, to)
  if (!lane || !pair || !seenBetween(pair[0], pair[1], lane.silenceMs)) return null
  return { probe, a: at(pair[0], pair[1], from), b: at(pair[0], pair[1], to) }
}

/** What a probe says at an instant up to which it is settled; null where it is not seen there. */
export function valueAt(lanes: readonly Lane[], probe: string, t: EpochMs): number | null {
  const lane = lanes.find((one) => one.probe === probe)
  const exact = lane?.next.find((s) => s.t === t) ?? (lane?.last?.t === t ? lane.last : undefined)
  if (exact) return exact.good ? exact.v : null
  return courseOf(lanes, probe, t, t)?.a ?? null
}

/** Lets go of what lies behind. */
export function settledAt(lanes: readonly Lane[], t: EpochMs): readonly Lane[] {
  return lanes.map((lane) => {
    let passed = 0
    while (passed < lane.next.length && (lane.next[passed] as Sample).t <= t) passed++
    const kept = lane.next.slice(Math.max(passed, lane.next.length - 2 * waitingMax))
    return passed === 0 && kept.length === lane.next.length
      ? lane
      : { ...lane, last: lane.next[passed - 1] ?? lane.last, next: kept }
  })
}

/** After a step of our clock nobody knows how the next sample lies to the last: every line breaks here. */
export function broken(lanes: readonly Lane[]): readonly Lane[] {
  return lanes.map((lane) => ({ ...lane, last: null, next: [] }))
}
