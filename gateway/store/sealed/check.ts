/** Holds a block against its header: every byte, every reading, and all that the header says of them. */
import type { Header } from './block.ts'
import { crc32 } from './crc.ts'
import { BlockDamaged } from './damage.ts'
import { decodeBlock } from './decode.ts'
import { type Summary, summaryOf } from './header.ts'

/** Throws BlockDamaged, naming what differs and where. */
export function checkBlock(header: Header, course: Uint8Array, arrival: Uint8Array): void {
  checkBytes('course', course, header.courseBytes, header.courseCrc)
  checkBytes('arrival', arrival, header.arrivalBytes, header.arrivalCrc)
  const found = summaryOf(decodeBlock(course, arrival))
  for (const key of Object.keys(found) as (keyof Summary)[])
    if (!Object.is(header[key], found[key]))
      throw new BlockDamaged(
        `header, ${key}`,
        `The header says ${key} = ${header[key]}, the readings of the block say ${found[key]}.`,
      )
}

function checkBytes(part: string, bytes: Uint8Array, length: number, sum: number): void {
  if (bytes.length !== length)
    throw new BlockDamaged(part, `The ${part} has ${bytes.length} bytes, and ${length} by its header.`)
  if (crc32(bytes) !== sum) throw new BlockDamaged(part, `The checksum of the ${part} is not the one in its header.`)
}
