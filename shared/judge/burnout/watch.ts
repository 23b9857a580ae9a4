/** Each probe of a kiln watched by itself, minute by minute: its rate, and the bands that it moves through. Nothing hangs on who is heard first. */
import type { BandCrossing, BurnoutRecipe } from '../../contract/index.ts'
import type { Sample } from '../../series/columns.ts'
import { type EpochMs, hourMs, minuteMs } from '../../time.ts'

/** Minute means kept, for rates and falls; and means of five minutes, for what takes hours. */
const minutesMax = 120
const fivesMax = 1_152
const fiveMs = 5 * minuteMs
/** A rate is taken over so many minutes. */
const rateMinutes = 10

export interface Bucket {
  /** Its beginning: a multiple of its length. */
  at: EpochMs
  count: number
  sum: number
}

export interface Watched {
  probe: string
  minute: Bucket
  five: Bucket
  /** Closed ones, oldest first: beginning, mean, beginning, mean … */
  minutes: readonly number[]
  fives: readonly number[]
  /** Of the last ten minutes, °C/h; null while too few of them were seen. */
  cPerHour: number | null
  inside: readonly BandCrossing[]
}

export const noBucket: Bucket = { at: 0, count: 0, sum: 0 }

export function newWatched(probe: string): Watched {
  return { probe, minute: noBucket, five: noBucket, minutes: [], fives: [], cPerHour: null, inside: [] }
}

export function filled(bucket: Bucket, lengthMs: number, { t, v }: Sample): [Bucket, [number, number] | null] {
  const at = Math.floor(t / lengthMs) * lengthMs
  if (bucket.count > 0 && bucket.at === at) return [{ at, count: bucket.count + 1, sum: bucket.sum + v }, null]
  return [{ at, count: 1, sum: v }, bucket.count > 0 ? [bucket.at, bucket.sum / bucket.count] : null]
}

/** Theil and Sen's slope: the median of all slopes between two minutes, which a few wild ones do not move. °C/h. */
function rateOf(minutes: readonly number[]): number | null {
  const newest = minutes.at(-2)
  if (newest === undefined) return null
  const slopes: number[] = []
  let first = minutes.length
  while (first > 0 && (minutes[first - 2] as number) > newest - rateMinutes * minuteMs) first -= 2
  if ((minutes.length - first) / 2 < 4) return null
  for (let i = first; i < minutes.length; i += 2)
    for (let j = i + 2; j < minutes.length; j += 2)
      slopes.push(
        ((minutes[j + 1] as number) - (minutes[i + 1] as number)) / ((minutes[j] as number) - (minutes[i] as number)),
      )
  slopes.sort((a, b) => a - b)
  const middle = slopes.length >> 1
  const median =
    slopes.length % 2 === 1
      ? (slopes[middle] as number)
      : ((slopes[middle - 1] as number) + (slopes[middle] as number)) / 2
  return median * hourMs
}

const kept = (list: readonly number[], pair: readonly [number, number], most: number) =>
  [...list, ...pair].slice(-2 * most)

/** One more good sample. Bands that it has left come back as crossings. */
export function seenBy(before: Watched, recipe: BurnoutRecipe, sample: Sample): [Watched, readonly BandCrossing[]] {
  const [minute, closed] = filled(before.minute, minuteMs, sample)
  const [five, closedFive] = filled(before.five, fiveMs, sample)
  const fives = closedFive ? kept(before.fives, closedFive, fivesMax) : before.fives
  if (!closed) return [{ ...before, minute, five, fives }, []]
  const minutes = kept(before.minutes, closed, minutesMax)
  const cPerHour = rateOf(minutes)
  const [inside, left] = throughBands(before, recipe, closed, cPerHour)
  return [{ probe: before.probe, minute, five, minutes, fives, cPerHour, inside }, left]
}

/** A band is entered and left by minute means; how fast within it counts by the rate over ten minutes. */
function throughBands(
  before: Watched,
  recipe: BurnoutRecipe,
  [at, mean]: readonly [number, number],
  cPerHour: number | null,
): [readonly BandCrossing[], readonly BandCrossing[]] {
  const { bands } = recipe
  if (!bands || bands.length === 0) return [before.inside, []]
  const last = before.minutes.at(-1)
  const left: BandCrossing[] = []
  const inside: BandCrossing[] = []
  for (const band of bands) {
    const old = before.inside.find((c) => c.band === band.name)
    const isIn = mean >= band.fromC && mean <= band.toC
    if (old && !isIn) left.push({ ...old, to: at })
    if (!isIn) {
      // From one minute to the next right through it: a fall of an open door does that.
      const jumps = last !== undefined && !old && (last - band.fromC) * (mean - band.toC) < 0 && outside(last, band)
      if (jumps) left.push({ ...crossing(before.probe, band, at, Math.sign(mean - last), mean - last), to: at })
      continue
    }
    const direction = last === undefined ? (cPerHour ?? 0) : old ? 0 : mean - last
    const now = old ?? crossing(before.probe, band, at, Math.sign(direction), 0)
    const rate = cPerHour === null ? 0 : now.direction === 'up' ? cPerHour : -cPerHour
    inside.push(rate > now.cPerHour ? { ...now, cPerHour: rate } : now)
  }
  return [inside, left]
}

const outside = (value: number, band: { fromC: number; toC: number }) => value < band.fromC || value > band.toC

function crossing(
  probe: string,
  band: NonNullable<BurnoutRecipe['bands']>[number],
  from: EpochMs,
  sign: number,
  perMinute: number,
): BandCrossing {
  const direction = sign < 0 ? 'down' : 'up'
  const most = direction === 'up' ? band.riseCPerHourMax : band.fallCPerHourMax
  return {
    band: band.name,
    probe,
    from,
    to: null,
    direction,
    cPerHour: 60 * Math.abs(perMinute),
    cPerHourMax: most ?? null,
  }
}
