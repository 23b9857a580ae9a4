/** A door that stood open: the dew point, and often the air, steps toward the corridor within minutes, and comes back when it is shut. */
import { minuteMs } from '../../time.ts'
import { instantOf, medianOf, type Minutes, type RoomCourse, smoothed, stretchesOf } from './course.ts'
import { fact, type Found } from './evidence.ts'

/** Shorter is somebody going through. Common practice, no source. */
const openMinutesMin = 3
/** What a step must come to: °C, and so many times the unrest of an ordinary hour. */
const dewStepMin = 0.7
const airStepMin = 0.5
const unrestTimes = 4
/** A step is over in so many minutes; a machine that stops takes an hour for as much. */
const stepMinutes = 8
/** A step must be so many times what the room does in the liveliest twentieth of its other hours: a machine’s cycle comes again and again. */
const oftenShare = 0.95
const oftenTimes = 1.6
const elsewhereMinutes = 90
/** Told from the air alone: somebody going through is over sooner, even to a slow probe. */
const airMinutesMin = 12

interface Step {
  at: number
  /** °C, by what the course changed. */
  dew: number
  air: number
}

const before = (all: Minutes, i: number) => medianOf(all, i - 12, i, 5)
const after = (all: Minutes, i: number) => medianOf(all, i + 1, i + 1 + stepMinutes, 4)

function stepAt(course: RoomCourse, i: number): Step {
  return {
    at: i,
    dew: after(course.dewC, i) - before(course.dewC, i),
    air: after(course.airC, i) - before(course.airC, i),
  }
}

/** Toward the corridor: in its direction and, but for what probes differ by, not beyond it. Null where nobody knows the corridor. */
function isToward(step: Step, course: RoomCourse): boolean | null {
  const { corridor } = course
  if (!corridor) return null
  const gap = medianOf(corridor.dewC, step.at - 12, step.at + 12) - before(course.dewC, step.at)
  if (Number.isNaN(gap)) return null
  return Math.sign(gap) === Math.sign(step.dew) && Math.abs(step.dew) <= 1.2 * Math.abs(gap) + 0.4
}

/** When the course, having left its level, turns back for good; null where it does not. */
function turnsBack(all: Minutes, level: number, from: number): { end: number; recovery: number | null } | null {
  const slow = smoothed(all, 2)
  let peak = 0
  let end = from
  for (let i = from; i < Math.min(slow.length, from + 360); i++) {
    const apart = Math.abs((slow[i] as number) - level)
    if (Number.isNaN(apart)) continue
    if (apart >= 0.9 * peak) {
      end = i
      peak = Math.max(peak, apart)
    }
    if (apart < 0.5 * peak) {
      const away = Math.abs((slow[end] as number) - level)
      for (let k = end + 1; k < slow.length; k++)
        if (Math.abs((slow[k] as number) - level) <= 0.37 * away) return { end, recovery: k - end }
      return { end, recovery: null }
    }
  }
  return null
}

/** Minutes from the beginning of the step to nine tenths of its height: through an open door air comes in for as long as it stands open. */
function riseMinutes(all: Minutes, level: number, from: number, to: number): number {
  let peak = 0
  for (let i = from; i <= to; i++) peak = Math.max(peak, Math.abs((all[i] as number) - level) || 0)
  for (let i = from; i <= to; i++) if (Math.abs((all[i] as number) - level) >= 0.9 * peak) return i - from
  return to - from
}

function byContact(course: RoomCourse, unrest: { dew: number; air: number }): Found[] {
  const { door } = course
  if (!door) return []
  return stretchesOf(door.length, (i) => (door[i] as number) < 0.5, openMinutesMin).flatMap(({ from, to }): Found[] => {
    const end = to ?? door.length - 1
    const level = before(course.dewC, from)
    const dew = medianOf(course.dewC, end - 5, end + 5) - level
    const air = medianOf(course.airC, end - 5, end + 5) - before(course.airC, from)
    const moves = Math.abs(dew) > Math.max(0.3, 2 * unrest.dew) || Math.abs(air) > Math.max(0.3, 2 * unrest.air)
    // A door that stands open for a few minutes and moves nothing is nobody's concern.
    if (!moves && end - from < 10) return []
    const back = turnsBack(course.dewC, level, from)
    return [
      {
        kind: 'door',
        from: instantOf(course, from),
        to: to === null ? null : instantOf(course, to),
        confidence: 'sure',
        evidence: [
          fact('door-open', end - from),
          ...(Math.abs(dew) > 0.3 ? [fact('dew-point-step', dew)] : []),
          ...(Math.abs(air) > 0.3 ? [fact('temperature-step', air)] : []),
        ],
        ruledOut: [{ kind: 'dehumidifier', because: fact('door-open', end - from) }],
        recoveryMinutes: to === null ? null : (back?.recovery ?? null),
      },
    ]
  })
}

/** So high that no machine of the room, and nobody going through, makes such steps all night. */
interface Least {
  dew: number
  air: number
}

