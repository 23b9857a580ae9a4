/** A week of some series in the order in which a gateway would have received it: all that a replay needs, and nothing held twice. */
import type { NewEntry } from '../../../shared/contract/index.ts'
import { type Manner, type Noisy, noisy } from './noisy.ts'
import { seriesName } from './years.ts'

export interface Arrivals {
  /** Readings in all. */
  count: number
  /** Which series, and which of its readings, by order of arrival. */
  series: Uint16Array
  nth: Uint32Array
  courses: Noisy[]
}

export function arrivalsOf(seriesCount: number, from: number, each: number, manner: Manner): Arrivals {
  const courses = Array.from({ length: seriesCount }, (_, nth) => noisy(nth, from, each, manner))
  const count = seriesCount * each
  const arrivals: Arrivals = { count, series: new Uint16Array(count), nth: new Uint32Array(count), courses }
  const next = new Uint32Array(seriesCount)
  for (let i = 0; i < count; i++) {
    let [first, at] = [0, Number.POSITIVE_INFINITY]
    courses.forEach(({ arrivedAt }, series) => {
      const arrival = arrivedAt[next[series] as number] ?? Number.POSITIVE_INFINITY
      if (arrival < at) [first, at] = [series, arrival]
    })
    arrivals.series[i] = first
    arrivals.nth[i] = next[first] as number
    next[first] = (next[first] as number) + 1
  }
  return arrivals
}

/** The readings begin ≤ i < end by arrival, as the intake hands them to the store. */
export function entriesOf({ series, nth, courses }: Arrivals, begin: number, end: number): NewEntry[] {
  return Array.from({ length: end - begin }, (_, i): NewEntry => {
    const [of, at] = [series[begin + i] as number, nth[begin + i] as number]
    const { t, v, arrivedAt } = courses[of] as Noisy
    return {
      kind: 'reading',
      at: arrivedAt[at] as number,
      series: seriesName(of),
      measuredAt: t[at] as number,
      value: v[at] as number,
      quality: 'good',
    }
  })
}

/** The same readings as rows of numbers: series, t, v, quality, arrived_at, seq, reason, claimed_at. */
export function* rowsOf({ count, series, nth, courses }: Arrivals): Generator<(number | null)[]> {
  for (let i = 0; i < count; i++) {
    const [of, at] = [series[i] as number, nth[i] as number]
    const { t, v, arrivedAt } = courses[of] as Noisy
    yield [of, t[at] as number, v[at] as number, 0, arrivedAt[at] as number, i + 1, null, null]
  }
}
