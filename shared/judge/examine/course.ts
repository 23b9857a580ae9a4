/** The course of one instrument: the means of its last closed minutes, newest last, with a null where it was unseen. */

export type Course = readonly (number | null)[]

/** Four hours of minutes: long enough for a pot's heating cycles and a kiln's rest, and some kB as JSON. */
export const courseMax = 240

export function grown(course: Course, by: readonly (number | null)[]): Course {
  const all = by.length >= courseMax ? by : [...course, ...by]
  return all.length > courseMax ? all.slice(-courseMax) : all
}

/** How each of two aligned courses changed over `apart` minutes, wherever both were seen at both ends; of the last `back` minutes. */
export function changesOf(a: Course, b: Course, apart: number, back: number): [number[], number[]] {
  const [xs, ys]: [number[], number[]] = [[], []]
  const n = Math.min(a.length, b.length, back)
  for (let k = apart; k < n; k++) {
    const [ia, ib] = [a.length - n + k, b.length - n + k]
    const [a0, a1, b0, b1] = [a[ia - apart], a[ia], b[ib - apart], b[ib]]
    if (a0 == null || a1 == null || b0 == null || b1 == null) continue
    xs.push(a1 - a0)
    ys.push(b1 - b0)
  }
  return [xs, ys]
}

/** Those of the last `back` that were seen. */
export function lately(course: Course, back: number): number[] {
  const seen: number[] = []
  for (let i = Math.max(0, course.length - back); i < course.length; i++) {
    const value = course[i]
    if (value != null) seen.push(value)
  }
  return seen
}

/** Highest less lowest of the last `back`; 0 of none. */
export function rangeOf(course: Course, back: number): number {
  let [low, high] = [Infinity, -Infinity]
  for (let i = Math.max(0, course.length - back); i < course.length; i++) {
    const value = course[i]
    if (value == null) continue
    if (value < low) low = value
    if (value > high) high = value
  }
  return high >= low ? high - low : 0
}

/** A course that ends at this minute, whatever its track has closed since or not yet. */
export function upTo({ end, course }: { end: number; course: Course }, index: number): Course {
  if (end === index) return course
  return end > index
    ? course.slice(0, index - end)
    : [...course, ...new Array<null>(Math.min(index - end, courseMax)).fill(null)]
}