/** The highest of neighbouring steps that are more than the room does at other times. */
function peaks(course: RoomCourse, unrest: { dew: number; air: number }): Step[] {
  const steps: Step[] = []
  for (let i = 12; i < course.dewC.length - stepMinutes; i++) steps.push(stepAt(course, i))
  const weight = ({ dew, air }: Step, least: Least) =>
    Math.max(Math.abs(dew) / least.dew || 0, Math.abs(air) / least.air || 0)
  const usual = {
    dew: Math.max(dewStepMin, unrestTimes * unrest.dew),
    air: Math.max(airStepMin, unrestTimes * unrest.air),
  }
  const found: Step[] = []
  let best: Step | null = null
  for (const step of steps) {
    const i = step.at
    if (weight(step, usual) < 1) {
      if (best && i - best.at > 15) {
        found.push(best)
        best = null
      }
      continue
    }
    if (!best || weight(step, usual) > weight(best, usual)) best = step
  }
  return [...found, ...(best ? [best] : [])].filter((step) => {
    const others = steps.filter((o) => Math.abs(o.at - step.at) > elsewhereMinutes)
    const often = (get: (s: Step) => number) =>
      quantile(
        others.map((o) => Math.abs(get(o))),
        oftenShare,
      )
    const least = {
      dew: Math.max(usual.dew, oftenTimes * often((s) => s.dew)),
      air: Math.max(usual.air, oftenTimes * often((s) => s.air)),
    }
    return weight(step, least) >= 1
  })
}

/** NaN are left out; 0 of nothing. */
function quantile(all: readonly number[], share: number): number {
  const seen = Float64Array.from(all.filter((v) => !Number.isNaN(v))).sort()
  return seen[Math.floor(share * (seen.length - 1))] ?? 0
}

/** A step of temperature alone is a door only where the air outside is known to be that much warmer or colder. */
function isAirToward(step: Step, { airC, corridor }: RoomCourse): boolean {
  const gap = corridor ? medianOf(corridor.airC, step.at - 12, step.at + 12) - before(airC, step.at) : Number.NaN
  return Math.sign(gap) === Math.sign(step.air) && Math.abs(gap) >= Math.abs(step.air)
}

/** How much of the way to the air outside it came while it stood open. */
function cameShare(
  { corridor, ...course }: RoomCourse,
  of: 'dewC' | 'airC',
  level: number,
  from: number,
  end: number,
): number {
  if (!corridor) return 1
  const out = medianOf(corridor[of], from, end + 1, 3) - level
  const came = medianOf(course[of], Math.max(from, end - 15), end + 6, 3) - level
  return Number.isNaN(out) ? 1 : came / out
}

function byAir(course: RoomCourse, unrest: { dew: number; air: number }): Found[] {
  const doors: Found[] = []
  let over = 0
  for (const step of peaks(course, unrest)) {
    if (step.at < over) continue
    const toward = isToward(step, course)
    const isDew = Math.abs(step.dew) >= Math.max(dewStepMin, unrestTimes * unrest.dew)
    if (isDew ? toward === false : !isAirToward(step, course)) continue
    const all = isDew ? course.dewC : course.airC
    const level = before(all, step.at)
    const back = turnsBack(all, level, step.at)
    const end = back?.end ?? all.length - 1
    // Where nobody knows the corridor, only what comes back by itself is taken for a door.
    if (toward === null && !back) continue
    if (back && back.end - step.at < airMinutesMin) continue
    if (toward && cameShare(course, isDew ? 'dewC' : 'airC', level, step.at, end) < (back ? 0.3 : 0.5)) continue
    if (riseMinutes(all, level, step.at - 2, end) < openMinutesMin) continue
    over = end
    doors.push({
      kind: 'door',
      from: instantOf(course, step.at),
      to: back ? instantOf(course, end) : null,
      confidence: 'likely',
      evidence: [
        ...(isDew ? [fact('dew-point-step', step.dew)] : []),
        ...(Math.abs(step.air) > 0.3 ? [fact('temperature-step', step.air)] : []),
        ...(toward ? [fact('toward-corridor')] : []),
        ...(back?.recovery ? [fact('recovered', back.recovery)] : []),
      ],
      ruledOut: [{ kind: 'dehumidifier', because: fact('dew-point-step', step.dew) }],
      recoveryMinutes: back?.recovery ?? null,
    })
  }
  return doors
}

/** Doors by their contact where there is one; else by what the air did. */
export function doorsOf(course: RoomCourse, unrest: { dew: number; air: number }): Found[] {
  const seen = course.door?.some((v) => !Number.isNaN(v)) ?? false
  const found = seen ? byContact(course, unrest) : byAir(course, unrest)
  // Two that touch are one.
  return found.filter((d, i) => {
    const last = found[i - 1]
    return !last || d.from - (last.to ?? Infinity) > 5 * minuteMs
  })
}
