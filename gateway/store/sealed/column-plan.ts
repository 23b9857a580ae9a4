/** Finds the few bits that hold most of some whole numbers: a base, a width, and those left out to be told apart. */
import { widthMax } from './column.ts'

export interface Plan {
  /** Packed is what lies in base … base + 2^width − 1. */
  base: number
  width: number
  /** About what it costs, the base included. */
  bytes: number
}

/** Cells that the numbers are counted in: where a window of some of them begins is found to 1/16 of its width. */
const cellBits = 5
const cells = 2 ** cellBits
const counts = new Int32Array(cells)
/** How many lie in the cells before each. */
const before = new Int32Array(cells + 1)

/** Bits that hold 0 … range. */
function bitsOf(range: number): number {
  return range < 2 ** 31 ? 32 - Math.clz32(range) : 64 - Math.clz32(Math.floor(range / 2 ** 32))
}

/** Bytes of a whole number of either sign. */
function signedBytes(number: number): number {
  return Math.ceil((bitsOf(Math.abs(number)) + 1) / 7)
}

/** The plan with the fewest bytes, nearly; null where no width holds enough of them. */
export function planOf(numbers: Float64Array, length: number): Plan | null {
  let low = numbers[0] as number
  let high = low
  for (let i = 1; i < length; i++) {
    const number = numbers[i] as number
    if (number < low) low = number
    else if (number > high) high = number
  }
  const width = bitsOf(high - low)
  const all = { base: low, width, bytes: signedBytes(low) + ((length * width + 7) >> 3) }
  const least = width <= widthMax ? all : null
  // A number told apart costs a byte and more: where the bits are few already, nothing can be gained.
  return width < 2 ? all : patchedPlan(numbers, length, low, high, least)
}

/** Counts in cells, then looks closer at the fullest two neighbours, until a cell is one number wide. */
function patchedPlan(numbers: Float64Array, length: number, from: number, to: number, least: Plan | null): Plan | null {
  const patchBytes = 1 + signedBytes(to - from)
  let best = least
  let [low, high] = [from, to]
  for (;;) {
    const width = bitsOf(high - low)
    const cellWidth = Math.max(0, width - cellBits)
    const perCell = 2 ** cellWidth
    count(numbers, length, low, high, perCell)
    for (let narrower = Math.min(width - 1, widthMax); narrower >= cellWidth; narrower--) {
      const window = 1 << (narrower - cellWidth)
      const cell = fullest(window)
      const patches = length - heldFrom(cell, window)
      // The narrower, the more are left out.
      if (best !== null && patches * patchBytes >= best.bytes) break
      const base = low + cell * perCell
      const bytes = signedBytes(base) + ((length * narrower + 7) >> 3) + 1 + patches * patchBytes
      if (best === null || bytes < best.bytes) best = { base, width: narrower, bytes }
    }
    if (cellWidth === 0) return best
    const cell = fullest(2)
    const closer = low + cell * perCell
    const end = closer + 2 * perCell - 1
    if (heldFrom(cell, 2) < length / 2 || (closer === low && high <= end)) return best
    low = closer
    high = Math.min(high, end)
  }
}

function count(numbers: Float64Array, length: number, low: number, high: number, perCell: number): void {
  counts.fill(0)
  // A power of two, so that this is exact.
  const share = 1 / perCell
  for (let i = 0; i < length; i++) {
    const number = numbers[i] as number
    if (number < low || number > high) continue
    const cell = ((number - low) * share) | 0
    counts[cell] = (counts[cell] as number) + 1
  }
  for (let cell = 0, sum = 0; cell < cells; cell++) {
    sum += counts[cell] as number
    before[cell + 1] = sum
  }
}

function heldFrom(cell: number, width: number): number {
  return (before[cell + width] as number) - (before[cell] as number)
}

/** Where the window of so many cells begins that has most in it. */
function fullest(width: number): number {
  let best = 0
  let most = -1
  for (let cell = 0; cell + width <= cells; cell++) {
    const held = heldFrom(cell, width)
    if (held <= most) continue
    most = held
    best = cell
  }
  return best
}
