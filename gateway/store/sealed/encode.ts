/** From the readings of a block to its bytes and its header. */
import { writeArrival } from './arrival-write.ts'
import type { BlockColumns, Header } from './block.ts'
import { breachOf } from './breach.ts'
import { writeCourse } from './course-write.ts'
import { crc32 } from './crc.ts'
import { summaryOf } from './header.ts'

export interface Encoded {
  /** All but the row, which the store gives. */
  header: Omit<Header, 'id'>
  course: Uint8Array
  arrival: Uint8Array
}

/** Throws RangeError, with what is wrong in one sentence, for columns that cannot be a block. */
export function encodeBlock(columns: BlockColumns): Encoded {
  const breach = breachOf(columns)
  if (breach !== null) throw new RangeError(breach)
  const course = writeCourse(columns)
  const arrival = writeArrival(columns)
  const header = {
    ...summaryOf(columns),
    courseCrc: crc32(course),
    arrivalCrc: crc32(arrival),
    courseBytes: course.length,
    arrivalBytes: arrival.length,
  }
  return { header, course, arrival }
}
