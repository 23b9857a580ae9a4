/** A machine that stopped: the dehumidifier's dew point climbs for hours while the air stays as warm; without cooling or heating the air drifts. */
import type { CauseEvidence } from '../../contract/index.ts'
import { type Departure, departuresOf } from './departures.ts'
import { instantOf, medianOf, type Minutes, type RoomCourse } from './course.ts'
import { fact, type Found } from './evidence.ts'

/** What makes a departure a machine’s: °C/h, minutes from its beginning to its farthest point, and how much of it may have come at once. */
interface Ramp {
  slopeMin: number
  climbMinutes: number
  suddenShareMax: number
}

/** Reason: rooms of this size lose a machine’s work at a third of a degree an hour or more. */
const airRamp: Ramp = { slopeMin: 0.3, climbMinutes: 55, suddenShareMax: 0.6 }
/** Longer, for fresh shells bring damp as well, and give it within the hour. */
const dewRamp: Ramp = { slopeMin: 0.35, climbMinutes: 100, suddenShareMax: 0.5 }
/** The air beside a dew point that climbs: so much of it, or so many °C, is still flat. */
const airFlatShare = 0.5
const airFlatC = 1
/** The dew point may follow the air, up to twice as far, for boards and shells keep the humidity; against it, only so much. */
const dewFollowsShare = 2
const dewAgainstShare = 0.8
/** Of its way that the air outside the door explains: then it is the weather. */
const weatherShare = 0.6
/** What comes again so often in one night is the room’s habit. */
const habitTimes = 3

function isRamp(d: Departure, all: readonly Departure[], { slopeMin, climbMinutes, suddenShareMax }: Ramp): boolean {
  const alike = all.filter((o) => o.sign === d.sign && Math.abs(o.total) >= 0.5 * Math.abs(d.total))
  return (
    d.peak - d.from >= climbMinutes &&
    d.suddenShare <= suddenShareMax &&
    d.sign * d.slope >= slopeMin &&
    alike.length < habitTimes
  )
}

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
  const damp = departuresOf(dewC).flatMap((d, _, all) => {
    const air = change(airC, d)
    const isFlat = Math.abs(air) <= Math.max(airFlatC, airFlatShare * d.total)
    if (d.sign < 0 || !isRamp(d, all, dewRamp) || !isFlat || isWeather(d, corridor?.dewC)) return []
    return [stopped(d, 'dehumidifier', 'dew-point-ramp', fact('temperature-flat', air), 'cooling')]
  })
  const drifting = departuresOf(airC).flatMap((d, _, all) => {
    const dew = change(dewC, d)
    const follows = (d.sign * dew) / Math.abs(d.total)
    const isBeside = follows <= dewFollowsShare && -follows <= dewAgainstShare
    if (!isRamp(d, all, airRamp) || !isBeside || isWeather(d, corridor?.airC)) return []
    const kind = d.sign > 0 ? 'cooling' : 'heating'
    const beside = fact(d.sign * dew > 0.3 ? 'dew-point-follows' : 'dew-point-flat', dew)
    return [stopped(d, kind, 'temperature-ramp', beside, 'dehumidifier')]
  })
  return [...damp, ...drifting]
}
