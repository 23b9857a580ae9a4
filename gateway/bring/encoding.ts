/** Letters from bytes: which encoding a table is written in, and its text piece by piece. */
import type { BringPlan } from '../../shared/contract/index.ts'

export type Encoding = BringPlan['encoding']

/** `how` says by what it was told. */
export interface EncodingGuess {
  encoding: Encoding
  how: 'mark' | 'ascii' | 'utf-8' | 'other'
}

const longestUtf8Letter = 4

/** The sample may end in the middle of a letter, so its last bytes do not count against UTF-8. */
function isUtf8(sample: Uint8Array): boolean {
  const decoder = new TextDecoder('utf-8', { fatal: true })
  for (let cut = 0; cut < longestUtf8Letter && cut <= sample.length; cut++)
    try {
      decoder.decode(sample.subarray(0, sample.length - cut))
      return true
    } catch {
      // One byte less, or it is not UTF-8.
    }
  return false
}

/** By the byte-order mark where there is one; else what is no UTF-8 is taken for Windows-1252, in which every byte is a letter. */
export function guessEncoding(sample: Uint8Array): EncodingGuess {
  const [a, b, c] = sample
  if (a === 0xef && b === 0xbb && c === 0xbf) return { encoding: 'utf-8', how: 'mark' }
  if (a === 0xff && b === 0xfe) return { encoding: 'utf-16le', how: 'mark' }
  if (a === 0xfe && b === 0xff) return { encoding: 'utf-16be', how: 'mark' }
  if (sample.every((byte) => byte < 0x80)) return { encoding: 'utf-8', how: 'ascii' }
  return isUtf8(sample) ? { encoding: 'utf-8', how: 'utf-8' } : { encoding: 'windows-1252', how: 'other' }
}

/** The text, piece by piece, without the byte-order mark. */
export async function* decoded(bytes: AsyncIterable<Uint8Array>, encoding: Encoding): AsyncIterable<string> {
  const decoder = new TextDecoder(encoding)
  for await (const piece of bytes) yield decoder.decode(piece, { stream: true })
  yield decoder.decode()
}

export function decodedWhole(sample: Uint8Array, encoding: Encoding): string {
  return new TextDecoder(encoding).decode(sample, { stream: true })
}
