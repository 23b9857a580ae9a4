/** One series of a room through the night: its sums, its excursions, what was never seen and what was told only later. */
import type { NightBand, NightExcursion, NightLine, NightSums, TimeSpan } from '../../../shared/contract/index.ts'
import type { SeriesPiece } from '../../../shared/series/columns.ts'
import { statistics, type Statistics } from '../../../shared/series/statistics.ts'
import type { EpochMs } from '../../../shared/time.ts'
import type { NightColumns, NightSeries } from './material.ts'
import { clipped, lengthBut, lengthOf, united } from './spans.ts'

export interface LineSpan {
  from: EpochMs
  upTo: EpochMs
  dusk: EpochMs
  dawn: EpochMs
}

export function statisticsOf(
  columns: NightColumns,
  band: NightBand | null,
  silenceMs: number,
  from: EpochMs,
  to: EpochMs,
): Statistics {
  const fold = statistics(from, to, { from: band?.from ?? null, to: band?.to ?? null }, silenceMs)
  fold.add(around(columns, from, to))
  return fold.finish()
}

/** What lies between, and the reading on either side that says how the line runs at the edges. */
function around({ t, v, quality }: NightColumns, from: EpochMs, to: EpochMs): SeriesPiece {
  const [first, last] = [Math.max(0, placeOf(t, from) - 1), Math.min(t.length, placeOf(t, to) + 1)]
  return { t: t.subarray(first, last), v: v.subarray(first, last), quality: quality.subarray(first, last) }
}

/** Index of the first time that is not before this one. */
function placeOf(t: Float64Array, at: EpochMs): number {
  let [low, high] = [0, t.length]
  while (low < high) {
    const middle = (low + high) >> 1
    if ((t[middle] as number) < at) low = middle + 1
    else high = middle
  }
  return low
}

function sumsOf(told: Statistics, band: NightBand | null): NightSums {
  const { coverage, seenMs, inBandMs, mean, min, max, beyond } = told
  return { coverage, seenMs, inBandMs: band ? inBandMs : null, mean, min, max, beyond }
}

/** Readings that came later than their instrument's backlog limit, as spans. */
function backfilledOf({ columns, backlogMs, silenceMs }: NightSeries, from: EpochMs, to: EpochMs): TimeSpan[] {
  const spans: TimeSpan[] = []
  const { t, arrivedAt } = columns
  for (let i = 0; i < t.length; i++) {
    const at = t[i] as number
    if (at < from || at >= to || (arrivedAt[i] as number) - at <= backlogMs) continue
    const last = spans.at(-1)
    const isNext = last !== undefined && at - last.to <= silenceMs
    if (isNext) last.to = at
    else spans.push({ from: at, to: at })
  }
  // A single late reading is the radio's, not an outage.
  return spans.filter((s) => s.to > s.from)
}

export function nightLine(
  one: NightSeries,
  quantity: 'temperature' | 'humidity',
  isLeading: boolean,
  band: NightBand | null,
  span: LineSpan,
): NightLine {
  const { from, upTo, dusk, dawn } = span
  const { columns, silenceMs } = one
  const told = statisticsOf(columns, band, silenceMs, from, upTo)
  const darkTo = Math.min(dawn, upTo)
  const dark = dusk < darkTo ? statisticsOf(columns, band, silenceMs, dusk, darkTo) : null
  const excursions = told.excursions.map(
    (e): NightExcursion => ({ ...e, isDark: e.to > dusk && e.from < dawn, cause: null, seenBy: [] }),
  )
  return {
    series: one.series,
    quantity,
    isLeading,
    readings: placeOf(columns.t, upTo) - placeOf(columns.t, from),
    band,
    whole: sumsOf(told, band),
    dark: dark && sumsOf(dark, band),
    excursions,
    missing: told.holes.filter((h) => h.to - h.from > silenceMs),
    backfilled: backfilledOf(one, from, upTo),
  }
}

/** Of a part of the night: how long all these lines were seen at once, and how long they were in band at once. */
export function together(lines: readonly NightLine[], part: TimeSpan): { seenMs: number; inBandMs: number } {
  const unseen = united(lines.flatMap((l) => clipped(l.missing, part.from, part.to)))
  const out = united(lines.flatMap((l) => clipped(l.excursions, part.from, part.to)))
  const seenMs = lines.length === 0 ? 0 : part.to - part.from - lengthOf(unseen)
  return { seenMs, inBandMs: seenMs - lengthBut(out, unseen) }
}
