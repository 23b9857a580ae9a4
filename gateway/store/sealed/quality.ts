/** Qualities of one chunk as bytes, where not all of the block are good. */
import { qualities } from '../../../shared/contract/index.ts'
import type { ByteReader } from './byte-reader.ts'
import type { ByteWriter } from './byte-writer.ts'

/** First byte: all of this quality, or one of these. */
const inRuns = 254
const inPairsOfBits = 255

/** A run is a byte: its quality in two bits, its length less one above. */
const runMax = 64

function runsOf(quality: Uint8Array, from: number, to: number): number[] {
  const runs: number[] = []
  for (let i = from; i < to; ) {
    const begun = i
    while (i < to && quality[i] === quality[begun] && i - begun < runMax) i++
    runs.push(((i - begun - 1) << 2) | (quality[begun] as number))
  }
  return runs
}

export function writeQualities(out: ByteWriter, quality: Uint8Array, from: number, to: number): void {
  const first = quality[from] as number
  if (quality.subarray(from, to).every((other) => other === first)) return out.byte(first)
  const runs = runsOf(quality, from, to)
  const pairBytes = (to - from + 3) >> 2
  if (runs.length < pairBytes) {
    out.byte(inRuns)
    for (const run of runs) out.byte(run)
    return
  }
  out.byte(inPairsOfBits)
  const at = out.room(pairBytes)
  for (let i = 0; i < to - from; i++)
    out.bytes[at + (i >> 2)] = (out.bytes[at + (i >> 2)] as number) | ((quality[from + i] as number) << (2 * (i & 3)))
}

/** Into out[from] up to, not including, out[to]. */
export function readQualities(reader: ByteReader, out: Uint8Array, from: number, to: number): void {
  const form = reader.byte()
  if (form < qualities.length) out.fill(form, from, to)
  else if (form === inRuns) readRuns(reader, out, from, to)
  else if (form === inPairsOfBits) {
    const at = reader.take((to - from + 3) >> 2)
    for (let i = 0; i < to - from; i++)
      out[from + i] = known(reader, ((reader.bytes[at + (i >> 2)] as number) >> (2 * (i & 3))) & 3)
  } else throw reader.damaged(`qualities in a form that is not known: ${form}`)
}

function readRuns(reader: ByteReader, out: Uint8Array, from: number, to: number): void {
  for (let at = from; at < to; ) {
    const run = reader.byte()
    const end = at + (run >> 2) + 1
    if (end > to) throw reader.damaged('qualities of more readings than there are')
    out.fill(known(reader, run & 3), at, end)
    at = end
  }
}

function known(reader: ByteReader, quality: number): number {
  if (quality >= qualities.length) throw reader.damaged(`a quality that is not known: ${quality}`)
  return quality
}
