/** A course opened from its bytes: time, value and quality of the readings of a block, unpacked chunk by chunk where they are asked for. */
import { badQuality, type Strand } from '../../../shared/series/columns.ts'
import type { DurationMs, EpochMs } from '../../../shared/time.ts'
import { ByteReader } from './byte-reader.ts'
import { Column } from './column.ts'
import { chunkReadings, chunkShift } from './layout.ts'
import { Directory } from './directory.ts'
import { longestGapOf } from './header.ts'
import { readQualities } from './quality.ts'
import { chunkArrays, isStill, type Lent } from './scratch.ts'

const inChunk = chunkReadings - 1

/** `longestGapMs` as the header tells it; without it, it is found when it is asked for. Throws BlockDamaged, as every method does. */
export function openCourse(bytes: Uint8Array, longestGapMs?: DurationMs): Course {
  return new Course(bytes, longestGapMs)
}

/** A chunk that was checked and whose parts were found. */
interface Chunk {
  /** Of all but the first reading; null where that is the only one. */
  times: Column | null
  values: Column
  qualitiesAt: number
  end: number
}

export class Course implements Strand {
  readonly length: number
  readonly #reader: ByteReader
  readonly #directory: Directory
  readonly #chunks: (Chunk | undefined)[] = []
  readonly #times: (Lent | undefined)[] = []
  readonly #steps: (Lent | undefined)[] = []
  readonly #qualities: (Uint8Array | undefined)[] = []
  #longestGapMs: DurationMs | undefined

  constructor(bytes: Uint8Array, longestGapMs?: DurationMs) {
    this.#reader = new ByteReader('course', bytes)
    this.#directory = new Directory(this.#reader)
    this.length = this.#directory.length
    this.#longestGapMs = longestGapMs
  }

  get longestGapMs(): DurationMs {
    this.#longestGapMs ??= longestGapOf(this.times(), this.qualities())
    return this.#longestGapMs
  }

