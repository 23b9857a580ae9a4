/** The header of a block, from its readings: what most questions are answered from without them. */
import { badQuality } from '../../../shared/series/columns.ts'
import type { DurationMs } from '../../../shared/time.ts'
import type { BlockColumns, Header } from './block.ts'

/** What a header says of the readings themselves. */
export type Summary = Omit<Header, 'id' | 'courseCrc' | 'arrivalCrc' | 'courseBytes' | 'arrivalBytes'>

export function summaryOf({ t, v, quality }: Pick<BlockColumns, 't' | 'v' | 'quality'>): Summary {
  const [none, count] = [-1, t.length]
  let [bad, first, last, low, high, integral] = [0, none, none, none, none, 0]
  for (let i = 0; i < count; i++) {
    if (quality[i] === badQuality) {
      bad++
      continue
    }
    const value = v[i] as number
    if (first === none) first = low = high = i
    else {
      integral += (((v[last] as number) + value) / 2) * ((t[i] as number) - (t[last] as number))
      if (value < (v[low] as number)) low = i
      if (value > (v[high] as number)) high = i
    }
    last = i
  }
  const timeOf = (i: number) => t[i] ?? Number.NaN
  // A block knows no −0.
  const valueAt = (i: number) => (v[i] ?? Number.NaN) + 0
  return {
    count,
    bad,
    from: t[0] as number,
    to: t[count - 1] as number,
    firstT: timeOf(first),
    firstV: valueAt(first),
    lastT: timeOf(last),
    lastV: valueAt(last),
    lowT: timeOf(low),
    lowV: valueAt(low),
    highT: timeOf(high),
    highV: valueAt(high),
    longestGapMs: longestGapOf(t, quality),
    integral: bad === count ? Number.NaN : integral + 0,
  }
}

/** Longest time between good neighbours; Infinity where a bad reading lies between two of them, NaN where none is good. */
export function longestGapOf(t: Float64Array, quality: Uint8Array): DurationMs {
  let longest = Number.NaN
  let last = -1
  for (let i = 0; i < t.length; i++) {
    if (quality[i] === badQuality) continue
    if (last < 0) longest = 0
    else if (last < i - 1) longest = Number.POSITIVE_INFINITY
    else longest = Math.max(longest, (t[i] as number) - (t[last] as number))
    last = i
  }
  return longest
}
