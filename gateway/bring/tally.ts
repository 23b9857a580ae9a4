/** Sums of a table while it is read: how much came of each series, what could not be read, and where the clock changed. */
import {
  type BringResult,
  type BringSeries,
  type BringTrouble,
  bringToldMax,
  type SeriesId,
} from '../../shared/contract/index.ts'
import type { Read, ReadValue } from './reader.ts'
import { isConverted } from './units.ts'

/** What became of one reading, or would. `kept` is the other value that stands at its instant. */
export type Outcome = { is: 'stored' } | { is: 'duplicate' } | { is: 'conflict'; kept: number }

/** A reading on its way, with the line it came from. */
export interface Carried {
  line: number
  at: number
  value: ReadValue & { value: number }
}

interface Counted {
  count: number
  first: BringTrouble[]
}

function add(counted: Counted, line: number, reason: string): void {
  counted.count++
  if (counted.first.length < bringToldMax) counted.first.push({ line, reason })
}

function newSeries(series: SeriesId): BringSeries {
  return {
    series,
    readings: 0,
    stored: 0,
    duplicates: 0,
    conflicts: 0,
    bad: 0,
    empty: 0,
    convertedFrom: null,
    from: null,
    to: null,
    lowest: null,
    highest: null,
    before: 0,
  }
}

export class Tally {
  lines = 0
  readings = 0
  readonly #series = new Map<SeriesId, BringSeries>()
  readonly #unreadable: Counted = { count: 0, first: [] }
  readonly #missing: Counted = { count: 0, first: [] }
  readonly #twice = { told: 0, assumed: 0, first: [] as BringTrouble[] }
  readonly #conflicts: BringTrouble[] = []

  of(series: SeriesId): BringSeries {
    let mine = this.#series.get(series)
    if (!mine) {
      mine = newSeries(series)
      this.#series.set(series, mine)
    }
    return mine
  }

  /** Counts a line; returns the readings in it. */
  take(read: Read): Carried[] {
    this.lines++
    for (const reason of read.troubles) this.cannotRead(read.line, reason)
    if (read.missing) add(this.#missing, read.line, 'this local time never was: the clock went forward over it')
    if (read.twice !== undefined) this.#countTwice(read)
    const carried: Carried[] = []
    for (const value of read.values) {
      if (value.value === null || read.at === null) this.of(value.series).empty++
      else carried.push({ line: read.line, at: read.at, value: value as Carried['value'] })
    }
    return carried
  }

  #countTwice(read: Read): void {
    if (read.twice === 'told') this.#twice.told++
    else {
      this.#twice.assumed++
      if (this.#twice.first.length < bringToldMax)
        this.#twice.first.push({
          line: read.line,
          reason: 'this local time was twice, and the order of the lines does not tell which is meant',
        })
    }
  }

  cannotRead(line: number, reason: string): void {
    add(this.#unreadable, line, reason)
  }

  /** Counts what became of a reading. */
  settle({ line, at, value }: Carried, outcome: Outcome): void {
    this.readings++
    const mine = this.of(value.series)
    mine.readings++
    if (outcome.is === 'stored') mine.stored++
    else if (outcome.is === 'duplicate') mine.duplicates++
    else {
      mine.conflicts++
      if (this.#conflicts.length < bringToldMax)
        this.#conflicts.push({
          line,
          reason: `${value.series} at ${new Date(at).toISOString()} is ${value.value} here; ${outcome.kept} stands already and stays`,
        })
    }
    if (isConverted(value.unit)) mine.convertedFrom = value.unit
    mine.from = Math.min(mine.from ?? at, at)
    mine.to = Math.max(mine.to ?? at, at)
    if (value.quality === 'bad') mine.bad++
    else {
      mine.lowest = Math.min(mine.lowest ?? value.value, value.value)
      mine.highest = Math.max(mine.highest ?? value.value, value.value)
    }
  }

  sums(): Pick<BringResult, 'lines' | 'readings' | 'series' | 'unreadable' | 'conflicts' | 'clock'> {
    return {
      lines: this.lines,
      readings: this.readings,
      series: [...this.#series.values()].sort((a, b) => (a.series < b.series ? -1 : 1)),
      unreadable: this.#unreadable,
      conflicts: this.#conflicts,
      clock: { missing: this.#missing, twice: this.#twice },
    }
  }
}