  t(index: number): EpochMs {
    const c = this.#chunkOf(index)
    const j = index & inChunk
    if (j === 0) return this.#directory.first(c)
    const known = this.#times[c]
    if (isStill(known, this, c)) return known.array[j] as number
    const { times } = this.#chunk(c)
    if (times?.isOpen) return times.at(j - 1, this.#directory.first(c))
    return this.#timesOf(c)[j] as number
  }

  v(index: number): number {
    const c = this.#chunkOf(index)
    const { scale } = this.#directory
    const known = this.#steps[c]
    if (isStill(known, this, c)) return scale.toValue(known.array[index & inChunk] as number)
    const { values } = this.#chunk(c)
    if (values.isOpen) return scale.toValue(values.at(index & inChunk, this.#directory.origin(c)))
    return scale.toValue(this.#stepsOf(c)[index & inChunk] as number)
  }

  /** Of the readings that are not bad; −1 where all are. */
  lowest(from: number, to: number): number {
    return this.#extreme(from, to, 1)
  }

  highest(from: number, to: number): number {
    return this.#extreme(from, to, -1)
  }

  /** Index of the first reading at or after this instant; the length where there is none. */
  placeOf(t: EpochMs): number {
    let [low, high] = [0, this.#directory.chunks]
    while (low < high) {
      const middle = (low + high) >> 1
      if (this.#directory.first(middle) < t) low = middle + 1
      else high = middle
    }
    // It is the first of this chunk, or lies in the one before.
    return low === 0 ? 0 : this.#placeWithin(low - 1, t)
  }

  /** The same within a chunk whose first lies before. Instruments speak at even intervals, so it is looked for where it should be. */
  #placeWithin(c: number, t: EpochMs): number {
    let from = c << chunkShift
    const count = this.#readingsOf(c)
    let to = from + count
    const begin = this.#directory.first(c)
    const last = c + 1 < this.#directory.chunks ? this.#directory.first(c + 1) : this.t(to - 1)
    const guess = from + Math.ceil(((t - begin) / (last - begin)) * count)
    if (guess - 2 > from && guess - 2 < to && this.t(guess - 2) < t) from = guess - 1
    if (guess + 2 > from && guess + 2 < to && this.t(guess + 2) >= t) to = guess + 2
    while (from < to) {
      const middle = (from + to) >> 1
      if (this.t(middle) < t) from = middle + 1
      else to = middle
    }
    return from
  }

  /** All at once, in arrays of the caller's own. */
  times(): Float64Array {
    const times = new Float64Array(this.length)
    for (let c = 0; c < this.#directory.chunks; c++) this.#timesInto(c, times, c << chunkShift)
    return times
  }

  values(): Float64Array {
    const values = new Float64Array(this.length)
    for (let c = 0; c < this.#directory.chunks; c++)
      this.#chunk(c).values.into(values, c << chunkShift, this.#directory.origin(c))
    this.#directory.scale.toValues(values, 0, this.length)
    return values
  }

  qualities(): Uint8Array {
    const qualities = new Uint8Array(this.length)
    if (!this.#directory.areAllGood)
      for (let c = 0; c < this.#directory.chunks; c++) this.#qualitiesInto(c, qualities, c << chunkShift)
    return qualities
  }

  #chunkOf(index: number): number {
    if (!(index >= 0 && index < this.length)) throw new RangeError(`There is no reading ${index} of ${this.length}.`)
    return index >> chunkShift
  }

  #readingsOf(c: number): number {
    return Math.min(chunkReadings, this.length - (c << chunkShift))
  }

  /** Checks a chunk when it is first needed. */
  #chunk(c: number): Chunk {
    const known = this.#chunks[c]
    if (known !== undefined) return known
    const reader = this.#reader
    const count = this.#readingsOf(c)
    reader.enter(this.#directory.offset(c), this.#directory.offset(c + 1))
    const times = count > 1 ? new Column(reader, count - 1) : null
    const values = new Column(reader, count)
    const qualitiesAt = reader.at
    if (this.#directory.areAllGood) reader.finish()
    const chunk = { times, values, qualitiesAt, end: reader.end }
    this.#chunks[c] = chunk
    return chunk
  }

  #timesInto(c: number, out: Float64Array, place: number): void {
    const first = this.#directory.first(c)
    out[place] = first
    this.#chunk(c).times?.into(out, place + 1, first)
  }

  /** Lent: to be looked into at once, and not kept. */
  #timesOf(c: number): Float64Array {
    const lent = chunkArrays.lend(this, c)
    this.#timesInto(c, lent.array, 0)
    this.#times[c] = lent
    return lent.array
  }

  /** Lent. Values as steps of the scale, which rise as the values do: only those that are asked for need be turned into values. */
  #stepsOf(c: number): Float64Array {
    const known = this.#steps[c]
    if (isStill(known, this, c)) return known.array
    const lent = chunkArrays.lend(this, c)
    this.#chunk(c).values.into(lent.array, 0, this.#directory.origin(c))
    this.#steps[c] = lent
    return lent.array
  }

  #qualitiesInto(c: number, out: Uint8Array, place: number): void {
    const { qualitiesAt, end } = this.#chunk(c)
    this.#reader.at = qualitiesAt
    this.#reader.end = end
    readQualities(this.#reader, out, place, place + this.#readingsOf(c))
    this.#reader.finish()
  }

  #qualitiesOf(c: number): Uint8Array {
    const known = this.#qualities[c]
    if (known !== undefined) return known
    const qualities = new Uint8Array(this.#readingsOf(c))
    this.#qualitiesInto(c, qualities, 0)
    this.#qualities[c] = qualities
    return qualities
  }

  /** The earliest of the lowest, or with `sign` −1 of the highest. Chunks are unpacked only where the directory does not say enough. */
  #extreme(from: number, to: number, sign: 1 | -1): number {
    if (!(from >= 0 && from < to && to <= this.length))
      throw new RangeError(`There are no readings ${from} to ${to} of ${this.length}.`)
    const directory = this.#directory
    let [best, index, within] = [Number.POSITIVE_INFINITY, -1, -1]
    for (let c = from >> chunkShift; c <= (to - 1) >> chunkShift; c++) {
      const [low, high] = [directory.low(c), directory.high(c)]
      const bound = sign > 0 ? low : -high
      // Where none is good, the lowest lies above the highest.
      if (bound >= best || !(low <= high)) continue
      const begin = c << chunkShift
      if (from <= begin && begin + this.#readingsOf(c) <= to) {
        best = bound
        within = c
        continue
      }
      const found = this.#extremeWithin(c, Math.max(0, from - begin), Math.min(chunkReadings, to - begin), sign)
      if (found < 0) continue
      const value = sign * directory.scale.toValue(this.#stepsOf(c)[found] as number)
      if (value >= best) continue
      best = value
      index = begin + found
      within = -1
    }
    if (within < 0) return index
    const found = this.#extremeWithin(within, 0, this.#readingsOf(within), sign)
    if (found < 0 || sign * directory.scale.toValue(this.#stepsOf(within)[found] as number) !== best)
      throw this.#reader.damaged('the directory tells of a value that is not there', directory.offset(within))
    return (within << chunkShift) + found
  }

  #extremeWithin(c: number, from: number, to: number, sign: 1 | -1): number {
    const steps = this.#stepsOf(c)
    if (this.#directory.areAllGood) return sign > 0 ? lowestOf(steps, from, to) : highestOf(steps, from, to)
    const qualities = this.#qualitiesOf(c)
    let [best, found] = [Number.POSITIVE_INFINITY, -1]
    for (let j = from; j < to; j++) {
      const value = sign * (steps[j] as number)
      if (!(value < best) || qualities[j] === badQuality) continue
      best = value
      found = j
    }
    return found
  }
}

function lowestOf(values: Float64Array, from: number, to: number): number {
  let found = from
  let lowest = values[from] as number
  for (let j = from + 1; j < to; j++) {
    const value = values[j] as number
    if (value < lowest) {
      lowest = value
      found = j
    }
  }
  return found
}

function highestOf(values: Float64Array, from: number, to: number): number {
  let found = from
  let highest = values[from] as number
  for (let j = from + 1; j < to; j++) {
    const value = values[j] as number
    if (value > highest) {
      highest = value
      found = j
    }
  }
  return found
}
