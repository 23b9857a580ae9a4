/** Departures: where a course leaves the range in which it usually moves, from when, how far and for how long. Cycles of a thermostat stay inside. */
import { medianOf, type Minutes, slopePerHour, smoothed } from './course.ts'

export interface Departure {
  sign: 1 | -1
  /** Minute in which it began to leave, of its farthest point, and of its return; null while it is out. */
  from: number
  peak: number
  to: number | null
  /** °C from the middle of its usual range to the farthest point. */
  total: number
  /** °C/h from beginning to the farthest point, or over the first hours of it. */
  slope: number
  /** Of `total`, the greatest part that came within ten minutes. */
  suddenShare: number
}

/** The usual range is taken from so many minutes before, and needs so many of them. */
const memoryMinutes = 360
const memoryLeast = 75
/** The newest are no part of it: a slow ramp must not pull its own range along. */
const guardMinutes = 90
/** It must leave that range by so much, °C, or by this share of its width, for so long. */
const marginMinC = 0.35
const marginShare = 0.3
const outMinutes = 10
const backMinutes = 10

interface Range {
  low: number
  middle: number
  high: number
}

/** What was seen and usual, in order of time, and the part of it that the usual range is taken from, in order of value. */
class Memory {
  #all: number[] = []
  #sorted: number[] = []
  /** The sorted part is `from` ≤ i < `to` of all. */
  #from = 0
  #to = 0

  push(value: number): void {
    this.#all.push(value)
  }

  /** The newest are forgotten. */
  drop(count: number): void {
    this.#all.length = Math.max(0, this.#all.length - count)
    this.#sorted = []
    this.#from = this.#to = 0
  }

  range(): Range | null {
    if (this.#all.length < memoryLeast) return null
    const end = Math.max(memoryLeast, this.#all.length - guardMinutes)
    for (; this.#to < end; this.#to++) {
      const value = this.#all[this.#to] as number
      this.#sorted.splice(placeOf(this.#sorted, value), 0, value)
    }
    for (; this.#from < end - memoryMinutes; this.#from++)
      this.#sorted.splice(placeOf(this.#sorted, this.#all[this.#from] as number), 1)
    const at = (share: number) => this.#sorted[Math.round(share * (this.#sorted.length - 1))] as number
    return { low: at(0.03), middle: at(0.5), high: at(0.97) }
  }
}

/** Of the first value that is not below this one. */
function placeOf(sorted: readonly number[], value: number): number {
  let [low, high] = [0, sorted.length]
  while (low < high) {
    const middle = (low + high) >> 1
    if ((sorted[middle] as number) < value) low = middle + 1
    else high = middle
  }
  return low
}

/** Back from where it left: its last turning point within the usual range. */
function beginOf(slow: Minutes, at: number, sign: 1 | -1, { middle }: Range): number {
  let inside = at
  while (inside > 0 && sign * ((slow[inside] as number) - middle) > 0) inside--
  let begin = inside
  for (let i = inside; i >= Math.max(0, inside - 40); i--)
    if (sign * ((slow[i] as number) - (slow[begin] as number)) < 0) begin = i
  return begin
}

function described(
  slow: Minutes,
  from: number,
  peak: number,
  to: number | null,
  sign: 1 | -1,
  range: Range,
): Departure {
  let sudden = 0
  for (let i = from; i + 10 <= peak + 5 && i + 10 < slow.length; i++)
    sudden = Math.max(sudden, sign * ((slow[i + 10] as number) - (slow[i] as number)) || 0)
  const total = (slow[peak] as number) - range.middle
  const fitted = slopePerHour(slow, from, Math.min(peak + 1, from + 150))
  const slope = Number.isNaN(fitted)
    ? (60 * ((slow[peak] as number) - (slow[from] as number))) / Math.max(1, peak - from)
    : fitted
  return {
    sign,
    from,
    peak,
    to,
    total,
    slope,
    suddenShare: sudden / Math.abs((slow[peak] as number) - (slow[from] as number)),
  }
}

export function departuresOf(all: Minutes): Departure[] {
  const slow = smoothed(all, 3)
  const memory = new Memory()
  const found: Departure[] = []
  for (let i = 0; i < slow.length; i++) {
    const value = slow[i] as number
    if (Number.isNaN(value)) continue
    const range = memory.range()
    if (!range) {
      memory.push(value)
      continue
    }
    const margin = Math.max(marginMinC, marginShare * (range.high - range.low))
    const sign = value > range.high + margin ? 1 : value < range.low - margin ? -1 : 0
    const middle = medianOf(slow, i, i + outMinutes, 5)
    const isOut = sign !== 0 && (sign > 0 ? middle > range.high + margin : middle < range.low - margin)
    if (sign === 0 || !isOut) {
      memory.push(value)
      continue
    }
    // Until it has been back within its range for a while.
    let peak = i
    let back = 0
    let to: number | null = null
    let end = i
    for (; end < slow.length; end++) {
      const now = slow[end] as number
      if (Number.isNaN(now)) continue
      if (sign * (now - (slow[peak] as number)) > 0) peak = end
      back = (sign > 0 ? now <= range.high : now >= range.low) ? back + 1 : 0
      if (back < backMinutes) continue
      to = end - backMinutes + 1
      break
    }
    const from = beginOf(slow, i, sign, range)
    // What it did on its way out is no part of what is usual.
    memory.drop(i - from)
    found.push(described(slow, from, peak, to, sign, range))
    i = end
  }
  return found
}
