/** The guard before CBOR: walks the heads of a message without recursion and without making anything of it, so that no bomb gets further. */
import { readingsPerMessageMax } from '../../../../shared/contract/index.ts'

/** Deepest nesting of a pack: list, record, decimal fraction, its two numbers. Reason: twice that leaves room for fields of others. */
export const cborDepthMax = 8
/** Lists, maps and tags in one pack. Reason: a record, its value and its time as decimal fractions make five each. */
export const cborContainersMax = 5 * readingsPerMessageMax + 1

const unsigned = 0
const negative = 1
const bytes = 2
const text = 3
const list = 4
const map = 5
const tag = 6
/** Minor type: the length is not told before. */
const indefinite = 31
const stop = 0xff
/** RFC 8949, 3.4.4: an exponent to ten and a mantissa. */
const decimalFraction = 4

const cut = 'The pack ends in the middle.'

/** How many bytes after the head byte tell its number. */
function argumentBytes(minor: number): number {
  return minor < 24 ? 0 : minor > 27 ? -1 : 1 << (minor - 24)
}

/** Items that a list, map or tag still waits for; Infinity where only a stop ends it. */
class Open {
  readonly #waits: number[] = []
  containers = 0

  get depth(): number {
    return this.#waits.length
  }

  begin(items: number): string | null {
    if (this.#waits.length >= cborDepthMax) return `The pack is nested deeper than ${cborDepthMax} levels.`
    if (++this.containers > cborContainersMax)
      return `The pack has more than ${cborContainersMax} lists and maps in it.`
    this.#waits.push(items)
    return null
  }

  /** An item is complete, and with it perhaps what it was the last of. */
  complete(): void {
    for (let last = this.#waits.length - 1; last >= 0; last--) {
      const left = (this.#waits[last] as number) - 1
      this.#waits[last] = left
      if (left > 0) return
      this.#waits.pop()
    }
  }

  /** A stop: only what has no length can end so. */
  stop(): boolean {
    if (this.#waits.at(-1) !== Infinity) return false
    this.#waits.pop()
    return true
  }
}

/** One sentence why these bytes are not looked at any further; null where they can do no harm. */
export function cborTrouble(payload: Uint8Array): string | null {
  const view = new DataView(payload.buffer, payload.byteOffset, payload.byteLength)
  const open = new Open()
  let at = 0
  do {
    if (at >= payload.length) return cut
    const head = payload[at++] as number
    if (head === stop) {
      if (!open.stop()) return 'The pack has a stop where nothing is to be stopped.'
      open.complete()
      continue
    }
    const major = head >> 5
    const minor = head & 31
    const endless = minor === indefinite
    const width = endless ? 0 : argumentBytes(minor)
    if (width < 0) return 'The pack has a byte that begins nothing in CBOR.'
    if (at + width > payload.length) return cut
    const argument = width === 0 ? minor : numberAt(view, at, width)
    at += width
    const left = payload.length - at
    switch (major) {
      case unsigned:
      case negative:
        if (endless) return 'The pack has a number without an end.'
        open.complete()
        break
      case bytes:
      case text:
        if (endless) return 'The pack has text or bytes in pieces; SenML asks for a length before them.'
        if (argument > left) return `The pack tells of ${argument} bytes of text where only ${left} follow.`
        at += argument
        open.complete()
        break
      case list:
      case map: {
        const items = endless ? Infinity : major === map ? argument * 2 : argument
        if (!endless && items > left) return `The pack tells of ${items} items where only ${left} bytes follow.`
        if (items === 0) open.complete()
        else {
          const trouble = open.begin(items)
          if (trouble !== null) return trouble
        }
        break
      }
      case tag: {
        if (endless || argument !== decimalFraction)
          return `The pack has the tag ${endless ? 'without a number' : argument}; of tags SenML knows only 4.`
        const trouble = open.begin(1)
        if (trouble !== null) return trouble
        break
      }
      default:
        open.complete()
    }
  } while (open.depth > 0)
  return at < payload.length ? `${payload.length - at} bytes follow the pack.` : null
}

function numberAt(view: DataView, at: number, width: number): number {
  switch (width) {
    case 1:
      return view.getUint8(at)
    case 2:
      return view.getUint16(at)
    case 4:
      return view.getUint32(at)
    default:
      return view.getUint32(at) * 2 ** 32 + view.getUint32(at + 4)
  }
}
