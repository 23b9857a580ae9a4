/** What a kiln's probes said since it last rested, kept so that a burnout may be said while it goes on, from its beginning. */
import type { EpochMs } from '../../time.ts'

/** One value: index of its series within the station, when it was measured, and what it means; null where it was bad. */
export type KeptSample = readonly [series: number, t: EpochMs, v: number | null]

/** In parts, so that one more sample copies no more than a part. */
export type Kept = readonly (readonly KeptSample[])[]

export const nothingKept: Kept = []

const partLength = 64
/**
 * Samples of all probes together: four probes that speak every ten seconds fill it in eleven hours. Beyond that the oldest go, and a burnout
 * that is older can be declared only when it is over.
 */
const partsMax = 250
/** Of who speaks faster than this one in so long is kept: no hole is made by it, and a kiln does not move in it. */
const apartMs = 8_000

export function keptWith(kept: Kept, sample: KeptSample): Kept {
  const last = kept.at(-1)
  const before = last?.findLast(([series]) => series === sample[0])
  if (before && sample[1] - before[1] < apartMs && (before[2] === null) === (sample[2] === null)) return kept
  if (!last || last.length >= partLength) return [...kept, [sample]].slice(-partsMax)
  return kept.with(-1, [...last, sample])
}

/** Lets go of parts that lie before this instant. */
export function keptSince(kept: Kept, from: EpochMs): Kept {
  const first = kept.findIndex((part) => part.some(([, t]) => t >= from))
  return first < 0 ? nothingKept : first === 0 ? kept : kept.slice(first)
}

/** The oldest instant that is kept; Infinity where nothing is. */
export function keptFrom(kept: Kept): EpochMs {
  return kept[0]?.[0]?.[1] ?? Infinity
}
