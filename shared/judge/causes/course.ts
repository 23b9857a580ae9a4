/** The course of a room through a night on a grid of minutes: what the causes are read from. */
import { type DurationMs, type EpochMs, minuteMs } from '../../time.ts'

/** NaN where nothing was seen in that minute. */
export type Minutes = Float64Array

export interface Spell {
  from: EpochMs
  to: EpochMs
}

/** One test piece: wax under shell. */
export interface PieceCourse {
  probe: string
  waxC: Minutes
}

/** Everything that is known of one room. All minutes begin at `from` and have the same length. */
export interface RoomCourse {
  from: EpochMs
  /** Until then people come and go, with wet shells: from the air alone nothing is named that began by day. */
  dusk: EpochMs
  /** Of the probe that stands for the room. */
  airC: Minutes
  dewC: Minutes
  /** Relative humidity as it was sent, %. */
  humidity: Minutes
  wetBulbC: Minutes
  /** A second probe in the same room; null where there is none. */
  other: { airC: Minutes; dewC: Minutes } | null
  corridor: { airC: Minutes; dewC: Minutes } | null
  pieces: readonly PieceCourse[]
  /** A. */
  fan: Minutes | null
  /** 0 open, 1 shut; the share of the minute in which it was shut. */
  door: Minutes | null
  /** When instruments said nothing, one list each, those of this room and of others; what they told later counts as silent too. */
  silences: readonly { instrument: string; isMine: boolean; spells: readonly Spell[] }[]
  /** When the gateway did not run. */
  absences: readonly Spell[]
  /** Power cuts that other rooms tell of. */
  cuts: readonly Spell[]
}

export function minutesBetween(from: EpochMs, to: EpochMs): number {
  return Math.max(0, Math.ceil((to - from) / minuteMs))
}

/** Means of the readings of each minute. `gapMs`: minutes without one lie on the line between neighbours that are no farther apart. */
export function minuteMeans(
  t: ArrayLike<number>,
  v: ArrayLike<number>,
  from: EpochMs,
  minutes: number,
  gapMs: DurationMs,
): Minutes {
  const sum = new Float64Array(minutes)
  const count = new Uint32Array(minutes)
  for (let i = 0; i < t.length; i++) {
    const at = Math.floor(((t[i] as number) - from) / minuteMs)
    const value = v[i] as number
    if (at < 0 || at >= minutes || Number.isNaN(value)) continue
    sum[at] = (sum[at] as number) + value
    count[at] = (count[at] as number) + 1
  }
  const means = sum.map((total, i) => ((count[i] as number) > 0 ? total / (count[i] as number) : Number.NaN))
  let last = -1
  for (let i = 0; i < minutes; i++) {
    if (Number.isNaN(means[i] as number)) continue
    const gap = i - last
    if (last >= 0 && gap > 1 && gap * minuteMs <= Math.max(gapMs, 2 * minuteMs))
      for (let k = 1; k < gap; k++)
        means[last + k] = (means[last] as number) + (k / gap) * ((means[i] as number) - (means[last] as number))
    last = i
  }
  return means
}

/** Values in rising order, put in one by one. Reason: a night asks for a hundred thousand middles of a few minutes each. */
class Rising {
  readonly #all = new Float64Array(64)
  #more: number[] = []
  #size = 0

  clear(): void {
    this.#size = 0
    this.#more = []
  }

  put(value: number): void {
    if (this.#size === this.#all.length) {
      this.#more.push(value)
      return
    }
    let at = this.#size++
    for (; at > 0 && (this.#all[at - 1] as number) > value; at--) this.#all[at] = this.#all[at - 1] as number
    this.#all[at] = value
  }

  get size(): number {
    return this.#size + this.#more.length
  }

  /** NaN where there is none. */
  middle(): number {
    const sorted = this.#more.length === 0 ? this.#all : Float64Array.from([...this.#all, ...this.#more]).sort()
    const half = this.size >> 1
    if (this.size === 0) return Number.NaN
    return this.size % 2 === 1
      ? (sorted[half] as number)
      : ((sorted[half - 1] as number) + (sorted[half] as number)) / 2
  }
}

const rising = new Rising()

/** The middle value of from ≤ i < to that are seen; NaN where fewer than `least` are. */
export function medianOf(all: Minutes, from: number, to: number, least = 1): number {
  rising.clear()
  for (let i = Math.max(0, from); i < Math.min(all.length, to); i++)
    if (!Number.isNaN(all[i] as number)) rising.put(all[i] as number)
  return rising.size < least ? Number.NaN : rising.middle()
}

/** Each minute the middle of the minutes around it, so many on either side. */
export function smoothed(all: Minutes, reach: number): Minutes {
  return all.map((_, i) => medianOf(all, i - reach, i + reach + 1, reach))
}

/** Theil and Sen's slope through from ≤ i < to, °C/h (or units/h), from every `step`-th minute; NaN where too few are seen. */
export function slopePerHour(all: Minutes, from: number, to: number, step = 3): number {
  const at: number[] = []
  for (let i = Math.max(0, from); i < Math.min(all.length, to); i += step)
    if (!Number.isNaN(all[i] as number)) at.push(i)
  if (at.length < 6) return Number.NaN
  const slopes: number[] = []
  for (let i = 0; i < at.length; i++)
    for (let k = i + 1; k < at.length; k++) {
      const [a, b] = [at[i] as number, at[k] as number]
      slopes.push(((all[b] as number) - (all[a] as number)) / (b - a))
    }
  slopes.sort((a, b) => a - b)
  return 60 * (slopes[slopes.length >> 1] as number)
}

/** How far it strays in an ordinary hour: 1.4826 × the median distance from its own slow course. */
export function unrestOf(all: Minutes): number {
  const slow = smoothed(all, 20)
  const apart = all.map((value, i) => Math.abs(value - (slow[i] as number)))
  const middle = medianOf(apart, 0, apart.length, 30)
  return Number.isNaN(middle) ? 0 : 1.4826 * middle
}

export const instantOf = (course: RoomCourse, minute: number): EpochMs => course.from + minute * minuteMs

/** Stretches of minutes in which something holds, at least so long; `to` is null where it holds to the end. */
export function stretchesOf(
  length: number,
  holds: (minute: number) => boolean,
  least: number,
): { from: number; to: number | null }[] {
  const found: { from: number; to: number | null }[] = []
  let from = -1
  for (let i = 0; i <= length; i++) {
    const now = i < length && holds(i)
    if (now && from < 0) from = i
    if (now || from < 0) continue
    if (i - from >= least) found.push({ from, to: i === length ? null : i })
    from = -1
  }
  return found
}
