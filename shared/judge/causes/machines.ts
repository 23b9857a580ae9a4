/** A machine that stopped: the dehumidifier's dew point climbs for hours while the air stays as warm; without cooling or heating the air drifts. */
import { type Departure, departuresOf } from './departures.ts'
import { instantOf, medianOf, type Minutes, type RoomCourse } from './course.ts'
import { fact, type Found } from './evidence.ts'

/** °C/h from which a drift is no evening's. Reason: rooms of this size lose a machine's work at a third of a degree an hour or more. */
const slopeMin = 0.3
/** From its beginning to its farthest point; what is there sooner, or came mostly at once, is a step. */
const climbMinutes = 30
const suddenShareMax = 0.6
/** What else moves less than this share of it counts as flat. */
const flatShare = 0.5
/** Of its way that the air outside the door explains: then it is the weather. */
const weatherShare = 0.6

const isRamp = (d: Departure) =>
  d.peak - d.from >= climbMinutes && d.suddenShare <= suddenShareMax && d.sign * d.slope >= slopeMin

const change = (all: Minutes, { from, peak }: Departure) =>
  medianOf(all, peak - 5, peak + 6) - medianOf(all, from - 30, from + 5)

/** Whether the air outside did the same at the same time. */
function isWeather(d: Departure, corridor: Minutes | undefined): boolean {
  if (!corridor) return false
  const theirs = change(corridor, d)
  return Math.sign(theirs) === d.sign && Math.abs(theirs) >= weatherShare * Math.abs(d.total)
}

/** When it was running again: at the farthest point, where it turned back; null where it did not. */
function endOf(course: RoomCourse, d: Departure): number | null {
  return d.to === null && d.peak >= course.airC.length - 15 ? null : instantOf(course, d.peak)
}

export function machinesOf(course: RoomCourse): Found[] {
  const { airC, dewC, corridor } = course
  const damp = departuresOf(dewC)
    .filter((d) => d.sign > 0 && isRamp(d))
    .flatMap((d): Found[] => {
      const air = change(airC, d)
      if (Math.abs(air) > flatShare * d.total || isWeather(d, corridor?.dewC)) return []
      return [
        {
          kind: 'dehumidifier',
          from: instantOf(course, d.from),
          to: endOf(course, d),
          confidence: 'likely',
          evidence: [fact('dew-point-ramp', d.slope), fact('temperature-flat', air)],
          ruledOut: [
            { kind: 'door', because: fact('dew-point-ramp', d.slope) },
            { kind: 'cooling', because: fact('temperature-flat', air) },
          ],
        },
      ]
    })
  const drifting = departuresOf(airC)
    .filter(isRamp)
    .flatMap((d): Found[] => {
      const dew = change(dewC, d)
      if (Math.abs(dew) > 0.8 * Math.abs(d.total) || isWeather(d, corridor?.airC)) return []
      return [
        {
          kind: d.sign > 0 ? 'cooling' : 'heating',
          from: instantOf(course, d.from),
          to: endOf(course, d),
          confidence: 'likely',
          evidence: [fact('temperature-ramp', d.slope), fact('dew-point-flat', dew)],
          ruledOut: [
            { kind: 'door', because: fact('temperature-ramp', d.slope) },
            { kind: 'dehumidifier', because: fact('dew-point-flat', dew) },
          ],
        },
      ]
    })
  return [...damp, ...drifting]
}
