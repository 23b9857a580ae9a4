/** From the bytes of a block back to its readings, all of them. */
import { decodeArrival } from './arrival.ts'
import type { BlockColumns } from './block.ts'
import { breachOf } from './breach.ts'
import { openCourse } from './course.ts'
import { BlockDamaged } from './damage.ts'

/** Throws BlockDamaged for bytes that are not what was written. */
export function decodeBlock(course: Uint8Array, arrival: Uint8Array): BlockColumns {
  const opened = openCourse(course)
  const t = opened.times()
  const columns = { t, v: opened.values(), quality: opened.qualities(), ...decodeArrival(arrival, t) }
  const breach = breachOf(columns)
  if (breach !== null) throw new BlockDamaged('readings', breach)
  return columns
}
