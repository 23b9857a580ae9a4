/** A machine that stopped: the dehumidifier's dew point climbs for hours while the air stays as warm; without cooling or heating the air drifts. */
import type { CauseEvidence } from '../../contract/index.ts'
import { type Departure, departuresOf } from './departures.ts'
import { instantOf, medianOf, type Minutes, type RoomCourse } from './course.ts'
import { fact, type Found } from './evidence.ts'

/** °C/h from which a drift is no evening's. Reason: rooms of this size lose a machine's work at a third of a degree an hour or more. */
const slopeMin = 0.3
/** From its beginning to its farthest point; what is there sooner, or came mostly at once, is a step. */
const climbMinutes = 30
const suddenShareMax = 0.6
/** What else moves less than this share of it counts as flat: the air beside a dew point that climbs, and the other way round. */
const airFlatShare = 0.5
const dewFlatShare = 0.8
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
  const stopped = (
    d: Departure,
    kind: Found['kind'],
    ramp: 'dew-point-ramp' | 'temperature-ramp',
    flat: CauseEvidence,
    not: Found['kind'],
  ): Found => ({
    kind,
    from: instantOf(course, d.from),
    to: endOf(course, d),
    confidence: 'likely',
    evidence: [fact(ramp, d.slope), flat],
    ruledOut: [
      { kind: 'door', because: fact(ramp, d.slope) },
      { kind: not, because: flat },
    ],
  })
  const damp = departuresOf(dewC).flatMap((d) => {
    const air = change(airC, d)
    if (d.sign < 0 || !isRamp(d) || Math.abs(air) > airFlatShare * d.total || isWeather(d, corridor?.dewC)) return []
    return [stopped(d, 'dehumidifier', 'dew-point-ramp', fact('temperature-flat', air), 'cooling')]
  })
  const drifting = departuresOf(airC).flatMap((d) => {
    const dew = change(dewC, d)
    if (!isRamp(d) || Math.abs(dew) > dewFlatShare * Math.abs(d.total) || isWeather(d, corridor?.airC)) return []
    const kind = d.sign > 0 ? 'cooling' : 'heating'
    return [stopped(d, kind, 'temperature-ramp', fact('dew-point-flat', dew), 'dehumidifier')]
  })
  return [...damp, ...drifting]
}
