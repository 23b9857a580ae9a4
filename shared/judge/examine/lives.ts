/** What a thermocouple goes through in its life: hours that rot it, and times and hours in the band where type K orders. */
import { rangeOf, upTo } from './course.ts'
import type { Examination, Life, Track, Watch } from './exam.ts'
import type { Frame } from './roles.ts'
import type { ExaminedStation } from './station.ts'

/** Green rot begins about here, ordering happens between these (published, see the trade's notes on type K), °C. */
const rotC = 800
export const orderFromC = 250
export const orderToC = 550
/** Half an hour within so many degrees is a rest. */
const restMinutes = 30
const restRangeC = 6
const hourMs = 3_600_000

/** Every minute of a kiln counts in the lives of its thermocouples. */
export function livesAfter(
  station: ExaminedStation,
  { watch, lives }: Examination,
  frame: Frame,
): [readonly Life[], Watch['sides']] {
  let [nowLives, sides] = [lives, watch.sides]
  frame.values.forEach((value, i) => {
    if (value === null || station.instruments[i]?.kind !== 'thermocouple') return
    const side = value < orderFromC ? -1 : value > orderToC ? 1 : 0
    const passed = side !== 0 && sides[i] === -side
    if (side !== 0 && sides[i] !== side) sides = sides.with(i, side)
    const hours = frame.minuteMs / hourMs
    const course = upTo(watch.tracks[i] as Track, frame.index)
    const rests = side === 0 && course.length >= restMinutes && rangeOf(course, restMinutes) <= restRangeC
    if (value < rotC && !passed && !rests) return
    const life = nowLives[i] as Life
    nowLives = nowLives.with(i, {
      ...life,
      hoursAbove800: life.hoursAbove800 + (value >= rotC ? hours : 0),
      passes250to550: life.passes250to550 + (passed ? 1 : 0),
      hoursAt250to550: life.hoursAt250to550 + (rests ? hours : 0),
    })
  })
  return [nowLives, sides]
}
