/** What the examiner holds of one station: plain data that survives JSON, and bounded however long it runs. */
import type { Doubt } from '../../contract/index.ts'
import type { DurationMs, EpochMs } from '../../time.ts'
import type { Course } from './course.ts'
import type { OpenMinute } from './minute.ts'
import type { Suspicion } from './suspicion.ts'

/** What one instrument has been through, and how it stood to its twin from firing to firing. */
export interface Life {
  instrument: string
  hoursAbove800: number
  /** Times it passed right through 250–550 °C, up or down, and hours it rested there for half an hour and more. */
  passes250to550: number
  hoursAt250to550: number
  firings: number
  /** Newest last. */
  differences: readonly Difference[]
}

export interface Difference {
  /** Number of the firing since the examination began. */
  firing: number
  at: EpochMs
  against: string
  /** Middle of the band of temperature in which both stood still, °C. */
  bandC: number
  /** This instrument less the other, °C. */
  differenceC: number
}

/** One series that is followed: the temperature of an instrument, or its humidity. */
export interface Track {
  /** The last closed minute; −1 before the first. */
  end: number
  course: Course
  /** Of the last closed minute: did it say nothing but one value? */
  frozen: boolean
  /** Readings in the run of one value that is going on, since when, and the longest that ever ended by itself. */
  run: number
  runAt: EpochMs
  longest: number
  /** The smallest step ever seen; 0 before the first. */
  step: number
  /** Closed minutes, ever. */
  minutes: number
  /** Since when it gives no value although it speaks; null while it gives one. */
  voidSince: EpochMs | null
  noise: Noise
}

export interface Noise {
  /** The block that is being filled. */
  rough: number
  roughs: number
  repeats: number
  readings: number
  /** Blocks that are known, one list for each state of the station. */
  known: readonly Usual[]
  /** The last block's; 0 before the first. */
  lately: number
}

/** What is usual in one state: a thinned memory of blocks, the quietest and the loudest of all. */
export interface Usual {
  blocks: number
  memory: readonly number[]
  quietest: number
  loudest: number
}

/** How an infrared instrument stands to the probe under it. */
export interface Optics {
  instrument: number
  /** Its share of what the probe says, minute by minute; null where it could not be told. */
  shares: Course
  /** The best share it shows when it sees well: a slow upper envelope; 0 before the first. */
  best: number
  /** Minutes in which it saw hot wax well. */
  clear: number
  /** Since the wax became hot, and whether it was seen cold before that and the instrument has not seen well since. */
  hotMinutes: number
  fromCold: boolean
  departure: Departure | null
}

/** A time in which an infrared instrument shows less than at its best; it ends when it has stayed near its best for a while. */
export interface Departure {
  minutes: number
  /** Minutes in a row near its best. */
  near: number
  /** What it showed just before, where that is known. */
  before: number | null
  /** Its first shares. */
  first: readonly number[]
}

/** One instrument held against another where both should show the same. */
export interface Pairing {
  a: number
  b: number
  /** Mean of both in bands of the hotter, as first seen and as it is now. */
  bands: readonly { n: number; a: number; b: number }[]
  /** They agreed while hot, once. */
  agreed: boolean
}

/** One kiln firing that goes on. */
export interface Firing {
  number: number
  /** The last minute that was seen of it. */
  at: EpochMs
  coldMinutes: number
  /** For each twin pair and band of temperature: minutes in which both stood still, and their difference (a less b). */
  still: readonly Still[]
  rests: readonly Rest[]
}

export interface Still {
  a: number
  b: number
  band: number
  minutes: number
  difference: number
  at: EpochMs
}

/** A rest of a pair between 250 and 550 °C: where their difference stood at its beginning, and what it does. */
export interface Rest {
  a: number
  b: number
  minutes: number
  /** Their difference (a less b) after half an hour, and now. */
  early: number
  now: number
  /** Where it rests, °C. */
  restC: number
  /** It has moved on; what it showed is kept until it rests anew. */
  over: boolean
}

/** What a pair showed in one band in one firing. */
export interface Seen {
  a: number
  b: number
  band: number
  firing: number
  at: EpochMs
  difference: number
}

/** A wax probe's way through the melt. */
export interface Melt {
  /** It has been liquid since the pot was last cold. */
  liquid: boolean
  /** Minutes since something else in the pot was hot. */
  otherHot: number
  /** The pot was seen cold before this heat. */
  fromCold: boolean
}

/** All that is looked at only when a minute closes. */
export interface Watch {
  minuteMs: DurationMs
  /** The last frame that was judged; −1 before the first. */
  frame: number
  tracks: readonly Track[]
  suspicions: readonly Suspicion[]
  optics: readonly Optics[]
  pairings: readonly Pairing[]
  melts: readonly Melt[]
  firing: Firing | null
  firings: number
  past: readonly Seen[]
  /** Below 250 °C (−1) or above 550 (1) last, for each instrument; 0 before it was either. */
  sides: readonly number[]
  /** What the last look at the clocks of two instruments found: how many minutes later the events of the first come. */
  lags: readonly { a: number; b: number; minutes: number }[]
  /** When each instrument was last heard, where somebody tells the examiner the time. */
  heard: readonly Heard[]
  /** When somebody last told the examiner the time; 0 before the first. */
  lookedAt: EpochMs
}

/** By its own time and by the examiner's: an instrument whose clock is apart is not silent. */
export interface Heard {
  lastAt: EpochMs
  at: EpochMs
  /** Silent while others of its station spoke, for so long. */
  aloneMs: DurationMs
}

export interface Examination {
  doubts: readonly Doubt[]
  lives: readonly Life[]
  /** One for the temperature of each instrument, then one for the humidity of each; null while nothing is open. */
  minutes: readonly (OpenMinute | null)[]
  watch: Watch
}
