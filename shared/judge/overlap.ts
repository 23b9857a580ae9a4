/** What several series share: the time in which all of them at once were as wished, counted as far as all of them have spoken. */
import { type Sample, seenBetween } from '../series/columns.ts'
import type { DurationMs, EpochMs } from '../time.ts'

export interface Lane {
  series: string
  last: Sample | null
  /** Stretches in which it was as wished and that are not counted yet, rising: from, to, from, to … */
  spans: readonly number[]
}

export interface Overlap {
  /** Everything up to here is counted. */
  upTo: EpochMs
  lanes: readonly Lane[]
}

/** Numbers kept for one lane while another is silent. What falls out is lost to the count, which then errs on the short side. */
const spanNumbersMax = 128

export function overlapOf(series: readonly string[], from: EpochMs): Overlap {
  return { upTo: from, lanes: series.map((id) => ({ series: id, last: null, spans: [] })) }
}

export function watches(overlap: Overlap, series: readonly string[]): boolean {
  return overlap.lanes.length === series.length && overlap.lanes.every((lane, i) => lane.series === series[i])
}

/** The part of the straight line between two samples on which from ≤ value ≤ to; null where there is none. */
export function stretchWithin(a: Sample, b: Sample, from: number, to: number): [EpochMs, EpochMs] | null {
  if (a.v === b.v) return from <= a.v && a.v <= to ? [a.t, b.t] : null
  const crossing = (limit: number) => a.t + ((limit - a.v) / (b.v - a.v)) * (b.t - a.t)
  const [enter, leave] = a.v < b.v ? [from, to] : [to, from]
  const begin = Math.max(a.t, crossing(enter))
  const end = Math.min(b.t, crossing(leave))
  return begin < end ? [begin, end] : null
}

function withSpan(spans: readonly number[], begin: EpochMs, end: EpochMs): readonly number[] {
  if (begin >= end) return spans
  if (spans.length > 0 && (spans[spans.length - 1] as number) >= begin) return spans.with(-1, end)
  const all = [...spans, begin, end]
  return all.length > spanNumbersMax ? all.slice(-spanNumbersMax) : all
}

function shared(a: readonly number[], b: readonly number[]): number[] {
  const both: number[] = []
  for (let i = 0, j = 0; i < a.length && j < b.length; ) {
    const begin = Math.max(a[i] as number, b[j] as number)
    const end = Math.min(a[i + 1] as number, b[j + 1] as number)
    if (begin < end) both.push(begin, end)
    if ((a[i + 1] as number) < (b[j + 1] as number)) i += 2
    else j += 2
  }
  return both
}

function cut(spans: readonly number[], from: EpochMs, to: EpochMs): number[] {
  return shared(spans, [from, to])
}

function length(spans: readonly number[]): DurationMs {
  let sum = 0
  for (let i = 0; i < spans.length; i += 2) sum += (spans[i + 1] as number) - (spans[i] as number)
  return sum
}

/** Counts as far as every lane has spoken. */
function settle(overlap: Overlap): [Overlap, DurationMs] {
  const upTo = overlap.lanes.reduce((least, lane) => Math.min(least, lane.last?.t ?? -Infinity), Infinity)
  if (!(upTo > overlap.upTo)) return [overlap, 0]
  const all = overlap.lanes.reduce<readonly number[]>(
    (common, lane) => shared(common, lane.spans),
    [overlap.upTo, upTo],
  )
  const lanes = overlap.lanes.map((lane) =>
    lane.spans.length === 0 ? lane : { ...lane, spans: cut(lane.spans, upTo, Infinity) },
  )
  return [{ upTo, lanes }, length(all)]
}

/**
 * One more sample of one series. `wished` says which part of the line from the sample before is as wished; a hole or a bad sample
 * has no line. Gives back what all series together have now been found to share beyond what was counted before.
 */
export function lay(
  overlap: Overlap,
  series: string,
  sample: Sample,
  silenceMs: DurationMs,
  wished: (before: Sample, now: Sample) => [EpochMs, EpochMs] | null,
): [Overlap, DurationMs] {
  const at = overlap.lanes.findIndex((lane) => lane.series === series)
  const lane = overlap.lanes[at]
  if (!lane) return [overlap, 0]
  const { last } = lane
  const stretch = last && last.t < sample.t && seenBetween(last, sample, silenceMs) ? wished(last, sample) : null
  const spans = stretch ? withSpan(lane.spans, stretch[0], stretch[1]) : lane.spans
  return settle({ upTo: overlap.upTo, lanes: overlap.lanes.with(at, { ...lane, last: sample, spans }) })
}

/** After a step of our clock nobody knows how the next sample lies to the last: the line breaks here. */
export function breakLines(overlap: Overlap, now: EpochMs): Overlap {
  return {
    upTo: Math.min(overlap.upTo, now),
    lanes: overlap.lanes.map((lane) => ({ series: lane.series, last: null, spans: [] })),
  }
}
