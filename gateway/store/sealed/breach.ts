/** What must be so of the columns of a block, whoever made them: a caller, or bytes that were read. */
import { blockReadingsMax, qualities, qualityReasons } from '../../../shared/contract/index.ts'
import type { BlockColumns } from './block.ts'

/** The first thing that is not so, in one sentence; null where all is. */
export function breachOf(columns: BlockColumns): string | null {
  return breachOfLength(columns) ?? breachOfCourse(columns) ?? breachOfArrival(columns)
}

function breachOfLength({ t, v, quality, arrivedAt, seq, reason, claimedAt }: BlockColumns): string | null {
  const count = t.length
  if (count < 1 || count > blockReadingsMax) return `A block holds 1 to ${blockReadingsMax} readings, not ${count}.`
  const others = [v, quality, arrivedAt, seq, reason, claimedAt]
  return others.every(({ length }) => length === count) ? null : 'The columns of a block differ in length.'
}

function breachOfCourse({ t, v, quality }: BlockColumns): string | null {
  let before = Number.NEGATIVE_INFINITY
  for (let i = 0; i < t.length; i++) {
    const at = t[i] as number
    if (!Number.isSafeInteger(at))
      return `Reading ${i} of the block was measured at ${at}, which is no whole millisecond.`
    if (at <= before) return `Reading ${i} of the block was measured at ${at}, not after the one before it.`
    before = at
    if (!Number.isFinite(v[i])) return `Reading ${i} of the block has the value ${v[i]}.`
    if ((quality[i] as number) >= qualities.length) return `Reading ${i} of the block has a quality that is not known.`
  }
  return null
}

function breachOfArrival({ arrivedAt, seq, reason, claimedAt }: BlockColumns): string | null {
  let isRising = true
  let before = 0
  for (let i = 0; i < seq.length; i++) {
    const number = seq[i] as number
    if (!(Number.isSafeInteger(number) && number > 0)) return `Reading ${i} of the block has the seq ${number}.`
    if (number <= before) isRising = false
    before = number
    if (!Number.isSafeInteger(arrivedAt[i]))
      return `Reading ${i} of the block arrived at ${arrivedAt[i]}, which is no whole millisecond.`
    const why = reason[i] as number
    if (why < -1 || why >= qualityReasons.length) return `Reading ${i} of the block has a reason that is not known.`
    const claim = claimedAt[i] as number
    if (!(Number.isNaN(claim) || Number.isSafeInteger(claim)))
      return `Reading ${i} of the block claims to be of ${claim}, which is no whole millisecond.`
  }
  return isRising || areDifferent(seq) ? null : 'Two readings of the block have the same seq.'
}

function areDifferent(seq: Float64Array): boolean {
  const sorted = seq.slice().sort()
  return sorted.every((number, i) => i === 0 || number !== sorted[i - 1])
}
