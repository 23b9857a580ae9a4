/** Writes a course: time, value and quality of the readings of a block, in chunks with a directory before them. */
import { badQuality } from '../../../shared/series/columns.ts'
import type { BlockColumns } from './block.ts'
import { crcBytes } from './byte-reader.ts'
import { ByteWriter } from './byte-writer.ts'
import { writeColumn, writeWhole } from './column-write.ts'
import { chunkReadings, chunksOf, courseVersion, someNotGood } from './layout.ts'
import { writeQualities } from './quality.ts'
import { type Scale, scaleFor } from './scale.ts'

/** Of the good readings of a chunk, in steps. Where there are none, the lowest lies above the highest. */
interface Extremes {
  low: Float64Array
  high: Float64Array
}

export function writeCourse({ t, v, quality }: BlockColumns): Uint8Array {
  const count = t.length
  const steps = new Float64Array(count)
  const scale = scaleFor(v, steps)
  const areAllGood = isZero(quality)
  const { low, high } = extremesOf(steps, quality)
  const chunks = new ByteWriter(count * 4 + 64)
  const bytes = new Float64Array(chunksOf(count))
  for (let c = 0; c < bytes.length; c++) {
    const from = c * chunkReadings
    const to = Math.min(count, from + chunkReadings)
    const begun = chunks.length
    writeColumn(chunks, t, from + 1, to, t[from] as number)
    writeSteps(chunks, scale, steps, from, to, low[c] as number)
    if (!areAllGood) writeQualities(chunks, quality, from, to)
    chunks.sum(begun)
    bytes[c] = chunks.length - begun
  }
  const course = new ByteWriter(chunks.length + count + 64)
  course.byte(courseVersion)
  course.byte(areAllGood ? 0 : someNotGood)
  course.byte(scale.code)
  const headBytesAt = course.room(2)
  course.varint(count)
  course.float64(t[0] as number)
  writeColumn(course, bytes, 0, bytes.length, 0)
  writeColumn(
    course,
    bytes.map((_, c) => t[c * chunkReadings] as number),
    1,
    bytes.length,
    t[0] as number,
  )
  writeSteps(course, scale, low, 0, low.length, 0)
  writeSteps(course, scale, high, 0, high.length, 0)
  course.uint16At(headBytesAt, course.length + crcBytes)
  course.sum(0)
  course.append(chunks)
  return course.written()
}

function writeSteps(out: ByteWriter, scale: Scale, steps: Float64Array, from: number, to: number, origin: number) {
  if (scale.isWhole) writeColumn(out, steps, from, to, origin)
  else writeWhole(out, steps, from, to)
}

function extremesOf(steps: Float64Array, quality: Uint8Array): Extremes {
  const low = new Float64Array(chunksOf(steps.length))
  const high = new Float64Array(low.length)
  for (let c = 0; c < low.length; c++) {
    let [lowest, highest] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY]
    const to = Math.min(steps.length, (c + 1) * chunkReadings)
    for (let i = c * chunkReadings; i < to; i++) {
      if (quality[i] === badQuality) continue
      const step = steps[i] as number
      if (step < lowest) lowest = step
      if (step > highest) highest = step
    }
    low[c] = lowest <= highest ? lowest : 1
    high[c] = lowest <= highest ? highest : 0
  }
  return { low, high }
}

/** Without a call for each, as they are many. */
function isZero(quality: Uint8Array): boolean {
  for (let i = 0; i < quality.length; i++) if (quality[i] !== 0) return false
  return true
}
