/** A machine that stopped: the dehumidifier's dew point climbs for hours while the air stays as warm; without cooling or heating the air drifts. */
import { instantOf, medianOf, type Minutes, type RoomCourse, slopePerHour } from './course.ts'
import { fact, type Found } from './evidence.ts'

/** °C/h from which a drift is no evening's. Reason: rooms of this size lose a machine's work at half a degree an hour or more. */
const slopeMin = 0.35
/** It must go on for so long, and come to so much. */
const lastsMinutes = 45
const windowMinutes = 60
const strideMinutes = 5
const unrestTimes = 4
const totalMin = 0.8
/** What else moves less than this share of it counts as flat. */
const flatShare = 0.5
/** Of its slope that the corridor explains: then it is the weather. */
const weatherShare = 0.6

interface Ramp {
  from: number
  to: number
  /** °C/h, and °C in all. */
  slope: number
  total: number
}

/** Stretches through which the course keeps climbing, or falling, faster than `slopeMin`, having not done so before. */
function ramps(all: Minutes, unrest: number, sign: 1 | -1): Ramp[] {
  const found: Ramp[] = []
  let from = -1
  const close = (end: number) => {
    const to = Math.min(end, all.length - 1)
    if (from >= 0 && to - from >= lastsMinutes) {
      const total = medianOf(all, to - 8, to + 1) - medianOf(all, from - 4, from + 5)
      const slope = (60 * total) / (to - from)
      const calmBefore = slopePerHour(all, from - windowMinutes, from)
      const isNew = Number.isNaN(calmBefore) || sign * (slope - calmBefore) >= slopeMin
      // What comes back to where it usually is has been put right, not broken.
      const usual = medianOf(all, 0, all.length)
      const start = medianOf(all, from - 4, from + 5)
      const isAway = Math.abs(start + total - usual) > Math.abs(start - usual)
      if (sign * total >= Math.max(totalMin, unrestTimes * unrest) && isNew && isAway)
        found.push({ from, to, slope, total })
    }
    from = -1
  }
  let last = 0
  for (let i = 0; i + windowMinutes <= all.length; i += strideMinutes) {
    const slope = slopePerHour(all, i, i + windowMinutes)
    if (sign * slope >= slopeMin) {
      if (from < 0) from = i
      last = i + windowMinutes
    } else if (from >= 0 && i > last - windowMinutes / 2) close(last - windowMinutes / 4)
  }
  close(last)
  return found.map((ramp) => ({ ...ramp, from: onset(all, ramp) }))
}

/** Where the line through the ramp meets the level before it. */
function onset(all: Minutes, { from, to, slope }: Ramp): number {
  const level = medianOf(all, from - 30, from + 5, 5)
  const middle = Math.floor((from + Math.min(to, from + 120)) / 2)
  const at = middle - (60 * (medianOf(all, middle - 5, middle + 6) - level)) / slope
  return Number.isFinite(at) ? Math.max(0, Math.min(middle, Math.round(at))) : from
}

const change = (all: Minutes, from: number, to: number) =>
  medianOf(all, to - 8, to + 1) - medianOf(all, from - 8, from + 3)

/** Whether the corridor did the same at the same time. */
function isWeather(ramp: Ramp, corridor: Minutes | undefined): boolean {
  if (!corridor) return false
  const theirs = change(corridor, ramp.from, ramp.to)
  return Math.sign(theirs) === Math.sign(ramp.total) && Math.abs(theirs) >= weatherShare * Math.abs(ramp.total)
}

/** What other ramps turn back where a person restarts it, else it lasts to the end of what was seen. */
function endOf(course: RoomCourse, all: Minutes, ramp: Ramp): number | null {
  return ramp.to >= all.length - 10 ? null : ramp.to
}

export function machinesOf(course: RoomCourse, unrest: { dew: number; air: number }): Found[] {
  const { airC, dewC, corridor } = course
  const damp = ramps(dewC, unrest.dew, 1).flatMap((ramp): Found[] => {
    const air = change(airC, ramp.from, ramp.to)
    if (Math.abs(air) > flatShare * ramp.total || isWeather(ramp, corridor?.dewC)) return []
    const to = endOf(course, dewC, ramp)
    return [
      {
        kind: 'dehumidifier',
        from: instantOf(course, ramp.from),
        to: to === null ? null : instantOf(course, to),
        confidence: 'likely',
        evidence: [fact('dew-point-ramp', ramp.slope), fact('temperature-flat', air)],
        ruledOut: [
          { kind: 'door', because: fact('dew-point-ramp', ramp.slope) },
          { kind: 'cooling', because: fact('temperature-flat', air) },
        ],
      },
    ]
  })
  const drifting = ([1, -1] as const).flatMap((sign) =>
    ramps(airC, unrest.air, sign).flatMap((ramp): Found[] => {
      const dew = change(dewC, ramp.from, ramp.to)
      if (Math.abs(dew) > flatShare * Math.abs(ramp.total) * 1.6 || isWeather(ramp, corridor?.airC)) return []
      const to = endOf(course, airC, ramp)
      return [
        {
          kind: sign > 0 ? 'cooling' : 'heating',
          from: instantOf(course, ramp.from),
          to: to === null ? null : instantOf(course, to),
          confidence: 'likely',
          evidence: [fact('temperature-ramp', ramp.slope), fact('dew-point-flat', dew)],
          ruledOut: [
            { kind: 'door', because: fact('temperature-ramp', ramp.slope) },
            { kind: 'dehumidifier', because: fact('dew-point-flat', dew) },
          ],
        },
      ]
    }),
  )
  return [...damp, ...drifting]
}
